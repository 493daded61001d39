package build

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"strings"

	"portwright/engine/unit"
)

const lengthWanted = `must be a length: a number of mm, {"in":x} or {"thou":x}`

// reader hands the fields of one object of a file to a part. A field that is
// not in the file leaves the part as it was; null clears it.
type reader struct {
	problems *problems
	parent   *reader
	name     string // key in the parent
	place    int    // index under that key, -1 for an object that is no list element
	fs       []Field
	used     []bool // of fs, by a known key
	single   bool   // one field alone is set: nothing else is asked for
}

// path names a key as in passes[0].readings[2].value; places count from 0.
func (r *reader) path(key string) string {
	var b strings.Builder
	r.writePath(&b)
	if b.Len() > 0 && key != "" {
		b.WriteByte('.')
	}
	b.WriteString(key)
	return b.String()
}

func (r *reader) writePath(b *strings.Builder) {
	if r.parent == nil {
		return
	}
	r.parent.writePath(b)
	if b.Len() > 0 {
		b.WriteByte('.')
	}
	b.WriteString(r.name)
	if r.place >= 0 {
		b.WriteString("[" + strconv.Itoa(r.place) + "]")
	}
}

// count takes one more list element or unknown field in, and says false from
// the one on that is too many for a phone to hold.
func (r *reader) count(key string) bool {
	ps := r.problems
	ps.elements++
	if ps.elements == maxElements+1 {
		ps.add(r.path(key), "", unit.Sprintf("is where the file holds more than %d list elements and unknown fields; split the file", maxElements))
	}
	return ps.elements <= maxElements
}

func (r *reader) wrong(key string, raw []byte, reason string) {
	r.problems.add(r.path(key), clip(raw), reason+hint(raw))
}

// take returns the value of a key. ok is false when the key is not there.
func (r *reader) take(key string) (raw json.RawMessage, ok bool) {
	for i := range r.fs {
		if r.fs[i].Key == key {
			r.used[i] = true
			return r.fs[i].Value, true
		}
	}
	return nil, false
}

func (r *reader) give(fs []Field) { r.fs, r.used = fs, make([]bool, len(fs)) }

// readPart reads an object into a part.
func (r *reader) readPart(raw json.RawMessage, p Part) {
	if kindOf(raw) != '{' {
		r.wrong("", raw, "must be an object {...}")
		return
	}
	fs, all := splitObject(raw, maxElements)
	if !all {
		r.problems.add(r.path(""), "", unit.Sprintf("has more than %d fields; this is no build file", maxElements))
		return
	}
	r.give(fs)
	r.refuseTwins()
	p.fields(r)
	for i, f := range r.fs {
		if !r.used[i] && r.count(f.Key) {
			keep(p, f.Key, f.Value)
		}
	}
}

func (r *reader) refuseTwins() {
	if len(r.fs) > 32 { // more than any known part: look in a map
		seen := make(map[string]bool, len(r.fs))
		for _, f := range r.fs {
			if seen[f.Key] {
				r.problems.add(r.path(f.Key), clip(f.Value), "is given twice; keep one of them")
			}
			seen[f.Key] = true
		}
		return
	}
	for i, f := range r.fs {
		for _, g := range r.fs[:i] {
			if f.Key == g.Key {
				r.problems.add(r.path(f.Key), clip(f.Value), "is given twice; keep one of them")
				break
			}
		}
	}
}

// keep stores a field that this version does not know.
func keep(p Part, key string, raw json.RawMessage) {
	var b bytes.Buffer
	if json.Compact(&b, raw) != nil {
		return // not reached: raw is valid JSON
	}
	x := p.extra()
	if *x == nil {
		*x = Extra{}
	}
	(*x)[key] = b.Bytes()
}

func (r *reader) text(key string, p *string) {
	raw, ok := r.take(key)
	switch {
	case !ok:
	case kindOf(raw) == 'n':
		*p = ""
	case kindOf(raw) == '"':
		*p = textOf(raw)
	default:
		r.problems.add(r.path(key), clip(raw), `must be text in quotes`)
	}
}

func (r *reader) flag(key string, p *bool) {
	raw, ok := r.take(key)
	switch {
	case !ok:
	case kindOf(raw) == 'n' || kindOf(raw) == 'f':
		*p = false
	case kindOf(raw) == 't':
		*p = true
	default:
		r.wrong(key, raw, "must be true or false")
	}
}

func (r *reader) whole(key string, p *int) {
	raw, ok := r.take(key)
	if !ok {
		return
	}
	*p = 0
	if kindOf(raw) != 'n' {
		*p, _ = r.wholeOf(key, raw)
	}
}

func (r *reader) wholeOf(key string, raw []byte) (int, bool) {
	f, err := floatOf(raw)
	if err != nil || f != math.Trunc(f) || math.Abs(f) > 1e9 {
		r.wrong(key, raw, "must be a whole number")
		return 0, false
	}
	return int(f), true
}

