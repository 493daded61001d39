package wire

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"
)

// walked finds the fields by the standard library's tokens: an independent
// reading of the same bytes.
func walked(entry []byte) (device, seq string, ok bool) {
	if !json.Valid(entry) {
		return "", "", false
	}
	dec := json.NewDecoder(bytes.NewReader(entry))
	if t, err := dec.Token(); err != nil || t != json.Delim('{') {
		return "", "", false
	}
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return "", "", false
		}
		var value json.RawMessage
		if err := dec.Decode(&value); err != nil {
			return "", "", false
		}
		name := key.(string)
		to := map[string]*string{"device": &device, "seq": &seq}[name]
		switch {
		case to != nil && *to == "":
			*to = string(value)
		case to != nil, strings.EqualFold(name, "device"), strings.EqualFold(name, "seq"):
			return "", "", false
		}
	}
	return device, seq, device != "" && seq != ""
}

func FuzzFieldsAsTheLibrarySeesThem(f *testing.F) {
	for _, s := range []string{
		first, second, `{"a":[{"}":"]\\\""},[],{}],"seq":-1.5e3,"device":{"x":"\\"}}`, `{"\u0073eq" : null , "device":true}`,
		`{"device":"a","ſeq":1,"seq":2}`, "{\"\xff\":1,\"device\":0,\"seq\":0}", `[]`, ` {} `,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, entry []byte) {
		d, s, err := fields(entry)
		device, seq, ok := walked(entry)
		if ok != (err == nil) {
			t.Fatalf("%q: %v, the library's tokens say %v", entry, err, ok)
		}
		if ok && (string(entry[d.from:d.to]) != device || string(entry[s.from:s.to]) != seq) {
			t.Fatalf("%q: %q and %q, the library says %q and %q", entry, entry[d.from:d.to], entry[s.from:s.to], device, seq)
		}
	})
}

func FuzzTextsAsTheLibraryReadsThem(f *testing.F) {
	for _, s := range []string{`"a\"\\\/\b\f\n\r\té\u00e9\ud83d\ude00"`, `"\ud83d\u0041\udc00"`, "\"\xff\"", `"\ud83d"`, `"\ud83d\n"`, `""`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		var want, back string
		var w writer
		w.text("", s)
		if err := json.Unmarshal(w.b, &back); err != nil || back != s && utf8.ValidString(s) {
			t.Errorf("%q is written as %s, which reads %q, %v", s, w.b, back, err)
		}
		if len(s) == 0 || s[0] != '"' || json.Unmarshal([]byte(s), &want) != nil {
			return
		}
		if got := unquote([]byte(strings.TrimRight(s, " \t\r\n"))); got != want {
			t.Errorf("%s reads %q, the library says %q", s, got, want)
		}
	})
}
