package findings

import (
	"math"
	"slices"

	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/port"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// result puts together what a pass says.
func (s *state) result() PassResult {
	r := PassResult{ID: s.p.ID, Name: s.p.Name, Cylinder: max(s.p.Cylinder, 1), Habit: s.habit,
		ZeroFrom: s.zeroBy, Windows: make([]WindowResult, 0, len(s.windows)), Applied: s.applied()}
	r.Repeatability = Repeatability{SDeg: unit.Tidy(s.pool.SD), DF: s.pool.DF, Source: s.source}
	if s.habit == build.HabitDepth {
		r.Repeatability.SDeg, r.Repeatability.SMM = 0, unit.Tidy(s.pool.SD)
	}
	if s.zero != nil {
		e := stat.Estimate{Value: s.tdc, Parts: s.zeroPts}
		r.Zero = &Zero{TDCReadsDeg: unit.Tidy(s.tdc), HalfAngleDeg: unit.Tidy(s.zero.Half), U95Deg: unit.Tidy(s.u95(&e)),
			SlipDeg: unit.Tidy(s.zero.Slip), Checks: s.zero.Checks}
	}
	if s.zeroBy != "" {
		e := stat.Estimate{Parts: s.zeroPts}
		r.ZeroU95Deg = tidied(s.u95(&e))
	}
	for i := range s.windows {
		r.Windows = append(r.Windows, s.windowResult(i, s.timing(i)))
	}
	s.blowdown(&r, s.timings)
	s.volumes(&r, s.timings)
	r.Needs = s.needs(s.timings)
	r.Problems = s.diagnose()
	doubt(&r)
	return r
}

// doubt marks the windows whose numbers a problem may have moved by more than
// their doubt says, until a remedy is consented to or it is read again.
func doubt(r *PassResult) {
	for i := range r.Problems {
		p := &r.Problems[i]
		switch p.Code {
		case CodeZeroError, CodeWheelSlipped, CodeWrongSide, CodeReversed, CodeImpossibleOrder, CodeOffset, CodeWildReading, CodeUnitSlip:
		default:
			continue
		}
		for k := range r.Windows {
			w := &r.Windows[k]
			if slices.Contains(p.Windows, w.Name) && !slices.Contains(w.DoubtedBy, p.Code) {
				w.DoubtedBy = append(w.DoubtedBy, p.Code)
			}
		}
	}
}

func (s *state) windowResult(win int, t *timing) WindowResult {
	w := &s.windows[win]
	r := WindowResult{ID: w.doc.ID, Name: w.doc.Name, Kind: w.doc.Kind, SymmetryAssumed: t.assumed}
	put := func(value, doubt **float64, e *stat.Estimate) {
		if e != nil {
			*value, *doubt = tidied(e.Value), tidied(s.u95(e))
		}
	}
	put(&r.OpensDeg, &r.OpensU95Deg, turned(t.opens))
	put(&r.ClosesDeg, &r.ClosesU95Deg, turned(t.closes))
	put(&r.DurationDeg, &r.DurationU95Deg, t.duration)
	put(&r.TravelMM, &r.TravelU95MM, t.travel)
	if t.paired && w.symmetric {
		const most = 90 // degrees; further off the numbers were read another way, and their sum says nothing
		if sum := port.PairSum(t.opens.Value, t.closes.Value); math.Abs(sum-360) <= most {
			r.PairSumDeg = tidied(sum)
		}
	}
	if s.geo != nil && t.opens != nil {
		r.DegPerMM = tidied(s.geo.DegPerMM(t.opens.Value))
		r.MMFor2Deg = tidied(s.geo.MMForDegrees(t.opens.Value, 2))
	}
	s.spread(&r, w)
	return r
}

// turned brings an angle into 0 to 360 for show.
func turned(e *stat.Estimate) *stat.Estimate {
	if e == nil {
		return nil
	}
	return &stat.Estimate{Value: unit.Turn(unit.Tidy(e.Value)), Parts: e.Parts}
}

// spread fills in repeats, their spread and the methods used.
func (s *state) spread(r *WindowResult, w *window) {
	widest := 0.0
	for _, i := range [2]int{w.o, w.c} {
		if i < 0 {
			continue
		}
		e := &s.events[i]
		widest = math.Max(widest, slices.Max(e.xs)-slices.Min(e.xs))
		r.Repeats += len(e.xs)
		for _, k := range e.idx {
			if m := s.reads[k].doc.Method; m != "" && !slices.Contains(r.Methods, m) {
				r.Methods = append(r.Methods, m)
			}
		}
	}
	switch {
	case r.Repeats == 0:
	case s.habit == build.HabitDepth:
		r.SpreadMM = tidied(widest)
	default:
		r.SpreadDeg = tidied(widest)
	}
}

// firstOf returns the window of the given kinds that opens first, or -1.
func (s *state) firstOf(timings []timing, kinds ...string) int {
	var openings []port.Opening
	var at []int
	for i := range timings {
		if timings[i].opens != nil && slices.Contains(kinds, s.windows[i].doc.Kind) {
			openings = append(openings, port.Opening{Window: s.windows[i].doc.Name, Deg: unit.Turn(timings[i].opens.Value)})
			at = append(at, i)
		}
	}
	first := port.First(openings)
	if first < 0 {
		return -1
	}
	return at[first]
}

// blowdown: from the first exhaust window to the first that opens from the
// crankcase.
func (s *state) blowdown(r *PassResult, timings []timing) {
	e := s.firstOf(timings, build.KindExhaust)
	t := s.firstOf(timings, build.KindTransfer, build.KindBoost)
	if e < 0 || t < 0 {
		return
	}
	b := timings[t].opens.Minus(*timings[e].opens)
	b.Value = port.Blowdown(timings[e].opens.Value, timings[t].opens.Value)
	r.BlowdownDeg, r.BlowdownU95Deg = tidied(b.Value), tidied(s.u95(&b))
	r.BlowdownWindow = s.windows[t].doc.Name
}

// volumes fills in displacement, ratios and squish.
func (s *state) volumes(r *PassResult, timings []timing) {
	e := &s.engine
	if q, ok := chamber.MeasuredSquish(s.squish()); ok {
		r.SquishMM = tidied(q.PinAxis)
	}
	if e.Bore == nil || e.Stroke == nil {
		return
	}
	bore, stroke := mm(e.Bore), mm(e.Stroke)
	if s.geo != nil {
		stroke = s.geo.ActualStroke()
	}
	swept := chamber.Displacement(bore, stroke)
	r.DisplacementCC = tidied(swept)
	if e.ChamberCC == nil {
		return
	}
	r.GeometricRatio = tidied(chamber.GeometricRatio(swept, *e.ChamberCC))
	if x := s.firstOf(timings, build.KindExhaust); x >= 0 && timings[x].travel != nil {
		r.TrappedRatio = tidied(chamber.TrappedRatio(bore, timings[x].travel.Value, *e.ChamberCC))
	}
}

func (s *state) squish() []float64 { return lengths(s.engine.Squish) }

func lengths(ls []unit.Length) []float64 {
	out := make([]float64, len(ls))
	for i, l := range ls {
		out[i] = l.MM()
	}
	return out
}
