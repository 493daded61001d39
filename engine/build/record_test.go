package build_test

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
)

// sample has a field of each kind; its tags tell encoding/json the same as
// Fields tells a Form.
type sample struct {
	Text      string          `json:"text"`
	SomeText  string          `json:"some_text,omitempty"`
	Given     *string         `json:"given,omitempty"`
	Texts     []string        `json:"texts,omitempty"`
	Flag      bool            `json:"flag"`
	SomeFlag  bool            `json:"some_flag,omitempty"`
	Long      int64           `json:"long"`
	SomeLong  int64           `json:"some_long,omitempty"`
	Whole     int             `json:"whole"`
	SomeWhole int             `json:"some_whole,omitempty"`
	Natural   uint64          `json:"natural"`
	Number    float64         `json:"number"`
	JSON      json.RawMessage `json:"json"`
	SomeJSON  json.RawMessage `json:"some_json,omitempty"`
	Inner     inner           `json:"inner"`
}

type inner struct {
	Name string `json:"name"`
}

func (n *inner) Fields(f *build.Form) { f.Text("name", &n.Name) }

func (s *sample) Fields(f *build.Form) {
	f.Text("text", &s.Text)
	f.SomeText("some_text", &s.SomeText)
	f.GivenText("given", &s.Given)
	f.Texts("texts", &s.Texts)
	f.Flag("flag", &s.Flag)
	f.SomeFlag("some_flag", &s.SomeFlag)
	f.Long("long", &s.Long)
	f.SomeLong("some_long", &s.SomeLong)
	f.Whole("whole", &s.Whole)
	f.SomeWhole("some_whole", &s.SomeWhole)
	f.Natural("natural", &s.Natural, math.MaxUint64)
	f.Number("number", &s.Number)
	f.JSON("json", &s.JSON)
	f.SomeJSON("some_json", &s.SomeJSON)
	f.Record("inner", &s.Inner)
}

func drawSample(t *rapid.T) sample {
	text := rapid.OneOf(rapid.String(), rapid.StringOf(rapid.SampledFrom([]rune("a\"\\/<>&\b\f\n\r\t\x00\x1f\x7f\u2028\u2029é𝄞\ufffd"))))
	value := rapid.SampledFrom([]json.RawMessage{nil, json.RawMessage(`{"a":[1,"<"]}`), json.RawMessage(`"\u2028x"`), json.RawMessage(`-0.5e3`), json.RawMessage(`false`)})
	s := sample{Text: text.Draw(t, "text"), SomeText: text.Draw(t, "some text"), Flag: rapid.Bool().Draw(t, "flag"), SomeFlag: rapid.Bool().Draw(t, "some flag"),
		Long: rapid.Int64().Draw(t, "long"), SomeLong: rapid.Int64().Draw(t, "some long"), Whole: rapid.Int().Draw(t, "whole"), SomeWhole: rapid.IntRange(-2, 2).Draw(t, "some whole"),
		Natural: rapid.Uint64().Draw(t, "natural"), Number: rapid.Float64().Draw(t, "number"), JSON: value.Draw(t, "json"), SomeJSON: value.Draw(t, "some json"), Inner: inner{text.Draw(t, "inner")}}
	if rapid.Bool().Draw(t, "is given") {
		given := text.Draw(t, "given")
		s.Given = &given
	}
	if n := rapid.IntRange(0, 3).Draw(t, "texts"); n > 0 {
		s.Texts = rapid.SliceOfN(text, n, n).Draw(t, "list")
	}
	return s
}

// plain writes as encoding/json does, without escapes for HTML.
func plain(t interface{ Fatal(...any) }, v any) string {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		t.Fatal(err)
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// Independent: encoding/json, from the struct's tags.
func TestRecordAgainstEncodingJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSample(t)
		ours, theirs := build.WriteRecord(&s), plain(t, s)
		var fromOurs, fromTheirs, oracle sample
		if err := json.Unmarshal(ours, &fromOurs); err != nil {
			t.Fatalf("encoding/json does not read %s: %v", ours, err)
		}
		if err := json.Unmarshal([]byte(theirs), &oracle); err != nil {
			t.Fatal(err)
		}
		if err := build.ReadWhole(json.RawMessage(theirs), &fromTheirs); err != nil {
			t.Fatalf("%s: %v", theirs, err)
		}
		same := func(what string, got, want sample) {
			for _, p := range []*json.RawMessage{&got.JSON, &got.SomeJSON, &want.JSON, &want.SomeJSON} {
				if string(*p) == "null" { // the same as nil
					*p = nil
				}
			}
			if !reflect.DeepEqual(got, want) {
				t.Fatalf("%s\n got %+v\nwant %+v\nours %s\ntheirs %s", what, got, want, ours, theirs)
			}
		}
		same("encoding/json read of ours", fromOurs, oracle)
		same("read by ReadWhole", fromTheirs, oracle)
		// Numbers from 1e15 are written in another of JSON's forms.
		if s.Number = 1.5; string(build.WriteRecord(&s)) != plain(t, s) {
			t.Fatalf("written\n%s, encoding/json\n%s", build.WriteRecord(&s), plain(t, s))
		}
	})
}

