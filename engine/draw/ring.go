package draw

import (
	"math"
	"sort"
	"strings"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// Sizes of the ring in picture units; the picture is made for 336 px width.
const (
	ringR    = 100.0 // the graduated circle
	laneTop  = 88.0  // middle of the outermost lane
	laneStep = 14.0  // from lane to lane while they fit
	laneMin  = 52.0  // innermost lane: the middle belongs to the words
	ringHalf = 182.0 // half the picture's width: room for the words outside

	changeHalf = 206.0 // the same where the old numbers stand there too
)

// span is one window's open time on the ring.
type span struct {
	name, kind  string
	opens, open float64 // degrees after TDC, degrees open
	lane        int
}

func (s span) closes() float64 { return unit.Turn(s.opens + s.open) }

// Ring is the timing ring of one pass: one turn of the crank, TDC at the top,
// turning clockwise, each window's open time as an arc. ok is false when no
// window has both an opening and a duration.
func Ring(p *findings.PassResult) (svg string, ok bool) {
	return ring(p, "Timing ring of "+p.Name, RingText(p), nil)
}

// RingChange is the timing ring after some work, with what it was before: a
// thin line inside each arc, and the old numbers under the new ones. ok is as
// for Ring.
func RingChange(before, after *findings.PassResult) (svg string, ok bool) {
	return ring(after, "Timing ring of "+after.Name+", thin lines "+before.Name,
		after.Name+": "+RingText(after)+". "+before.Name+": "+RingText(before), append([]span{}, ringSpans(before)...))
}

// ring draws a pass, and what was before where before is not nil.
func ring(p *findings.PassResult, title, text string, before []span) (svg string, ok bool) {
	spans := ringSpans(p)
	if len(spans) == 0 {
		return "", false
	}
	lanes := setLanes(spans)
	var c canvas
	half := ringHalf
	if before != nil {
		half = changeHalf
	}
	c.open([4]float64{-half, -132, 2 * half, 264}, "ring", title, text)
	ringScale(&c)
	for _, s := range spans {
		r := laneRadius(s.lane, lanes)
		ringArc(&c, s, r)
		if was, ok := firstOf(before, func(o span) bool { return o.name == s.name }); ok {
			in := r - math.Min(6.5, laneStep/2)
			c.mark("before", spoke(was.opens, in-2.5, in+2.5)+arc(was.opens, was.closes(), in)+spoke(was.closes(), in-2.5, in+2.5), 0.9, "")
		}
	}
	blowdown(&c, p, spans, lanes)
	ringLabels(&c, labelled(p, spans), before, lanes)
	ringMiddle(&c, p, spans)
	return c.close(), true
}

// RingText says in words what the ring shows.
func RingText(p *findings.PassResult) string {
	var parts []string
	for _, s := range ringSpans(p) {
		parts = append(parts, s.name+" opens "+Where(s.kind, s.opens)+" and closes "+Where(s.kind, s.closes())+
			", open for "+degrees(s.open))
	}
	if p.BlowdownDeg != nil {
		parts = append(parts, "blowdown "+degrees(*p.BlowdownDeg))
	}
	return strings.Join(parts, "; ")
}

// Where says an angle after TDC the way the trade does: an intake that opens
// in the second half of the turn is given before TDC.
func Where(kind string, deg float64) string {
	if Before(kind, deg) {
		return degrees(360-deg) + " before TDC"
	}
	return degrees(deg) + " after TDC"
}

// Before says whether an angle is given before TDC, as Where does.
func Before(kind string, deg float64) bool { return kind == build.KindIntake && deg > 180 }

func ringSpans(p *findings.PassResult) []span {
	var out []span
	for _, w := range p.Windows {
		if w.OpensDeg == nil || w.DurationDeg == nil || !(*w.DurationDeg > 0) || !(*w.DurationDeg < 360) {
			continue
		}
		if math.IsInf(*w.OpensDeg, 0) || math.IsNaN(*w.OpensDeg) {
			continue
		}
		out = append(out, span{name: w.Name, kind: w.Kind, opens: *w.OpensDeg, open: *w.DurationDeg})
	}
	order := map[string]int{build.KindExhaust: 0, build.KindIntake: 1, build.KindTransfer: 2, build.KindBoost: 3}
	sort.SliceStable(out, func(i, j int) bool { return order[out[i].kind] < order[out[j].kind] })
	return out
}

// setLanes gives each span the outermost lane on which it touches no other,
// and returns how many lanes are used. Transfers stay off the exhaust's lane.
func setLanes(spans []span) int {
	var used [][]span
	for i := range spans {
		lane := 0
		if k := spans[i].kind; k == build.KindTransfer || k == build.KindBoost {
			lane = 1
		}
		for ; lane < len(used); lane++ {
			free := true
			for _, o := range used[lane] {
				if overlap(spans[i], o) {
					free = false
				}
			}
			if free {
				break
			}
		}
		for len(used) <= lane {
			used = append(used, nil)
		}
		spans[i].lane = lane
		used[lane] = append(used[lane], spans[i])
	}
	return len(used)
}

// overlap says whether two spans share an angle, with 2 deg to spare.
func overlap(a, b span) bool {
	const spare = 2
	return unit.Turn(b.opens-a.opens) < a.open+spare || unit.Turn(a.opens-b.opens) < b.open+spare
}

func laneRadius(lane, lanes int) float64 {
	step := laneStep
	if lanes > 1 {
		step = math.Min(step, (laneTop-laneMin)/float64(lanes-1))
	}
	return laneTop - step*float64(lane)
}

func ringArc(c *canvas, s span, r float64) {
	switch s.kind {
	case build.KindExhaust:
		c.path(arc(s.opens, s.closes(), r), 9, "")
	case build.KindIntake:
		c.path(arc(s.opens, s.closes(), r), 8, "7 4")
	default:
		c.path(arc(s.opens, s.closes(), r+2.5), 1.6, "")
		c.path(arc(s.opens, s.closes(), r-2.5), 1.6, "")
		c.path(spoke(s.opens, r-3.3, r+3.3), 1.6, "")
		c.path(spoke(s.closes(), r-3.3, r+3.3), 1.6, "")
	}
}

func ringScale(c *canvas) {
	c.circle(ringR, 1.4)
	for a := 0.0; a < 360; a += 10 {
		in, w := ringR-3, 0.8
		if math.Mod(a, 30) == 0 {
			in, w = ringR-6, 1.4
		}
		c.path(spoke(a, in, ringR), w, "")
	}
	c.path(spoke(0, 30, ringR)+spoke(180, 30, ringR), 0.6, "2 4")
	c.text(0, -ringR-10, 17, "middle", true, "TDC")
	c.text(0, ringR+22, 17, "middle", true, "BDC")
	c.path(arc(14, 40, ringR+9), 1.4, "")
	tip := ringR + 9.0
	c.solid("M" + at(44, tip) + "L" + at(38, tip+5) + "L" + at(38, tip-5) + "Z")
}

// blowdown hatches the turn between the exhaust's opening and the transfer's
// that opens first, on the lane under the exhaust.
func blowdown(c *canvas, p *findings.PassResult, spans []span, lanes int) {
	if p.BlowdownDeg == nil || !(*p.BlowdownDeg > 0) {
		return
	}
	ex, ok := firstOf(spans, func(s span) bool { return s.kind == build.KindExhaust })
	if !ok {
		return
	}
	r := laneRadius(1, max(lanes, 2))
	end := ex.opens + *p.BlowdownDeg
	for a := ex.opens + 0.5; a < end-0.5; a += 2.4 {
		c.path("M"+at(math.Min(a+2, end), r-5)+"L"+at(a, r+5), 0.9, "")
	}
}

func firstOf(spans []span, is func(span) bool) (span, bool) {
	best, ok := span{}, false
	for _, s := range spans {
		if is(s) && (!ok || s.opens < best.opens) {
			best, ok = s, true
		}
	}
	return best, ok
}

// labelled picks the spans whose ends get a number outside the ring: the first
// exhaust, the transfer that blowdown runs to, the first intake. The rest are
// in the table beside the picture.
func labelled(p *findings.PassResult, spans []span) []span {
	var out []span
	if s, ok := firstOf(spans, func(s span) bool { return s.kind == build.KindExhaust }); ok {
		out = append(out, s)
	}
	transfer := func(s span) bool { return s.kind == build.KindTransfer || s.kind == build.KindBoost }
	if s, ok := firstOf(spans, func(s span) bool { return transfer(s) && s.name == p.BlowdownWindow }); ok {
		out = append(out, s)
	} else if s, ok := firstOf(spans, transfer); ok {
		out = append(out, s)
	}
	if s, ok := firstOf(spans, func(s span) bool { return s.kind == build.KindIntake }); ok {
		out = append(out, s)
	}
	return out
}

func ringMiddle(c *canvas, p *findings.PassResult, spans []span) {
	if p.BlowdownDeg != nil {
		c.text(0, 2, 34, "middle", true, degrees(*p.BlowdownDeg))
		c.text(0, 20, 16, "middle", false, "blowdown")
		return
	}
	s := spans[0]
	c.text(0, 2, 34, "middle", true, degrees(s.open))
	c.text(0, 20, 16, "middle", false, s.kind+" open")
}
