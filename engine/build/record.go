package build

import (
	"bytes"
	"encoding/json"
	"errors"
	"strconv"

	"portwright/engine/unit"
)

// A Record is a thing that is kept as a JSON object. It lists its fields once,
// in the order in which they are written; the same list reads them. Reflection
// would do it from the struct alone, and double what a phone fetches for it.
type Record interface {
	Fields(f *Form)
}

// Form is a record being written or read. A method takes the place of a
// field's value; those that begin with Some leave an empty value out.
type Form struct {
	reading bool
	out     []byte  // written
	in      []Field // read
	used    int     // of in, by known keys
	err     error
}

// WriteRecord returns the record as a compact JSON object. JSON in it must be
// valid, or it panics.
func WriteRecord(r Record) json.RawMessage {
	f := Form{out: []byte{'{'}}
	r.Fields(&f)
	return append(f.out, '}')
}

// ReadRecord fills the record from a JSON object. What is absent or null stays
// as it is; unknown fields are passed over.
func ReadRecord(raw json.RawMessage, r Record) error {
	_, err := readRecord(raw, r)
	return err
}

// ReadWhole is ReadRecord, and an unknown field or one that stands twice is an
// error.
func ReadWhole(raw json.RawMessage, r Record) error {
	f, err := readRecord(raw, r)
	if err == nil && f.used != len(f.in) {
		return errors.New("has a field that is not known here or stands twice")
	}
	return err
}

func readRecord(raw json.RawMessage, r Record) (*Form, error) {
	fs, err := Split(raw)
	if err != nil {
		return nil, err
	}
	f := &Form{reading: true, in: fs}
	r.Fields(f)
	return f, f.err
}

// WriteRecords returns the records as a JSON array.
func WriteRecords(n int, at func(i int) Record) json.RawMessage {
	b := []byte{'['}
	for i := range n {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(b, WriteRecord(at(i))...)
	}
	return append(b, ']')
}

// ReadRecords calls grow for every element of a JSON array and fills what it
// returns.
func ReadRecords(raw json.RawMessage, grow func() Record) error {
	elements, err := Elements(raw)
	if err != nil {
		return err
	}
	for _, e := range elements {
		if err := ReadRecord(e, grow()); err != nil {
			return err
		}
	}
	return nil
}

// Elements returns the elements of a JSON array as they stand in the text.
func Elements(raw json.RawMessage) ([]json.RawMessage, error) {
	if !json.Valid(raw) {
		return nil, errors.New("is not JSON")
	}
	start := skipSpace(raw, 0)
	if raw[start] != '[' {
		return nil, errors.New("is not a list [...]")
	}
	elements, _ := splitArray(raw[start:], len(raw))
	return elements, nil
}

// Number returns the number of a value that Split gave, and false when the
// value is no number or has no float64.
func Number(raw json.RawMessage) (float64, bool) {
	f, err := floatOf(raw)
	return f, err == nil
}

// take returns the last value of a key, nil when it is absent or null, as
// encoding/json would use it.
func (f *Form) take(key string) (raw json.RawMessage) {
	found := false
	for i := range f.in {
		if f.in[i].Key == key {
			raw, found = f.in[i].Value, true
		}
	}
	if found {
		f.used++
	}
	if kindOf(raw) == 'n' {
		return nil
	}
	return raw
}

func (f *Form) key(key string) {
	if len(f.out) > 1 {
		f.out = append(f.out, ',')
	}
	f.out = append(appendQuoted(f.out, key, ""), ':')
}

func (f *Form) wrong(key string, raw []byte, reason string) {
	if f.err == nil {
		f.err = &unit.InputError{Field: key, Value: clip(raw), Reason: reason}
	}
}

// Text is a text.
func (f *Form) Text(key string, p *string) {
	if !f.reading {
		f.key(key)
		f.out = appendQuoted(f.out, *p, "")
		return
	}
	raw := f.take(key)
	switch {
	case raw == nil:
	case kindOf(raw) != '"':
		f.wrong(key, raw, "must be text in quotes")
	default:
		*p = textOf(raw)
	}
}

// SomeText leaves "" out.
func (f *Form) SomeText(key string, p *string) {
	if f.reading || *p != "" {
		f.Text(key, p)
	}
}

// GivenText leaves nil out and keeps "".
func (f *Form) GivenText(key string, p **string) {
	if f.reading {
		var s *string
		if raw := f.peek(key); raw != nil {
			s = new(string)
			*p = s
		}
		if s == nil {
			s = new(string)
		}
		f.Text(key, s)
		return
	}
	if *p != nil {
		f.Text(key, *p)
	}
}

// peek is take without counting the key as used.
func (f *Form) peek(key string) json.RawMessage {
	was := f.used
	raw := f.take(key)
	f.used = was
	return raw
}

// Texts is a list of texts; an empty one is left out.
func (f *Form) Texts(key string, p *[]string) {
	if !f.reading {
		if len(*p) > 0 {
			f.key(key)
			f.out = append(f.out, listJSON(*p, TextJSON)...)
		}
		return
	}
	raw := f.take(key)
	if raw == nil {
		return
	}
	elements, err := Elements(raw)
	if err != nil {
		f.wrong(key, raw, "must be a list of texts")
		return
	}
	*p = make([]string, len(elements))
	for i, e := range elements {
		switch kindOf(e) {
		case '"':
			(*p)[i] = textOf(e)
		case 'n':
		default:
			f.wrong(key, e, "must be text in quotes")
		}
	}
}