// Independent: encoding/json.
func TestTextAgainstEncodingJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := string(rapid.SliceOf(rapid.OneOf(rapid.Byte(), rapid.SampledFrom([]byte("\"\\<>&u\xe2\x80\xa8\xed\xa0\x80")))).Draw(t, "bytes"))
		if got, want := string(build.TextJSON(s)), strings.ReplaceAll(plain(t, s), "\\ufffd", "\ufffd"); got != want {
			t.Fatalf("%q is written %s, encoding/json %s", s, got, want)
		}
		html, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := string(build.AppendText(nil, s)), strings.ReplaceAll(string(html), "\\ufffd", "\ufffd"); got != want {
			t.Fatalf("%q is written %s, encoding/json %s", s, got, want)
		}
		parts := rapid.SliceOf(rapid.SampledFrom([]string{`\"`, `\\`, `\/`, `\b`, `\f`, `\n`, `\r`, `\t`, `\u0041`, `\ud834`, `\uDD1E`, `\udd1e`, `\u2028`, "é", "x", "\xff", "\xed\xa0\x80"})).Draw(t, "parts")
		raw := `"` + strings.Join(parts, "") + `"`
		var want string
		if err := json.Unmarshal([]byte(raw), &want); err != nil {
			t.Fatal(err)
		}
		if got, ok := build.Text(json.RawMessage(raw)); !ok || got != want {
			t.Fatalf("%s is read %q, encoding/json %q", raw, got, want)
		}
	})
}

func TestRecordRefuses(t *testing.T) {
	for _, c := range []struct{ raw, want string }{
		{`{"text":1}`, `text`}, {`{"given":1}`, `given`}, {`{"texts":"a"}`, `texts`}, {`{"texts":["a",1]}`, `texts`},
		{`{"flag":"true"}`, `flag`}, {`{"long":1.5}`, `long`}, {`{"long":9223372036854775808}`, `long`}, {`{"natural":-1}`, `natural`},
		{`{"number":1e400}`, `number`}, {`{"inner":[]}`, `object`}, {`{"inner":{"name":2}}`, `name`}, {`[]`, `object`}, {`{`, `JSON`}, {`{} {}`, `JSON`},
	} {
		if err := build.ReadRecord(json.RawMessage(c.raw), &sample{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q in it", c.raw, err, c.want)
		}
		if json.Unmarshal([]byte(c.raw), &sample{}) == nil {
			t.Errorf("%s: encoding/json takes it", c.raw)
		}
	}
	for _, raw := range []string{`{"later":1}`, `{"text":"a","text":"b"}`} {
		if err := build.ReadWhole(json.RawMessage(raw), &sample{}); err == nil {
			t.Errorf("%s: taken whole", raw)
		}
		if err := build.ReadRecord(json.RawMessage(raw), &sample{}); err != nil {
			t.Errorf("%s: %v", raw, err)
		}
	}
}

// A null leaves the field as it was, whatever its kind.
func TestRecordNull(t *testing.T) {
	given := "g"
	s := sample{Text: "a", Given: &given, Texts: []string{"b"}, Flag: true, Long: 3, Natural: 4, Number: 5, Inner: inner{"c"}}
	want := s
	raw := `{"text":null,"given":null,"texts":null,"flag":null,"long":null,"natural":null,"number":null,"json":null,"inner":null}`
	if err := build.ReadWhole(json.RawMessage(raw), &s); err != nil || !reflect.DeepEqual(s, want) {
		t.Errorf("%+v, %v", s, err)
	}
}
