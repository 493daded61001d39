package book

import "portwright/engine/build"

// placeBites puts the bites into the build, in Order.
func (s *folding) placeBites() {
	for i := range s.bites {
		e := &s.bites[i]
		p, w := s.byPass[e.body.Pass], s.byWindow[e.body.Window]
		switch {
		case p == nil && e.body.Pass != "" || w == nil && e.body.Window != "":
			s.out.Waiting = append(s.out.Waiting, e.ID)
			continue
		case p != nil && p.removed != "" || w != nil && w.removed != "":
			s.out.Hidden = append(s.out.Hidden, e.ID)
			continue
		}
		var b build.Bite
		if err := build.DecodePart(e.body.Bite, &b); err != nil {
			s.unread(e.ID, err.Error())
			continue
		}
		b.ID, b.Struck, b.Device = e.ID, s.struck(e.ID), e.Device
		if e.body.Device != nil {
			b.Device = *e.body.Device
		}
		b.Pass, b.Window = "", ""
		if p != nil {
			b.Pass, b.Cylinder = p.pass.Name, p.pass.Cylinder
		}
		if w != nil {
			b.Window = w.window.Name
		}
		s.out.Build.Bites = append(s.out.Build.Bites, b)
	}
}
