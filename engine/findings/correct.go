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

// fromOn says whether a reading was taken after the wheel had moved.
func fromOn(c *build.Correction, r *read) bool { return c.After > 0 && r.place >= c.After }

// inForce returns the corrections of a pass that count, ready for use: one that
// two devices consented to counts once, and one that goes by a reading's ID
// gets that reading's place. Where the reading is gone the place stands.
func (s *state) inForce(all []build.Correction) []build.Correction {
	out := make([]build.Correction, 0, len(all))
	for i := range all {
		c := all[i]
		if c.AfterID != "" {
			for k := range s.p.Readings {
				if s.p.Readings[k].ID == c.AfterID {
					c.After = k + 1
				}
			}
		}
		if !slices.ContainsFunc(out, func(o build.Correction) bool { return sameRemedy(&o, &c) }) {
			out = append(out, c)
		}
	}
	return out
}

// sameRemedy says whether two corrections do the same. Consented to once, a
// remedy leaves nothing to consent to again, so the second is the same consent
// on another device.
func sameRemedy(a, b *build.Correction) bool {
	return a.Code == b.Code && a.Kind == b.Kind && a.ByDeg == b.ByDeg && a.ByMM == b.ByMM && a.Factor == b.Factor &&
		a.Field == b.Field && a.After == b.After && slices.Equal(a.Readings, b.Readings) && slices.Equal(a.IDs, b.IDs)
}
