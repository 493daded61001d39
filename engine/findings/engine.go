package findings

import (
	"slices"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// setEngine copies the engine's and windows' numbers, with squish and chamber as
// last measured by this pass, and puts the corrections of them in force. A corrected length is the engine's: a correction consented
// to in one pass holds for all.
func (s *state) setEngine() {
	s.engine = s.b.Engine
	s.shapes = s.b.Windows
	copied := false
	for _, c := range s.engineCorrections() {
		switch c.Kind {
		case build.CorrectScaleUnit:
			if !copied {
				s.engine.Squish = slices.Clone(s.b.Engine.Squish)
				s.shapes = slices.Clone(s.b.Windows)
				copied = true
			}
			s.scaleField(c.Field, c.Factor)
		case build.CorrectDeclareSkew:
			s.engine.PinOffset = &unit.Length{Value: c.ByMM, Unit: unit.MM}
		}
	}
	s.squishWas, s.squishPass = s.engine.Squish, -1
	for i := range s.b.Passes[:s.index+1] {
		p := &s.b.Passes[i]
		if max(p.Cylinder, 1) != max(s.p.Cylinder, 1) {
			continue
		}
		if len(p.Squish) > 0 {
			if s.engine.Squish = p.Squish; i < s.index {
				s.squishWas, s.squishPass = p.Squish, i
			}
		}
		if p.ChamberCC != nil {
			s.engine.ChamberCC = p.ChamberCC
		}
	}
}

// engineCorrections returns the corrections of every pass, and those tried,
// that are about the engine.
func (s *state) engineCorrections() []*build.Correction {
	var out []*build.Correction
	keep := func(cs []build.Correction) {
		for i := range cs {
			c := &cs[i]
			if aboutEngine(c) && !slices.ContainsFunc(out, func(o *build.Correction) bool { return sameRemedy(o, c) }) {
				out = append(out, c)
			}
		}
	}
	for i := range s.b.Passes {
		keep(s.b.Passes[i].Corrections)
	}
	keep(s.extra)
	return out
}

// aboutEngine says whether a correction is about the engine and not a pass.
func aboutEngine(c *build.Correction) bool {
	return c.Kind == build.CorrectScaleUnit && c.Field != "" && c.Factor > 0 || c.Kind == build.CorrectDeclareSkew
}

// scaleField divides the length that a path names. A path that names none is
// left alone.
func (s *state) scaleField(path string, by float64) {
	scaled := func(l *unit.Length) *unit.Length {
		if l == nil {
			return nil
		}
		return &unit.Length{Value: l.Value / by, Unit: l.Unit}
	}
	part, key, ok := strings.Cut(path, ".")
	if !ok {
		return
	}
	if i, isWindow := indexIn(part, "windows"); isWindow {
		if i >= len(s.shapes) {
			return
		}
		if l := windowField(&s.shapes[i], key); l != nil {
			*l = scaled(*l)
		}
		return
	}
	if i, isSquish := indexIn(key, "squish_mm"); isSquish {
		if i < len(s.engine.Squish) {
			s.engine.Squish[i] = *scaled(&s.engine.Squish[i])
		}
		return
	}
	if l := engineField(&s.engine, key); l != nil {
		*l = scaled(*l)
	}
}

// indexIn reads the place in "name[place]".
func indexIn(text, name string) (int, bool) {
	rest, ok := strings.CutPrefix(text, name+"[")
	if !ok {
		return 0, false
	}
	i, err := strconv.Atoi(strings.TrimSuffix(rest, "]"))
	return i, err == nil && i >= 0
}

func engineField(e *build.Engine, key string) **unit.Length {
	switch key {
	case "bore_mm":
		return &e.Bore
	case "stroke_mm":
		return &e.Stroke
	case "rod_mm":
		return &e.Rod
	case "pin_offset_mm":
		return &e.PinOffset
	case "base_gasket_mm":
		return &e.BaseGasket
	case "crown_below_deck_mm":
		return &e.CrownBelowDeck
	case "skirt_intake_mm":
		return &e.SkirtIntake
	case "skirt_exhaust_mm":
		return &e.SkirtExhaust
	case "squish_band_width_mm":
		return &e.SquishBandWidth
	case "squish_wire_mm":
		return &e.SquishWire
	case "ring_height_mm":
		return &e.RingHeight
	case "ring_below_crown_mm":
		return &e.RingBelowCrown
	case "carburettor_bore_mm":
		return &e.CarburettorBore
	case "stroke_u_mm":
		return &e.StrokeUncertainty
	case "rod_u_mm":
		return &e.RodUncertainty
	}
	return nil
}

func windowField(w *build.Window, key string) **unit.Length {
	switch key {
	case "chord_mm":
		return &w.Chord
	case "height_mm":
		return &w.Height
	case "corner_top_mm":
		return &w.CornerTop
	case "corner_bottom_mm":
		return &w.CornerBottom
	}
	return nil
}

// setGeometry makes the crank mechanism as far as its lengths are known.
func (s *state) setGeometry() error {
	s.geo, s.skew = nil, nil
	e := &s.engine
	if e.Stroke == nil {
		return nil
	}
	offset := mm(e.PinOffset)
	offsetU := 0.0
	for _, c := range s.engineCorrections() {
		if c.Kind == build.CorrectDeclareSkew {
			offsetU = offsetFromSums
		}
	}
	var g port.Geometry
	var err error
	if e.Rod != nil {
		g, err = port.Known(mm(e.Stroke), mm(e.Rod), offset, mm(e.StrokeUncertainty), mm(e.RodUncertainty), offsetU)
	} else {
		g, err = port.RodUnknown(mm(e.Stroke), offset, mm(e.StrokeUncertainty), offsetU)
	}
	if err != nil {
		return unit.Name(err, "engine", "mm")
	}
	s.geo = &g
	if offset != 0 {
		s.skew = &g
	}
	return nil
}

// offsetFromSums is the standard uncertainty in mm of an offset that was taken
// from pair sums, not measured: what 0.1 deg in the sums is worth.
// Independent: 1 mm makes 0.6 to 0.8 deg of pair sum at stroke 34, rod 60.
const offsetFromSums = 0.2

func mm(l *unit.Length) float64 {
	if l == nil {
		return 0
	}
	return l.MM()
}

// shapeGeometry is the geometry that says how an offset shows: the engine's
// own, or one of a stroke of 1 where the stroke is not known.
func (s *state) shapeGeometry() port.Geometry {
	if s.geo != nil {
		return *s.geo
	}
	g, err := port.RodUnknown(1, 0, 0, 0)
	if err != nil {
		panic(err) // a stroke of 1 with a rod of 1.9 turns
	}
	return g
}
