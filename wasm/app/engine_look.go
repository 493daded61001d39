package app

import (
	"portwright/engine/build"
	"portwright/engine/unit"
)

// DoubtOf says what is odd about a length for the field it is typed in, also
// against the rest of the engine; nil when nothing is.
func (m *Model) DoubtOf(spec FieldSpec, l unit.Length) *build.Doubt {
	if mv, ok := m.BiteAt(spec.Path); ok {
		return m.biteDoubt(mv, l)
	}
	soon := m.soon()
	path, whole := wholeField(soon, spec.Path, build.LengthJSON(l))
	c, named, ok := withField(soon, path, whole)
	if !ok {
		return nil
	}
	if _, place := splitPlace(spec.Path); place >= 0 {
		named = spec.Path
	}
	for _, d := range build.Doubts(c) {
		if d.Field == named {
			return &d
		}
	}
	return nil
}

// Faults are what in the open build can't be: entries of two devices that
// don't go together, or a file of another program.
func (m *Model) Faults() []*unit.InputError { return faultsOf(build.Check(m.Open.Build)) }
