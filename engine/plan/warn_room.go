package plan

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
)

// contactRoom is how near the crown may come to the head, in mm: what a squish of
// 0 can be measured as after one more cut and another gasket, two standard
// uncertainties.
func (s *base) contactRoom() float64 {
	u := SquishU
	for i := range s.doubts {
		if d := &s.doubts[i]; d.window == squishDoubt {
			if known, _, err := d.est.U(); err == nil {
				u = known
			}
		}
	}
	return 2 * math.Hypot(u, math.Hypot(BiteU, gasketU))
}

// groove is the least land over the ring that is known to be there: what a land
// of 0 can be measured as after a cut, two standard uncertainties, in mm.
const groove = 2 * math.Sqrt2 * BiteU

// ring looks at the ring against the deck at TDC, and at what a cut crown leaves
// above it. A crown that was never cut has the land that it was made with.
func (w *warner) ring(s *state) {
	w.room(WarnRingAtDeck, "", s.deck+s.ring, w.rules[ruleRing], "At TDC the ring stands %s mm below the deck, chamfer included",
		"At TDC the ring comes %s mm out of the cylinder: do not turn it")
	if made := w.p.build.Engine.RingBelowCrown; made != nil && s.ring < made.MM()-touch {
		w.room(WarnRingLand, "", s.ring, w.rules[ruleRingLand], "The crown keeps %s mm of land above the ring", "The crown is cut %s mm into the ring's groove: it is scrap")
	}
}

// room warns of a room that comes to less than its bound: below is said of one
// that is less than nothing.
func (w *warner) room(code, window string, v float64, r Rule, above, below string) {
	if v < -touch {
		above = strings.Replace(below, "%s", unit.Plain(tidy(-v), 2), 1)
	}
	w.least(code, "", window, v, r, above)
}

// window looks at one window against bore, skirt and ring.
func (w *warner) window(s *state, i int) {
	e, r := &w.p.engine, w.rules
	edge := &e.windows[i]
	name := edge.doc.Name
	switch kind := edge.doc.Kind; {
	case kind == build.KindExhaust:
		w.room(WarnFreePorting, name, s.sealLand(i), r[ruleLand],
			"At TDC the skirt covers the floor of "+name+" by %s mm", "At TDC the skirt leaves %s mm of the floor of "+name+" open: the crankcase is open to it")
	case kind == build.KindIntake && edge.skirt:
		// The intake's roof against the ring's lower edge at BDC, both below the
		// crown's edge at TDC.
		clear := s.x[i] + s.skirtIntake - s.height[i] - (e.geo.ActualStroke() + s.ring + e.ringHeight)
		w.room(WarnRingOverPort, name, clear, Rule{Bound: touch, From: fromGeometry}, "At BDC the ring clears the roof of "+name+" by %s mm",
			"At BDC the ring runs %s mm over the roof of "+name+": safe only where its ends are pinned clear of it")
	}
	if v, stroke := s.x[i], e.geo.ActualStroke(); (edge.crown || edge.skirt) && (v <= 0 || v >= stroke) {
		w.warn(WarnPastDead, "", name, v, Rule{From: fromGeometry}, "The edge of "+name+" comes to %s mm below the crown at TDC, and the piston turns round at 0 and "+unit.Plain(stroke, 2)+" mm: it never works that edge")
	}
	if edge.crown {
		if lower := s.ring + e.ringHeight; !math.IsNaN(lower) {
			w.room(WarnRingInPort, name, s.x[i]-lower, Rule{Bound: touch, From: fromGeometry}, "At TDC the ring clears the roof of "+name+" by %s mm", "At TDC the ring stands %s mm into "+name+": it springs out and catches")
		}
		w.most(WarnFloorShrouded, "", name, s.x[i]+s.height[i]-e.geo.ActualStroke(), r[ruleShroud],
			"At BDC the crown hides the lowest %s mm of "+name)
	}
	span, flatTop := s.chord[i], false
	if shape, ok := e.shape(s, i); ok {
		span = (shape.Chord - float64(shape.Bridges)*shape.BridgeWidth) / float64(shape.Bridges+1)
		flatTop = shape.Arch < flatArch*shape.Chord && shape.CornerTop < flatCorner*shape.Chord
	}
	bound, text := port.WidthLimit, " of the bore wide, past the limit for the ring even with an arched top and round corners"
	switch {
	case span >= e.bore:
		text = " of the bore wide: no window is as wide as the bore; measure it straight across, not round the bore"
	case flatTop && span <= port.WidthLimit*e.bore:
		bound, text = port.WidthStart, " of the bore wide with a flat top: arch it and round its corners before it is widened"
	}
	w.most(WarnTooWide, "", name, span/e.bore, Rule{Bound: bound, From: "Jennings 1973: begin at 62 %, 70 % is the limit"}, capital(name)+" is %s"+text)
}

// A top counts as flat when its arch and corners are less than these shares of
// the width. Common practice, no source.
const (
	flatArch   = 0.02
	flatCorner = 0.1
)