// Flag is true or false.
func (f *Form) Flag(key string, p *bool) {
	if !f.reading {
		f.key(key)
		f.out = strconv.AppendBool(f.out, *p)
		return
	}
	raw := f.take(key)
	switch kind := kindOf(raw); {
	case raw == nil:
	case kind != 't' && kind != 'f':
		f.wrong(key, raw, "must be true or false")
	default:
		*p = kind == 't'
	}
}

// SomeFlag leaves false out.
func (f *Form) SomeFlag(key string, p *bool) {
	if f.reading || *p {
		f.Flag(key, p)
	}
}

// Long is a whole number.
func (f *Form) Long(key string, p *int64) {
	if !f.reading {
		f.key(key)
		f.out = strconv.AppendInt(f.out, *p, 10)
		return
	}
	if raw := f.take(key); raw != nil {
		v, err := strconv.ParseInt(string(raw), 10, 64)
		if err != nil {
			f.wrong(key, raw, "must be a whole number")
			return
		}
		*p = v
	}
}

// SomeLong leaves 0 out.
func (f *Form) SomeLong(key string, p *int64) {
	if f.reading || *p != 0 {
		f.Long(key, p)
	}
}

// Whole is a whole number of ordinary size.
func (f *Form) Whole(key string, p *int) {
	v := int64(*p)
	f.Long(key, &v)
	if int64(int(v)) != v {
		f.wrong(key, strconv.AppendInt(nil, v, 10), "is too large")
		return
	}
	*p = int(v)
}

// SomeWhole leaves 0 out.
func (f *Form) SomeWhole(key string, p *int) {
	if f.reading || *p != 0 {
		f.Whole(key, p)
	}
}

// Natural is a whole number from 0 to most.
func (f *Form) Natural(key string, p *uint64, most uint64) {
	if !f.reading {
		f.key(key)
		f.out = strconv.AppendUint(f.out, *p, 10)
		return
	}
	if raw := f.take(key); raw != nil {
		v, err := strconv.ParseUint(string(raw), 10, 64)
		if err != nil || v > most {
			f.wrong(key, raw, "must be a whole number from 0 to "+strconv.FormatUint(most, 10))
			return
		}
		*p = v
	}
}

// Number is a number; one that is not finite is written as null.
func (f *Form) Number(key string, p *float64) {
	if !f.reading {
		f.key(key)
		f.out = append(f.out, NumberJSON(*p)...)
		return
	}
	if raw := f.take(key); raw != nil {
		v, err := floatOf(raw)
		if err != nil {
			f.wrong(key, raw, err.Error())
			return
		}
		*p = v
	}
}

// JSON is any value, kept as it stands; null and nil are the same.
func (f *Form) JSON(key string, p *json.RawMessage) {
	if !f.reading {
		f.key(key)
		if len(*p) == 0 {
			f.out = append(f.out, "null"...)
			return
		}
		b := bytes.NewBuffer(f.out)
		if err := json.Compact(b, *p); err != nil {
			panic(err)
		}
		f.out = b.Bytes()
		return
	}
	if raw := f.take(key); raw != nil {
		*p = bytes.Clone(raw)
	}
}

// SomeJSON leaves nil out.
func (f *Form) SomeJSON(key string, p *json.RawMessage) {
	if f.reading || len(*p) > 0 {
		f.JSON(key, p)
	}
}

// Record is a record within the record.
func (f *Form) Record(key string, r Record) {
	if !f.reading {
		f.key(key)
		f.out = append(f.out, WriteRecord(r)...)
		return
	}
	if raw := f.take(key); raw != nil {
		if err := ReadRecord(raw, r); err != nil && f.err == nil {
			f.err = err
		}
	}
}

// SomeLength is a length as a reading has it; nil is left out.
func (f *Form) SomeLength(key string, p **unit.Length) {
	if !f.reading {
		if *p != nil {
			f.key(key)
			f.out = append(f.out, ValueJSON(**p)...)
		}
		return
	}
	if raw := f.take(key); raw != nil {
		l, err := ReadValue(raw)
		if err != nil {
			f.wrong(key, raw, lengthWanted)
			return
		}
		*p = &l
	}
}

// Rows is a list of records; an empty one is left out.
func Rows[T any, P interface {
	*T
	Record
}](f *Form, key string, p *[]T) {
	if !f.reading {
		if len(*p) > 0 {
			f.key(key)
			f.out = append(f.out, WriteRecords(len(*p), func(i int) Record { return P(&(*p)[i]) })...)
		}
		return
	}
	if raw := f.take(key); raw != nil {
		*p = nil
		grow := func() Record {
			*p = append(*p, *new(T))
			return P(&(*p)[len(*p)-1])
		}
		if err := ReadRecords(raw, grow); err != nil {
			f.wrong(key, raw, err.Error())
		}
	}
}

// Named are records by name; without any the field is left out.
func Named[T any, P interface {
	*T
	Record
}](f *Form, key string, p *map[string]T) {
	if !f.reading {
		if len(*p) > 0 {
			f.key(key)
			fs := make([]Field, 0, len(*p))
			for _, name := range sortedKeys(*p) {
				v := (*p)[name]
				fs = append(fs, Field{name, WriteRecord(P(&v))})
			}
			f.out = append(f.out, object(fs)...)
		}
		return
	}
	raw := f.take(key)
	if raw == nil {
		return
	}
	fs, err := Split(raw)
	if err != nil {
		f.wrong(key, raw, err.Error())
		return
	}
	*p = make(map[string]T, len(fs))
	for _, one := range fs {
		var v T
		if err := ReadRecord(one.Value, P(&v)); err != nil {
			f.wrong(key, one.Value, err.Error())
			return
		}
		(*p)[one.Key] = v
	}
}

// Reading says whether the record is being read.
func (f *Form) Reading() bool { return f.reading }