func (r *reader) number(key string, p **float64) {
	raw, ok := r.take(key)
	if !ok {
		return
	}
	*p = nil
	if kindOf(raw) == 'n' {
		return
	}
	if f, ok := r.numberOf(key, raw); ok {
		*p = &f
	}
}

func (r *reader) plain(key string, p *float64) {
	raw, ok := r.take(key)
	if !ok {
		return
	}
	*p = 0
	if kindOf(raw) != 'n' {
		*p, _ = r.numberOf(key, raw)
	}
}

func (r *reader) numberOf(key string, raw []byte) (float64, bool) {
	f, err := floatOf(raw)
	if err != nil {
		r.wrong(key, raw, err.Error())
		return 0, false
	}
	return f, true
}

func (r *reader) length(key string, p **unit.Length) {
	raw, ok := r.take(key)
	if !ok {
		return
	}
	*p = nil
	if kindOf(raw) == 'n' {
		return
	}
	if l, ok := r.lengthOf(key, raw, unit.MM, lengthWanted); ok {
		*p = &l
	}
}

func (r *reader) value(key string, p *unit.Length) {
	const wanted = `must be a number: degrees off the wheel, or mm for a depth, which may also be {"in":x} or {"thou":x}`
	raw, ok := r.take(key)
	if !ok || kindOf(raw) == 'n' {
		if !r.single {
			r.problems.add(r.path(key), "", "must be given; a reading that was not taken is left out")
		}
		return
	}
	if l, ok := r.lengthOf(key, raw, "", wanted); ok {
		*p = l
	}
}

// lengthOf reads a number, in unit bare, or {"mm":x}, {"in":x}, {"thou":x}.
func (r *reader) lengthOf(key string, raw []byte, bare unit.LengthUnit, wanted string) (unit.Length, bool) {
	switch kindOf(raw) {
	case '0':
		f, ok := r.numberOf(key, raw)
		return unit.Length{Value: f, Unit: bare}, ok
	case '{':
		fs, _ := splitObject(raw, 2)
		if len(fs) != 1 || kindOf(fs[0].Value) != '0' {
			break
		}
		u := unit.LengthUnit(fs[0].Key)
		if u != unit.MM && u != unit.Inch && u != unit.Thou {
			break
		}
		f, ok := r.numberOf(key+"."+fs[0].Key, fs[0].Value)
		return unit.Length{Value: f, Unit: u}, ok
	}
	r.wrong(key, raw, wanted)
	return unit.Length{}, false
}

// each calls one for every element of a list; it is not called for null.
func (r *reader) each(key string, reset func(), one func(key string, i int, raw json.RawMessage)) {
	raw, ok := r.take(key)
	if !ok {
		return
	}
	reset()
	switch kindOf(raw) {
	case 'n':
	case '[':
		elements, all := splitArray(raw, maxElements)
		if !all {
			r.problems.add(r.path(key), "", unit.Sprintf("has more than %d elements; split the file", maxElements))
			return
		}
		for i, e := range elements {
			if !r.count(key) {
				return
			}
			one(key+"["+strconv.Itoa(i)+"]", i, e)
		}
	default:
		r.problems.add(r.path(key), clip(raw), "must be a list [...]")
	}
}

func (r *reader) lengths(key string, p *[]unit.Length) {
	r.each(key, func() { *p = nil }, func(k string, _ int, raw json.RawMessage) {
		if l, ok := r.lengthOf(k, raw, unit.MM, lengthWanted); ok {
			*p = append(*p, l)
		}
	})
}

func (r *reader) numbers(key string, p *[]float64) {
	r.each(key, func() { *p = nil }, func(k string, _ int, raw json.RawMessage) {
		if f, ok := r.numberOf(k, raw); ok {
			*p = append(*p, f)
		}
	})
}

func (r *reader) wholes(key string, p *[]int) {
	r.each(key, func() { *p = nil }, func(k string, _ int, raw json.RawMessage) {
		if n, ok := r.wholeOf(k, raw); ok {
			*p = append(*p, n)
		}
	})
}

func (r *reader) texts(key string, p *[]string) {
	r.each(key, func() { *p = nil }, func(k string, _ int, raw json.RawMessage) {
		if kindOf(raw) != '"' {
			r.problems.add(r.path(k), clip(raw), "must be text in quotes")
			return
		}
		*p = append(*p, textOf(raw))
	})
}

func (r *reader) part(key string, p Part) {
	raw, ok := r.take(key)
	if !ok || kindOf(raw) == 'n' {
		return
	}
	sub := &reader{problems: r.problems, parent: r, name: key, place: -1}
	sub.readPart(raw, p)
}

func (r *reader) some(key string, p Part) { r.part(key, p) }
func (r *reader) own(key string, p Part)  { r.part(key, p) }

func (r *reader) rows(key string, l list) { r.list(key, l) }

func (r *reader) list(key string, l list) {
	r.each(key, l.clear, func(_ string, i int, raw json.RawMessage) {
		sub := &reader{problems: r.problems, parent: r, name: key, place: i}
		sub.readPart(raw, l.grow())
	})
}
