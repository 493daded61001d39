package unit_test

import (
	"errors"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/unit"
)

type named string
type shouting string

func (s shouting) String() string { return string(s) + "!" }

// What is written is what package fmt writes.
func TestSayLikeFmt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.OneOf(
			rapid.Map(rapid.String(), func(s string) any { return s }),
			rapid.Map(rapid.String(), func(s string) any { return named(s) }),
			rapid.Map(rapid.String(), func(s string) any { return shouting(s) }),
			rapid.Map(rapid.Int(), func(n int) any { return n }),
			rapid.Map(rapid.Uint8(), func(n uint8) any { return n }),
			rapid.Map(rapid.Float64(), func(f float64) any { return f }),
			rapid.Map(rapid.String(), func(s string) any { return errors.New(s) }),
		)
		fits := map[string]string{"string": "sqv", "unit_test.named": "sqv", "unit_test.shouting": "sv", "int": "dv", "uint8": "dv", "float64": "gv", "*errors.errorString": "sv"}
		form, args := "", []any{}
		for range rapid.IntRange(0, 4).Draw(t, "values") {
			v := value.Draw(t, "value")
			verbs := fits[fmt.Sprintf("%T", v)]
			form += rapid.SampledFrom([]string{"", "a ", "%%", "°"}).Draw(t, "text") + "%" + string(verbs[rapid.IntRange(0, len(verbs)-1).Draw(t, "verb")])
			args = append(args, v)
		}
		if got, want := unit.Sprintf(form, args...), fmt.Sprintf(form, args...); got != want {
			t.Fatalf("%q: %q, fmt writes %q", form, got, want)
		}
	})
}

func TestErrorfWraps(t *testing.T) {
	why := errors.New("no wheel")
	if err := unit.Errorf("pass %d: %v", 2, why); err.Error() != "pass 2: no wheel" || !errors.Is(err, why) {
		t.Errorf("%q", err)
	}
	if err := unit.Errorf("pass %d", 2); err.Error() != "pass 2" || errors.Unwrap(err) != nil {
		t.Errorf("%q", err)
	}
	for form, args := range map[string][]any{"%d": {"x"}, "%s": {nil}, "%q %q": {"a"}, "none": {1}} {
		if got := unit.Sprintf(form, args...); len(got) < 3 || got[len(got)-1] != ')' {
			t.Errorf("%q: %q does not show the fault", form, got)
		}
	}
}
