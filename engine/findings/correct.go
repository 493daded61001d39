package findings

import (
	"slices"

	"portwright/engine/build"
)

// names says whether a correction names a reading: by ID where the correction
// carries IDs, else by place. One that names nothing is for all readings.
func (s *state) names(c *build.Correction, r *read) bool {
	switch {
	case len(c.IDs) > 0:
		return r.doc.ID != "" && slices.Contains(c.IDs, r.doc.ID)
	case len(c.Readings) > 0:
		return slices.Contains(c.Readings, r.place)
	}
	return true
}

// each calls f with every reading that a correction names.
func (s *state) each(c *build.Correction, f func(r *read)) {
	if len(c.IDs) == 0 && len(c.Readings) == 0 {
		return // a strike or a scale that names nothing changes nothing
	}
	for i := range s.reads {
		if r := &s.reads[i]; s.names(c, r) {
			f(r)
		}
	}
}

// fromOn says whether a reading was taken after the wheel had moved. A
// correction by ID whose reading is no longer in the pass goes by its place.
func (s *state) fromOn(c *build.Correction, r *read) bool {
	after := c.After
	if c.AfterID != "" {
		for i := range s.p.Readings {
			if s.p.Readings[i].ID == c.AfterID {
				after = i + 1
			}
		}
	}
	return after > 0 && r.place >= after
}
