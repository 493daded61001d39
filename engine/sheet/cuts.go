package sheet

import (
	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

// Cuts is what is planned.
type Cuts struct {
	Status, Text string
	Steps        []Step
	Missed       []string
	Warnings     []string
}

// Step is one move of the plan in words.
type Step struct{ Move, Amount, FirstBite, Reads, Text string }

func cutsOf(r *plan.Result) *Cuts {
	out := &Cuts{Status: r.Status, Text: "From pass “" + r.Pass + "”: " + r.Text}
	for i := range r.Moves {
		m := &r.Moves[i]
		s := Step{Move: plan.Name(m.Move), Text: m.Text}
		if m.Window != "" {
			s.Move += ", " + m.Window
		}
		switch {
		case m.ToMM != nil:
			s.Amount = "to " + unit.Fixed(*m.ToMM, 2) + " mm"
		case m.ToMM2 != nil:
			s.Amount = "to " + unit.Fixed(*m.ToMM2, 0) + " mm²"
		case m.ByMM != nil:
			s.Amount = unit.Fixed(*m.ByMM, 2)
			if m.U95MM != nil {
				s.Amount += " " + draw.Doubt(*m.U95MM, 2)
			}
			s.Amount += " mm"
		}
		switch {
		case m.FirstBiteMM == nil:
		case *m.FirstBiteMM > 0:
			s.FirstBite = unit.Plain(*m.FirstBiteMM, 3) + " mm"
		default:
			s.FirstBite = "read again first"
		}
		s.Reads = readsWords(m.WheelAfter)
		if bite := readsWords(m.WheelBite); bite != "" && bite != s.Reads {
			s.Reads = "after the first bite " + bite + "; after the whole cut " + s.Reads
		}
		out.Steps = append(out.Steps, s)
	}
	for _, m := range r.Misses {
		reached := notKnown
		if m.Reached != nil {
			reached = unit.Plain(*m.Reached, 2)
		}
		out.Missed = append(out.Missed, nameOf(m.Target)+": wanted "+unit.Plain(m.Wanted, 2)+", reached "+reached)
	}
	for _, v := range r.Warnings {
		out.Warnings = append(out.Warnings, v.Text)
	}
	return out
}

func nameOf(key string) string {
	for _, n := range plan.NumberNames() {
		if n.Key == key {
			return n.Name
		}
	}
	return key
}

// Bite is metal that was taken off, in words.
type Bite struct{ Move, Amount, After, At, Device, Struck string }

func bitesOf(b *build.Build) (out []Bite) {
	for i := range b.Bites {
		x := &b.Bites[i]
		t := Bite{Move: plan.Name(x.Move.Move), After: x.Pass, At: x.At, Device: x.Device, Struck: x.Struck}
		if x.Window != "" {
			t.Move += ", " + x.Window
		}
		if max(b.Engine.Cylinders, 1) > 1 {
			t.Move += ", cylinder " + unit.Plain(float64(max(x.Cylinder, 1)), 0)
		}
		switch {
		case x.ToMM != nil:
			t.Amount = "to " + unit.Fixed(x.ToMM.MM(), 2) + " mm"
		case x.ByMM != nil:
			t.Amount = unit.Fixed(x.ByMM.MM(), 2) + " " + draw.Doubt(2*plan.BiteU, 2) + " mm"
		case x.ToMM2 != nil:
			t.Amount = "to " + unit.Fixed(*x.ToMM2, 0) + " mm²"
		}
		out = append(out, t)
	}
	return
}

// readsWords is "exhaust opens 101.5, exhaust closes 259.5".
func readsWords(rs []plan.Reading) string {
	out := ""
	for k, rd := range rs {
		if k > 0 {
			out += ", "
		}
		switch {
		case rd.ReadsMM != nil:
			out += rd.Window + " " + unit.Fixed(*rd.ReadsMM, 2) + " mm deep"
		case rd.ReadsDeg != nil:
			out += rd.Window + " " + rd.Event + " " + unit.Fixed(*rd.ReadsDeg, 1)
		}
	}
	return out
}
