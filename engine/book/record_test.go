package book_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/book"
	"portwright/engine/build"
)

// againstTags checks that Fields says of a struct what its tags say.
//
// Independent: encoding/json.
func againstTags[T any, P interface {
	*T
	build.Record
}](t *testing.T, raw *rapid.Generator[json.RawMessage]) {
	t.Helper()
	t.Run(reflect.TypeFor[T]().Name(), rapid.MakeCheck(func(t *rapid.T) {
		made := rapid.MakeCustom[T](rapid.MakeConfig{Types: map[reflect.Type]*rapid.Generator[any]{
			reflect.TypeFor[json.RawMessage](): raw.AsAny(),
			reflect.TypeFor[float64]():         rapid.Float64Range(-1e5, 1e5).AsAny(),
			reflect.TypeFor[[]string]():        rapid.SliceOfN(rapid.String(), 1, 3).AsAny(),
		}}).Draw(t, "made")
		tagged, err := json.Marshal(made)
		if err != nil {
			t.Fatal(err)
		}
		var read T
		if err := build.ReadWhole(tagged, P(&read)); err != nil {
			t.Fatalf("%s: %v", tagged, err)
		}
		if !reflect.DeepEqual(read, made) {
			t.Fatalf("read %+v, want %+v", read, made)
		}
		var back T
		if err := json.Unmarshal(build.WriteRecord(P(&made)), &back); err != nil || !reflect.DeepEqual(back, made) {
			t.Fatalf("written %s, %v, want %s", build.WriteRecord(P(&made)), err, tagged)
		}
	}))
}

func TestFieldsAreTheTags(t *testing.T) {
	raw := rapid.SampledFrom([]json.RawMessage{json.RawMessage(`{"a":[1,true]}`), json.RawMessage(`1.25`), json.RawMessage(`"é"`)})
	againstTags[book.Clock](t, raw)
	againstTags[book.Card](t, raw)
	againstTags[book.SetBody](t, raw)
	againstTags[book.ReadingBody](t, raw)
	againstTags[book.StopBody](t, raw)
	againstTags[book.StrikeBody](t, raw)
	againstTags[book.TargetBody](t, raw)
	againstTags[book.CorrectBody](t, raw)
}

// TestParseEntryReadsWhatEncodingJSONWrites: entries of older programs, and of
// any other that has the struct alone.
func TestParseEntryReadsWhatEncodingJSONWrites(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringN(1, 20, -1)
		e := book.Entry{ID: text.Draw(t, "id"), Device: text.Draw(t, "device"), Seq: rapid.Uint64Min(1).Draw(t, "seq"),
			Clock: book.Clock{MS: rapid.Int64Min(0).Draw(t, "ms"), Ctr: rapid.Uint32().Draw(t, "ctr")}, Build: text.Draw(t, "build"), Kind: text.Draw(t, "kind"),
			Body: json.RawMessage(`{"x":"y"}`)}
		line, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		got, err := book.ParseEntry(line)
		if err != nil || !reflect.DeepEqual(got, e) {
			t.Fatalf("%s: %+v, %v", line, got, err)
		}
		if own := string(book.AppendEntry(nil, e)); own != string(line) {
			t.Fatalf("written %s, encoding/json %s", own, line)
		}
	})
}
