package unit

import "strings"

// InputError says which input is wrong, what was given and what would be
// right. Several are joined with errors.Join so that a form shows all at once.
type InputError struct {
	Field  string // path as in the build file, e.g. "engine.rod_mm"
	Value  string // what was given, as given
	Unit   string // unit of Value, "" when it has none
	Reason string // what would be right, e.g. "must be longer than half the stroke (16.25 mm)"
}

// Error gives one line: field, value with unit, what would be right.
func (e *InputError) Error() string {
	var b strings.Builder
	if b.WriteString(e.Field); e.Field == "" {
		b.WriteString("value")
	}
	if e.Value != "" {
		b.WriteString(" = ")
		b.WriteString(e.Value)
		if e.Unit != "" {
			b.WriteString(" ")
			b.WriteString(e.Unit)
		}
	}
	b.WriteString(": ")
	b.WriteString(e.Reason)
	return b.String()
}
