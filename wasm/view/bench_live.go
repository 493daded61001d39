package view

import (
	"strconv"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// liveOf is what the kept readings say about the window in hand.
func liveOf(m *app.Model, q app.Question) []Cell {
	p := m.ResultInHand()
	if p == nil {
		return nil
	}
	if q.Stop() {
		return zeroCells(m, p)
	}
	for i := range p.Windows {
		if w := &p.Windows[i]; w.ID == q.Window || (w.ID == "" && w.Name == q.Name) {
			return windowCells(p, w, q, len(app.Counted(m.Open.Tally.Of(q.Window, q.Event))) > 0)
		}
	}
	return nil
}

func zeroCells(m *app.Model, p *findings.PassResult) []Cell {
	if p.Zero == nil {
		return nil
	}
	out := []Cell{
		{Label: "wheel at TDC", Value: unit.Fixed(p.Zero.TDCReadsDeg, 1) + "°", Doubt: "±" + unit.Up(p.Zero.U95Deg, 1) + "°"},
		{Label: "stop to TDC", Value: unit.Fixed(p.Zero.HalfAngleDeg, 1) + "°"},
	}
	if m.StopRead(app.WhenAfter) {
		out = append(out, Cell{Label: "moved since", Value: unit.Fixed(p.Zero.SlipDeg, 1) + "°"})
	}
	return out
}

// windowCells are a window's numbers. An event that was not read itself is the
// mirror image of the other, and says so.
func windowCells(p *findings.PassResult, w *findings.WindowResult, q app.Question, read bool) []Cell {
	var out []Cell
	add := func(label string, v, u95 *float64, decimals int, mark string) {
		if v == nil {
			return
		}
		c := Cell{Label: label, Value: unit.Fixed(*v, decimals) + mark}
		if u95 != nil {
			c.Doubt = "±" + unit.Up(*u95, decimals) + mark
		}
		out = append(out, c)
	}
	event, other, at, u95 := "opens", "closing", w.OpensDeg, w.OpensU95Deg
	if q.Event == build.Closes {
		event, other, at, u95 = "closes", "opening", w.ClosesDeg, w.ClosesU95Deg
	}
	if !read {
		add("mirror of "+other, at, u95, 1, "°")
	} else if at != nil && *at > 180 && w.Kind == build.KindIntake {
		back := 360 - *at
		add(event+" before TDC", &back, u95, 1, "°")
	} else {
		add(event+" after TDC", at, u95, 1, "°")
	}
	add("open for", w.DurationDeg, w.DurationU95Deg, 1, "°")
	if w.PairSumDeg != nil {
		add("pair sum", w.PairSumDeg, nil, 1, "°")
	} else {
		add("travel", w.TravelMM, w.TravelU95MM, 2, " mm")
	}
	if w.Kind != build.KindIntake {
		add("blowdown", p.BlowdownDeg, p.BlowdownU95Deg, 1, "°")
	}
	return out
}

// findsOf counts what the findings have to say about the pass in hand. What
// only says that something was not read yet is left for the findings' own
// page: here it is still being read.
func findsOf(m *app.Model) string {
	p := m.ResultInHand()
	if p == nil {
		return ""
	}
	n := 0
	for _, f := range p.Problems {
		switch f.Code {
		case findings.CodeSymmetryAssumed, findings.CodeGeometryUnknown:
		case findings.CodeSingleStop:
			if m.Bench.At != "stop/"+app.WhenBefore && m.Bench.At != "stop/"+app.WhenAfter {
				n++
			}
		default:
			n++
		}
	}
	switch n {
	case 0:
		return ""
	case 1:
		return "1 finding"
	}
	return strconv.Itoa(n) + " findings"
}
