package unit

import (
	"errors"
	"reflect"
	"strconv"
	"strings"
)

// Sprintf writes a sentence as package fmt does, for the verbs %s %d %q %v %g
// and %% without width or precision, and values that are strings, whole
// numbers, floats or errors, named types of them included. Package fmt itself
// is 35 KB of what a phone fetches. What it can't write is a fault of the
// caller and shows as fmt would show it, with %!.
func Sprintf(form string, args ...any) string {
	var b strings.Builder
	for {
		i := strings.IndexByte(form, '%')
		if i < 0 || i == len(form)-1 {
			b.WriteString(form)
			break
		}
		b.WriteString(form[:i])
		verb := form[i+1]
		form = form[i+2:]
		switch {
		case verb == '%':
			b.WriteByte('%')
		case len(args) == 0:
			b.WriteString("%!" + string(verb) + "(MISSING)")
		default:
			b.WriteString(said(verb, args[0]))
			args = args[1:]
		}
	}
	if len(args) > 0 {
		b.WriteString("%!(EXTRA " + strconv.Itoa(len(args)) + ")")
	}
	return b.String()
}

// said writes one value.
func said(verb byte, v any) string {
	if err, ok := v.(error); ok && (verb == 's' || verb == 'v') {
		return err.Error()
	}
	if s, ok := v.(interface{ String() string }); ok && (verb == 's' || verb == 'v') {
		return s.String()
	}
	switch r := reflect.ValueOf(v); {
	case r.Kind() == reflect.String && verb == 'q':
		return strconv.Quote(r.String())
	case r.Kind() == reflect.String && (verb == 's' || verb == 'v'):
		return r.String()
	case r.CanInt() && (verb == 'd' || verb == 'v'):
		return strconv.FormatInt(r.Int(), 10)
	case r.CanUint() && (verb == 'd' || verb == 'v'):
		return strconv.FormatUint(r.Uint(), 10)
	case r.CanFloat() && (verb == 'g' || verb == 'v'):
		return strconv.FormatFloat(r.Float(), 'g', -1, 64)
	case r.Kind() == reflect.Invalid:
		return "%!" + string(verb) + "(<nil>)"
	default:
		return "%!" + string(verb) + "(" + r.Type().String() + ")"
	}
}

// Errorf returns an error that says so and wraps the first error among the
// values, if there is one.
func Errorf(form string, args ...any) error {
	text := Sprintf(form, args...)
	for _, a := range args {
		if err, ok := a.(error); ok {
			return &wrapped{text, err}
		}
	}
	return errors.New(text)
}

type wrapped struct {
	text string
	err  error
}

func (w *wrapped) Error() string { return w.text }
func (w *wrapped) Unwrap() error { return w.err }
