package build

import (
	"bytes"
	"encoding/json"
	"math"
	"sort"
	"strconv"

	"portwright/engine/unit"
)

// A Field is one key with its JSON value.
type Field struct {
	Key   string
	Value json.RawMessage
}

// Fields returns what is known of a part, one field each, in the order of a
// file and then what is in Extra by key. Parts within it are left out. A field
// that can't be written (a number that is not finite) is an error.
func Fields(p Part) ([]Field, error) {
	w := &writer{problems: &problems{}, path: "", single: true}
	fs := w.withExtra(p)
	return fs, w.problems.err()
}

// Encode writes a build file, indented for people. Lengths stand in the unit in
// which they were given, what is not known is left out, and Extra is written
// back where it came from. Decode gives the same build again.
func Encode(b *Build) ([]byte, error) {
	if b == nil {
		return nil, fileError("there is no build to write")
	}
	c := *b
	c.Format, c.Version = Format, Version
	w := &writer{problems: &problems{}}
	raw := object(w.withExtra(&c))
	if err := w.problems.err(); err != nil {
		return nil, err
	}
	return layout(raw), nil
}

// EncodePart writes one part with all that is in it as a compact JSON object.
func EncodePart(p Part) (json.RawMessage, error) {
	w := &writer{problems: &problems{}}
	raw := object(w.withExtra(p))
	return raw, w.problems.err()
}

// JSON returns the fields as an object with sorted keys, and nil when there
// are none.
func (x Extra) JSON() json.RawMessage {
	if len(x) == 0 {
		return nil
	}
	return object(x.Fields())
}

// Fields returns the fields by key.
func (x Extra) Fields() []Field {
	fs := make([]Field, 0, len(x))
	for _, k := range sortedKeys(x) {
		fs = append(fs, Field{k, x[k]})
	}
	return fs
}

// writer collects the fields of one part.
type writer struct {
	problems *problems
	path     string
	fs       []Field
	single   bool // parts within the part are left out
}

// withExtra returns the fields of a part with its Extra.
func (w *writer) withExtra(p Part) []Field {
	p.fields(w)
	extra := *p.extra()
	if len(extra) == 0 {
		return w.fs
	}
	known := knownKeys(p)
	for _, k := range sortedKeys(extra) {
		var b bytes.Buffer
		switch {
		case known[k]:
			w.problems.add(w.at(k), clip(extra[k]), "is a known field and can't stand in Extra")
		case json.Compact(&b, extra[k]) != nil:
			w.problems.add(w.at(k), clip(extra[k]), "must be JSON to be kept")
		default:
			w.put(k, b.Bytes())
		}
	}
	return w.fs
}

func (w *writer) at(key string) string {
	if w.path == "" {
		return key
	}
	return w.path + "." + key
}

func (w *writer) put(key string, raw json.RawMessage) {
	w.fs = append(w.fs, Field{key, raw})
}

func (w *writer) text(key string, p *string) {
	if *p != "" {
		w.put(key, TextJSON(*p))
	}
}

func (w *writer) flag(key string, p *bool) {
	if *p {
		w.put(key, FlagJSON(true))
	}
}

func (w *writer) whole(key string, p *int) {
	if *p != 0 {
		w.put(key, WholeJSON(*p))
	}
}

func (w *writer) number(key string, p **float64) {
	if *p != nil && w.finite(key, **p) {
		w.put(key, NumberJSON(**p))
	}
}

func (w *writer) plain(key string, p *float64) {
	if *p != 0 && w.finite(key, *p) {
		w.put(key, NumberJSON(*p))
	}
}

func (w *writer) length(key string, p **unit.Length) {
	if *p != nil && w.writable(key, **p) {
		w.put(key, LengthJSON(**p))
	}
}

func (w *writer) value(key string, p *unit.Length) {
	if w.writable(key, *p) {
		w.put(key, ValueJSON(*p))
	}
}

func (w *writer) lengths(key string, p *[]unit.Length) {
	for i, l := range *p {
		if !w.writable(unit.Sprintf("%s[%d]", key, i), l) {
			return
		}
	}
	if len(*p) > 0 {
		w.put(key, LengthsJSON(*p))
	}
}

func (w *writer) numbers(key string, p *[]float64) {
	for i, f := range *p {
		if !w.finite(unit.Sprintf("%s[%d]", key, i), f) {
			return
		}
	}
	putList(w, key, *p, NumberJSON)
}

func (w *writer) wholes(key string, p *[]int) { putList(w, key, *p, WholeJSON) }

func (w *writer) texts(key string, p *[]string) { putList(w, key, *p, TextJSON) }

func putList[T any](w *writer, key string, s []T, one func(T) json.RawMessage) {
	if len(s) > 0 {
		w.put(key, listJSON(s, one))
	}
}

func (w *writer) part(key string, p Part) {
	if !w.single {
		sub := &writer{problems: w.problems, path: w.at(key)}
		w.put(key, object(sub.withExtra(p)))
	}
}

func (w *writer) some(key string, p Part) {
	if !w.single {
		w.own(key, p)
	}
}

func (w *writer) own(key string, p Part) {
	sub := &writer{problems: w.problems, path: w.at(key)}
	if fs := sub.withExtra(p); len(fs) > 0 {
		w.put(key, object(fs))
	}
}

func (w *writer) list(key string, l list) {
	if !w.single {
		w.rows(key, l)
	}
}

func (w *writer) rows(key string, l list) {
	if l.size() == 0 {
		return
	}
	b := []byte{'['}
	for i := 0; i < l.size(); i++ {
		if i > 0 {
			b = append(b, ',')
		}
		sub := &writer{problems: w.problems, path: unit.Sprintf("%s[%d]", w.at(key), i)}
		b = append(b, object(sub.withExtra(l.at(i)))...)
	}
	w.put(key, append(b, ']'))
}

func (w *writer) finite(key string, f float64) bool {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		w.problems.add(w.at(key), strconv.FormatFloat(f, 'g', -1, 64), "must be a finite number")
		return false
	}
	return true
}

func (w *writer) writable(key string, l unit.Length) bool {
	switch l.Unit {
	case "", unit.MM, unit.Inch, unit.Thou:
		return w.finite(key, l.Value)
	}
	w.problems.add(w.at(key), strconv.Quote(string(l.Unit)), `must be in "mm", "in" or "thou"`)
	return false
}

func object(fs []Field) json.RawMessage {
	b := []byte{'{'}
	for i, f := range fs {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, TextJSON(f.Key)...)
		b = append(b, ':')
		b = append(b, f.Value...)
	}
	return append(b, '}')
}

// sortedKeys returns the keys of a map in order. Sorting through package sort
// shares one piece of code for all types; that of slices is compiled anew for
// each and weighs a kilobyte or two in what a phone fetches.
func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.SliceStable(keys, func(i, j int) bool { return keys[i] < keys[j] })
	return keys
}
