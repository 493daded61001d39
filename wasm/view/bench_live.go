package view

import (
	"strconv"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// passResult is what the findings say of the pass in hand.
func passResult(m *app.Model) *findings.PassResult {
	if m.Open == nil || m.Open.Results == nil {
		return nil
	}
	for i := range m.Open.Results.Passes {
		if p := &m.Open.Results.Passes[i]; p.ID == m.Open.Pass {
			return p
		}
	}
	return nil
}

// liveOf is what the kept readings say about the window in hand.
func liveOf(m *app.Model, q app.Question) []Cell {
	p := passResult(m)
	if p == nil {
		return nil
	}
	if q.Stop() {
		return zeroCells(p)
	}
	for i := range p.Windows {
		if w := &p.Windows[i]; w.ID == q.Window || (w.ID == "" && w.Name == q.Name) {
			return windowCells(p, w, q)
		}
	}
	return nil
}

func zeroCells(p *findings.PassResult) []Cell {
	if p.Zero == nil {
		return nil
	}
	return []Cell{
		{Label: "wheel at TDC", Value: unit.Fixed(p.Zero.TDCReadsDeg, 1) + "°", Doubt: "±" + unit.Fixed(p.Zero.U95Deg, 1)},
		{Label: "stop to TDC", Value: unit.Fixed(p.Zero.HalfAngleDeg, 1) + "°"},
		{Label: "moved since", Value: unit.Fixed(p.Zero.SlipDeg, 1) + "°"},
	}
}

func windowCells(p *findings.PassResult, w *findings.WindowResult, q app.Question) []Cell {
	var out []Cell
	add := func(label string, v, u95 *float64, decimals int, mark string) {
		if v == nil {
			return
		}
		c := Cell{Label: label, Value: unit.Fixed(*v, decimals) + mark}
		if u95 != nil {
			c.Doubt = "±" + unit.Fixed(*u95, decimals)
		}
		out = append(out, c)
	}
	event, at, u95 := "opens", w.OpensDeg, w.OpensU95Deg
	if q.Event == build.Closes {
		event, at, u95 = "closes", w.ClosesDeg, w.ClosesU95Deg
	}
	if at != nil && *at > 180 && w.Kind == build.KindIntake {
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

// findsOf counts what the findings have to say about the pass in hand.
func findsOf(m *app.Model) string {
	p := passResult(m)
	if p == nil || len(p.Problems) == 0 {
		return ""
	}
	if len(p.Problems) == 1 {
		return "1 finding"
	}
	return strconv.Itoa(len(p.Problems)) + " findings"
}
