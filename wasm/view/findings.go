package view

import (
	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/findings"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// FindingsView is station Findings ready to show.
type FindingsView struct {
	Pass    string // the pass shown: its name, cylinder and habit
	Passes  []PassRow
	Refused string // why nothing could be computed; "" when it could
	Empty   bool   // no reading yet

	Against  []ChangeRow // what is different in another pass
	Versus   string      // "Changed since as received"
	Problems []ProblemCard
	Quiet    bool // readings are there and nothing speaks against them
	Applied  []AppliedRow
	Ports    []PortRow
	Depths   bool // the pass was read as depths
	Blowdown Figure
	From     string // "to transfer left, which opens first"
	Facts    []Fact
	Ring     string // SVG, "" when there is nothing to draw
	RingText string
	Section  string    // address of the section, where the crank turns
	Pictures []Picture // port map, open areas
	Needs    []NeedRow
	Bench    string // address of the bench
	Differ   string // what devices set differently and nobody has decided
	Engine   string // address of the engine, where it is decided
}

// Picture is a drawing, which carries its own words, and rows that explain what
// stands in it.
type Picture struct {
	ID, Title, SVG string
	Rows           []string
}

// PassRow is one pass in the list of all.
type PassRow struct {
	ID, Name          string
	Here              bool
	Exhaust, Blowdown string
	Found             string
}

// Pressed is the value of aria-pressed.
func (p PassRow) Pressed() string { return truth(p.Here) }

// ProblemCard is one finding with its numbers and its remedy.
type ProblemCard struct {
	Code, Title, Text string
	Evidence          []Fact
	Action            string // words of the button, "" without a remedy
	Index             int    // place in the pass's problems
	Mild              bool   // nothing is wrong: something was assumed
}

// Kind is "mild" or "".
func (p ProblemCard) Kind() string {
	if p.Mild {
		return "mild"
	}
	return ""
}

// AppliedRow is a correction in force.
type AppliedRow struct{ ID, Text string }

// PortRow is one window's numbers.
type PortRow struct {
	Name          string
	Opens, Closes Figure
	Open          Figure // duration
	Travel        Figure
	Slope         string // "2° here: 0.53 mm"
	Spread        string
	PairSum       string
	Readings      string
	Note          string // "symmetry assumed", "in doubt: see the problems"
	Methods       string // how the edge was seen
}

// ChangeRow is the difference of one window to another pass.
type ChangeRow struct {
	Window              string
	Opens, Open, Travel Figure
	Word                string // whether it is more than doubt
}

// Fact is a name and a number.
type Fact struct {
	Name  string
	Value Figure
	Note  string
}

// NeedRow is what one more number would tell, and the button that leads to
// where it is given.
type NeedRow struct {
	Text, Where string
	Msg         app.Msg
}

func truth(b bool) string {
	if b {
		return "true"
	}
	return "false"
}

func findingsOf(m *app.Model) *FindingsView {
	v := &FindingsView{Bench: app.Route{Station: app.AtBench, Build: m.Open.ID}.Hash(), Engine: app.Route{Station: app.AtEngine, Build: m.Open.ID}.Hash()}
	for _, c := range m.Open.Fold.Conflicts {
		if v.Differ != "" {
			v.Differ += ", "
		}
		v.Differ += wordsOf(c.Path).name
	}
	if m.Open.Results == nil {
		v.Refused = m.Open.Err
		v.Empty = v.Refused == ""
		return v
	}
	p := m.ShownPass()
	if p == nil {
		v.Empty = true
		return v
	}
	v.Pass = p.Name + ", cylinder " + unit.Plain(float64(p.Cylinder), 0) + ", " + habitWords(p.Habit)
	v.Passes = passRows(m, p)
	v.Depths = p.Habit == "depth"
	v.Ports = portRows(p)
	v.Problems = problemCards(p)
	v.Applied = appliedRows(p)
	v.Versus, v.Against = changeRows(m.Open.Results, p)
	v.Needs = needRows(m.Open.ID, p)
	readings := 0
	for _, w := range p.Windows {
		readings += w.Repeats
	}
	v.Empty = readings == 0 && len(p.Problems) == 0
	v.Quiet = readings > 0 && len(p.Problems) == 0
	v.Blowdown = figDeg(p.BlowdownDeg, p.BlowdownU95Deg)
	if p.BlowdownWindow != "" {
		v.From = "from exhaust opens to " + p.BlowdownWindow + " opens"
		for i := range p.Windows {
			if w := &p.Windows[i]; len(w.DoubtedBy) > 0 && (w.Kind == build.KindExhaust || w.Name == p.BlowdownWindow) {
				v.From += "; in doubt until the problem above is settled"
				break
			}
		}
	}
	v.Facts = append(wheelFacts(m, p), engineFacts(p)...)
	if svg, ok := draw.Ring(p); ok {
		v.Ring, v.RingText = svg, draw.RingText(p)
		v.Section = app.Route{Station: app.AtSection, Build: m.Open.ID}.Hash()
	}
	v.Pictures = findingsPictures(m, p)
	return v
}

// findingsPictures are the port map and the open areas of the pass, and of the
// pass before it in thin lines.
func findingsPictures(m *app.Model, p *findings.PassResult) (out []Picture) {
	now, before := m.ShownCylinder()
	if now == nil {
		return nil
	}
	if pm, ok := draw.PortMap(now, draw.MapAngle(p)); ok {
		out = append(out, Picture{"map", "Port map", pm.Bare, pm.Key})
	}
	if svg, ok := draw.AreaCurves(now, before); ok {
		out = append(out, Picture{"areas", "Open area over a turn", svg, []string{"From the windows' sizes. Hatched: blowdown."}})
	}
	return out
}

// habitWords says how the wheel was used.
func habitWords(habit string) string {
	switch habit {
	case "open_zero":
		return "zero where the window opens"
	case "depth":
		return "depth from the cylinder top"
	}
	return "zero at TDC"
}

func passRows(m *app.Model, here *findings.PassResult) []PassRow {
	r := m.Open.Results
	if len(r.Passes) < 2 {
		return nil
	}
	var out []PassRow
	for i := range r.Passes {
		p := &r.Passes[i]
		row := PassRow{ID: p.ID, Name: passCalled(m.Open.Build, p.Name, p.Cylinder), Here: p == here,
			Exhaust: "not read", Blowdown: "not known", Found: "no problem"}
		for _, w := range p.Windows {
			if w.Kind == "exhaust" && w.OpensDeg != nil {
				row.Exhaust = figDeg(w.OpensDeg, nil).Value
				break
			}
		}
		if p.BlowdownDeg != nil {
			row.Blowdown = figDeg(p.BlowdownDeg, nil).Value
		}
		n := 0
		for _, pr := range p.Problems {
			if !mild(pr) {
				n++
			}
		}
		if n > 0 {
			row.Found = counted(n, "problem")
		}
		out = append(out, row)
	}
	return out
}

func portRows(p *findings.PassResult) []PortRow {
	var out []PortRow
	for _, w := range p.Windows {
		row := PortRow{
			Name:     w.Name,
			Opens:    figWhere(w.Kind, w.OpensDeg, w.OpensU95Deg),
			Closes:   figWhere(w.Kind, w.ClosesDeg, w.ClosesU95Deg),
			Open:     figDeg(w.DurationDeg, w.DurationU95Deg),
			Travel:   figMM(w.TravelMM, w.TravelU95MM),
			Spread:   figDeg(w.SpreadDeg, nil).Value,
			PairSum:  figDeg(w.PairSumDeg, nil).Value,
			Readings: unit.Plain(float64(w.Repeats), 0),
		}
		if w.SymmetryAssumed {
			row.Note = "symmetry assumed"
		}
		if len(w.DoubtedBy) > 0 {
			row.Note = "in doubt until the problem above is settled"
		}
		if w.MMFor2Deg != nil {
			row.Slope = "2° here: " + figMM(w.MMFor2Deg, nil).Value
		}
		if w.SpreadMM != nil {
			row.Spread = figMM(w.SpreadMM, nil).Value
		}
		events := 1
		if w.PairSumDeg != nil {
			events = 2
		}
		switch {
		case w.Repeats == 0:
			row.Spread = "not read"
		case w.Repeats <= events:
			row.Spread = "one reading"
		}
		if row.PairSum == "" {
			row.PairSum = "not read"
		}
		for i, how := range w.Methods {
			if i > 0 {
				row.Methods += ", "
			}
			row.Methods += how
		}
		out = append(out, row)
	}
	return out
}

// wheelFacts is what is known of the wheel: its zero, its slip, its scatter.
func wheelFacts(m *app.Model, p *findings.PassResult) []Fact {
	var out []Fact
	if z := p.Zero; z != nil {
		out = append(out, Fact{"the wheel reads at TDC", figDeg(&z.TDCReadsDeg, &z.U95Deg),
			counted(z.Checks, "stop check") + ", stop at " + unit.Fixed(z.HalfAngleDeg, 1) + "° each side"})
		if m.StopRead(app.WhenAfter) {
			out = append(out, Fact{"wheel moved during the pass", figDeg(&z.SlipDeg, nil), "stop check after, less before"})
		}
	} else if p.ZeroU95Deg != nil {
		zero := 0.0
		note := "taken on trust: no stop check"
		if p.ZeroFrom == "pairs" {
			note = "no stop check, but openings and closings mirror each other"
		}
		out = append(out, Fact{"the wheel reads at TDC", figDeg(&zero, p.ZeroU95Deg), note})
	}
	source := map[string]string{
		"pass":    "from the repeats of this pass, weighed with what is usual",
		"book":    "from your other builds, as they were read before this pass, which has no repeats",
		"assumed": "assumed: there are no repeats to tell it from",
	}[p.Repeatability.Source]
	if source != "" && p.Habit == "depth" {
		out = append(out, Fact{"scatter of one depth", figMM(&p.Repeatability.SMM, nil), source})
	} else if source != "" {
		out = append(out, Fact{"scatter of one reading", figDeg(&p.Repeatability.SDeg, nil), source})
	}
	return out
}

func engineFacts(p *findings.PassResult) []Fact {
	var out []Fact
	add := func(name string, f Figure, note string) {
		if !f.None() {
			out = append(out, Fact{name, f, note})
		}
	}
	add("displacement", figPlain(p.DisplacementCC, 2, " cc"), "one cylinder")
	add("compression, full stroke", figPlain(p.GeometricRatio, 1, " : 1"), "whole swept volume")
	add("compression, trapped", figPlain(p.TrappedRatio, 1, " : 1"), "from where the exhaust closes")
	add("squish", figMM(p.SquishMM, nil), "mean over the pin axis")
	return out
}
