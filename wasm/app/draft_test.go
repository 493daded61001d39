package app

import (
	"encoding/json"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// tagged is a draft as its structs' tags describe it.
type tagged struct {
	Hand
	Typed map[string]Field `json:"typed,omitempty"`
	Learn *LearnState      `json:"learn,omitempty"`
}

func drawDraft(t *rapid.T) draftBody {
	text := rapid.SampledFrom([]string{"", "104.5", "a\"<é>", "\u2028"})
	word := func(label string) string { return text.Draw(t, label) }
	d := draftBody{Hand: Hand{Pass: word("pass"), At: word("at"), Text: word("text"), ID: word("id"), Next: word("next"), Mode: Mode(word("mode")), Method: word("method"),
		Unit: word("unit"), Near: word("near"), Side: word("side"), Quarter: rapid.IntRange(0, 4).Draw(t, "quarter"), Sending: word("sending"), Habit: word("habit")}}
	if rapid.Bool().Draw(t, "feeler") {
		d.Feeler = &unit.Length{Value: rapid.Float64Range(-10, 10).Draw(t, "thick"), Unit: rapid.SampledFrom([]unit.LengthUnit{"", unit.MM, unit.Inch, unit.Thou}).Draw(t, "in")}
	}
	for range rapid.IntRange(0, 2).Draw(t, "skipped") {
		d.Skipped = append(d.Skipped, word("step"))
	}
	for range rapid.IntRange(0, 3).Draw(t, "fields") {
		if d.Typed == nil {
			d.Typed = map[string]Field{}
		}
		d.Typed[word("path")] = Field{Text: word("typed"), Unit: unit.LengthUnit(word("typed unit")), Sending: word("id")}
	}
	for range rapid.IntRange(0, 3).Draw(t, "rows") {
		d.Learn.Unit = unit.LengthUnit(word("depths in"))
		d.Learn.Rows = append(d.Learn.Rows, LearnRow{Depth: word("depth"), Angle: word("angle")})
	}
	return d
}

// Independent: encoding/json, which wrote the drafts of older versions.
func TestDraftAgainstEncodingJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDraft(t)
		old := tagged{Hand: d.Hand, Typed: d.Typed}
		if len(d.Learn.Rows) > 0 {
			old.Learn = &d.Learn
		}
		theirs, err := json.Marshal(old)
		if err != nil {
			t.Fatal(err)
		}
		var got draftBody
		if err := build.ReadWhole(theirs, &got); err != nil || !reflect.DeepEqual(got, d) {
			t.Fatalf("%s: read %+v, %v, want %+v", theirs, got, err, d)
		}
		var back tagged
		if err := json.Unmarshal(build.WriteRecord(&d), &back); err != nil || !reflect.DeepEqual(back, old) {
			t.Fatalf("written %s, %v, encoding/json %s", build.WriteRecord(&d), err, theirs)
		}
	})
}

// Independent: encoding/json.
func TestSettingsAgainstEncodingJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Make[Settings]().Draw(t, "settings")
		theirs, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var got, back Settings
		if err := build.ReadWhole(theirs, &got); err != nil || got != s {
			t.Fatalf("%s: read %+v, %v", theirs, got, err)
		}
		if err := json.Unmarshal(build.WriteRecord(&s), &back); err != nil || back != s {
			t.Fatalf("written %s, %v", build.WriteRecord(&s), err)
		}
	})
}
