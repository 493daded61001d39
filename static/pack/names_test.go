package pack

import (
	"fmt"
	"strings"
	"testing"
)

// checkNames holds the list of names against the linker's own table, and what
// is left in the memory against what the runtime does with a name.
func checkNames(t *testing.T, was, is, list []byte) {
	t.Helper()
	a, b := programOf(t, was), programOf(t, is)
	funcs := a.at + a.word(wordFuncAt)
	lines := strings.Split(strings.TrimSuffix(string(list), "\n"), "\n")
	if n := a.word(wordFuncs); n != len(lines) {
		t.Fatalf("%d names of %d functions", len(lines), n)
	}
	left, last := map[string]int{}, 0
	for i, line := range lines {
		number := a.short(funcs + 8*i)
		was, is := a.name(i), b.name(i)
		if want := fmt.Sprintf("%x %s", number, was); line != want {
			t.Fatalf("line %d is %q, want %q", i, line, want)
		}
		if i > 0 && number <= last {
			t.Fatalf("function %x comes after %x", number, last)
		}
		last = number
		left[is]++
		// runtime/traceback.go: isSystemGoroutine, and every frame with a dot shown.
		if strings.HasPrefix(was, "runtime.") != strings.HasPrefix(is, "runtime.") || !strings.Contains(is, ".") {
			t.Errorf("%s became %s", was, is)
		}
		// runtime/error.go: panicwrap takes pkg.(*T).M apart and throws otherwise.
		if strings.Contains(was, ".(*") != strings.Contains(is, ".(*T).M") {
			t.Errorf("%s became %s", was, is)
		}
		// runtime/stkframe.go: argMapInternal knows two functions by their names.
		if was == "reflect.makeFuncStub" || was == "reflect.methodValueCall" {
			if is != was {
				t.Errorf("%s became %s", was, is)
			}
			continue
		}
		if strings.HasPrefix(is, "reflect.") {
			t.Errorf("%s became %s", was, is)
		}
	}
	if len(left) > 6 || left["f.f"] < 100 || left["runtime.f"] < 500 || left["f.(*T).M"] < 20 {
		t.Errorf("names that are left: %v", left)
	}
}

func TestNamed(t *testing.T) {
	names := []byte("1000 go:buildid\n13f2 portwright/wasm/app.(*Model).Update\n")
	got, err := Named([]byte("f.(*T).M(...)\n\t?:0 +0x7 fp=0x10 sp=0x8 pc=0x13f20007\nf.f(...)\n\t?:0 pc=0x20000000\n"), names)
	want := "f.(*T).M(...)\n\t?:0 +0x7 fp=0x10 sp=0x8 pc=0x13f20007 portwright/wasm/app.(*Model).Update\nf.f(...)\n\t?:0 pc=0x20000000 (no function of these names)\n"
	if err != nil || string(got) != want {
		t.Errorf("%q, %v, want %q", got, err, want)
	}
	for _, c := range []struct{ trace, names, want string }{
		{"goroutine 1 [running]:", string(names), "no program counter"},
		{"pc=0x10000", "<!doctype html>\n", `line 1 of the names is "<!doctype html>"`},
		{"pc=0x10000", "1000\n", `line 1 of the names is "1000"`},
		{"pc=0x10000", "", `line 1 of the names is ""`},
	} {
		if _, err := Named([]byte(c.trace), []byte(c.names)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q, %q: error %v, want %q in it", c.trace, c.names, err, c.want)
		}
	}
}
