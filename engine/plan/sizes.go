package plan

import "portwright/engine/port"

// Sizes are those of the cylinder that a plan starts from, with every bite that
// was made: what a picture of its ports needs. Lengths in mm; nil: not known.
type Sizes struct {
	Bore, SkirtIntake *float64
	Windows           []WindowSize // as in Result.Windows
}

// WindowSize is one window's outline and the edge of the piston that works it.
type WindowSize struct {
	Shape        port.Shape // zero: not known
	Crown, Skirt bool       // neither: a valve works it
	TravelU95    *float64
}

func (s *base) sizes() Sizes {
	out := Sizes{Bore: tidied(s.bore), SkirtIntake: tidied(s.now.skirtIntake)}
	for i := range s.windows {
		w := WindowSize{Crown: s.windows[i].crown, Skirt: s.windows[i].skirt}
		if shape, ok := s.shape(&s.now, i); ok {
			w.Shape = shape
		}
		for k := range s.doubts {
			if d := &s.doubts[k]; d.window == i {
				w.TravelU95 = tidied(s.measured.U95(d.est))
			}
		}
		out.Windows = append(out.Windows, w)
	}
	return out
}
