package book

import (
	"encoding/json"
	"strconv"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// bodyReader reads the fields of a body. Fields that are not asked for are
// passed over: a later version may have written them.
type bodyReader struct {
	fs  []build.Field
	err error
}

func readBody(raw json.RawMessage) bodyReader {
	fs, err := build.Split(raw)
	if err != nil {
		err = unit.Errorf("body: %v", err)
	}
	return bodyReader{fs, err}
}

// value returns a field as it stands, nil when it is absent or null.
func (b *bodyReader) value(key string) json.RawMessage {
	for i := range b.fs {
		if b.fs[i].Key == key && string(b.fs[i].Value) != "null" {
			return b.fs[i].Value
		}
	}
	return nil
}

func (b *bodyReader) text(key string) string {
	raw := b.value(key)
	if raw == nil {
		return ""
	}
	s, ok := build.Text(raw)
	if !ok {
		b.wrong(key, "text")
	}
	return s
}

func (b *bodyReader) optional(key string) *string {
	if b.value(key) == nil {
		return nil
	}
	s := b.text(key)
	return &s
}

func (b *bodyReader) number(key string) float64 {
	raw := b.value(key)
	if raw == nil {
		return 0
	}
	f, err := strconv.ParseFloat(string(raw), 64) // raw is JSON: no NaN, no Inf
	if err != nil {
		b.wrong(key, "a number")
		return 0
	}
	return f
}

func (b *bodyReader) whole(key string) int {
	f := b.number(key)
	if f != float64(int32(f)) {
		b.wrong(key, "a whole number")
		return 0
	}
	return int(f)
}

func (b *bodyReader) texts(key string) (out []string) {
	raw := b.value(key)
	if raw == nil {
		return nil
	}
	elements, err := build.Elements(raw)
	if err != nil {
		b.wrong(key, "a list of texts")
	}
	for _, e := range elements {
		s, ok := build.Text(e)
		if !ok && string(e) != "null" {
			b.wrong(key, "a list of texts")
		}
		out = append(out, s)
	}
	return out
}

func (b *bodyReader) wrong(key, want string) {
	if b.err == nil {
		b.err = unit.Errorf("%s: must be %s", key, want)
	}
}

func setBody(raw json.RawMessage) (SetBody, error) {
	b := readBody(raw)
	body := SetBody{Path: b.text("path"), Value: b.value("value"), Base: b.text("base")}
	if body.Value == nil {
		body.Value = json.RawMessage("null")
	}
	body.Over = b.texts("over")
	return body, b.err
}

func readingBody(raw json.RawMessage) (ReadingBody, error) {
	b := readBody(raw)
	body := ReadingBody{Pass: b.text("pass"), Window: b.text("window"), Event: b.text("event"), Value: b.value("value"),
		Method: b.text("method"), Feeler: b.value("feeler_mm"), Side: b.text("side"), Quarter: b.whole("quarter"),
		At: b.text("at"), Device: b.optional("device"), Extra: b.value("extra")}
	return body, b.err
}

func stopBody(raw json.RawMessage) (StopBody, error) {
	b := readBody(raw)
	body := StopBody{Pass: b.text("pass"), Check: b.text("check"), When: b.text("when"), Near: b.text("near"), Way: b.text("way"),
		Value: b.number("value"), At: b.text("at"), Device: b.optional("device"), Extra: b.value("extra")}
	if b.value("value") == nil {
		b.wrong("value", "given")
	}
	return body, b.err
}

func biteBody(raw json.RawMessage) (BiteBody, error) {
	b := readBody(raw)
	body := BiteBody{Pass: b.text("pass"), Window: b.text("window"), Bite: b.value("bite"), Device: b.optional("device")}
	if body.Bite == nil {
		b.wrong("bite", "given")
	}
	return body, b.err
}
