package sheet

import (
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// Side is one side of a comparison: a pass of a build, by its place from 1; 0:
// the last.
type Side struct {
	Build    *build.Build
	Pass     int
	Findings findings.Options
	Digest   string // of the build file; "": left out
}

// Comparison is two passes side by side, of one build or of two, worded and
// ready to be set.
type Comparison struct {
	Title    string
	Demo     bool // one of them is invented
	Names    [2]string
	Table    Table // numbers, with the second less the first
	Engine   Table // sizes before all work
	Problems []Problem
	Pictures []Picture
	Date     string
	Digests  [2]string
}

// side is a Side worked out.
type side struct {
	work
	at int // place of the pass, from 0
}

func (s *Side) workOut(field string) (*side, error) {
	r, err := findings.Run(s.Build, s.Findings)
	if err != nil {
		return nil, err
	}
	measured, b, err := findings.Measure(s.Build, s.Findings)
	if err != nil {
		return nil, err
	}
	n := len(r.Passes)
	at := s.Pass
	if at == 0 {
		at = n
	}
	switch {
	case n == 0:
		return nil, &unit.InputError{Field: field, Value: strconv.Itoa(s.Pass), Reason: "must be a pass that was read, and this build has none"}
	case at < 1 || at > n:
		return nil, &unit.InputError{Field: field, Value: strconv.Itoa(s.Pass), Reason: "must be 1 to " + strconv.Itoa(n) + ", the passes of the build"}
	}
	return &side{work: work{b: b, measured: measured, results: r.Passes, comparisons: r.Comparisons}, at: at - 1}, nil
}

// name is what a side is called: as much as tells it from the other.
func (s *side) name(o *side) string {
	r := &s.results[s.at]
	name := r.Name
	if s.b.Number != o.b.Number || s.b.Name != o.b.Name {
		if of := strings.TrimSpace(s.b.Number + " " + s.b.Name); of != "" {
			name = of + ", " + name
		}
	}
	if max(s.b.Engine.Cylinders, 1) > 1 || max(o.b.Engine.Cylinders, 1) > 1 {
		name += ", cylinder " + strconv.Itoa(max(r.Cylinder, 1))
	}
	return name
}

// Compare sets two passes side by side. Windows go by their names. Errors are
// those of findings.Run, and an *unit.InputError for a pass that is not there.
func Compare(first, second Side) (*Comparison, error) {
	a, err := first.workOut("first pass")
	if err != nil {
		return nil, err
	}
	b, err := second.workOut("second pass")
	if err != nil {
		return nil, err
	}
	out := &Comparison{Demo: a.b.Demo || b.b.Demo, Names: [2]string{a.name(b), b.name(a)}, Digests: [2]string{first.Digest, second.Digest}}
	if out.Names[0] == out.Names[1] {
		out.Names = [2]string{out.Names[0] + " (first)", out.Names[1] + " (second)"}
	}
	out.Title = out.Names[0] + " and " + out.Names[1]
	states := []State{a.state(a.at), b.state(b.at)}
	for i := range states {
		states[i].Name, states[i].Short = out.Names[i], [2]string{"first", "second"}[i]
		for g := range states[i].Groups {
			for k := range states[i].Groups[g].Numbers {
				n := &states[i].Groups[g].Numbers[k]
				n.Steady = n.Steady && first.Build == second.Build
			}
		}
	}
	out.Table = sideBySide(states, "second less first")
	out.Table.Note = angles + " A difference is real where it is larger than its doubt."
	out.Engine = Table{Heads: out.Names[:], Note: sizesNote}
	other := engineRows(&b.measured[b.at].Engine, b.measured[b.at].Crank)
	for i, p := range engineRows(&a.measured[a.at].Engine, a.measured[a.at].Crank) {
		out.Engine.Rows = append(out.Engine.Rows, Row{Name: p.Name, Cells: []string{p.Value, other[i].Value}})
	}
	for i, s := range [2]*side{a, b} {
		for _, p := range s.results[s.at].Problems {
			out.Problems = append(out.Problems, Problem{Pass: out.Names[i], Title: p.Title, Text: p.Text})
		}
	}
	out.draw(a, b)
	return out, nil
}

// draw makes the pictures: the second side with the first in thin lines, and
// both port maps.
func (c *Comparison) draw(a, b *side) {
	before, after := a.results[a.at], b.results[b.at]
	before.Name, after.Name = c.Names[0], c.Names[1]
	if svg, ok := draw.RingChange(&before, &after); ok {
		c.Pictures = append(c.Pictures, Picture{SVG: svg, Caption: "Timing ring, " + after.Name + "; thin lines and “was”: " + before.Name + ". " + lines})
	}
	was, now := a.drawn(a.at), b.drawn(b.at)
	was.Name, now.Name = before.Name, after.Name
	if svg, ok := draw.AreaCurves(now, was); ok {
		c.Pictures = append(c.Pictures, Picture{SVG: svg, Caption: "Open area over a turn; thick: " + now.Name + ", thin: " + was.Name + "."})
	}
	for i, s := range [2]*side{a, b} {
		if m, ok := draw.PortMap([2]*draw.Cylinder{was, now}[i], draw.MapAngle(&s.results[s.at])); ok {
			c.Pictures = append(c.Pictures, Picture{SVG: m.Bare, Rows: m.Key, Caption: "Port map, " + c.Names[i] + "."})
		}
	}
}

// CompareHTML writes a comparison as one page, as HTML does a sheet.
func CompareHTML(c *Comparison) string { return alonePage(c.Title, c.Date, CompareBody(c)) }

// CompareBody is a comparison as HTML for an element of class paper.
func CompareBody(c *Comparison) string {
	p := &page{}
	p.raw("<header>")
	p.el("h1", "", c.Title)
	if c.Demo {
		p.el("p", "invented", "Invented data among it. No such engine exists.")
	}
	p.raw("</header>\n<section>")
	p.el("h2", "", "Side by side")
	p.table(&c.Table, "states")
	p.problems(c.Problems)
	p.pictures(c.Pictures)
	p.raw("</section>\n<section>")
	p.el("h2", "", "Engine and settings before the work")
	p.table(&c.Engine, "")
	p.raw("</section>\n")
	p.caution("Before it runs", beforeRunning)
	p.raw("<footer>")
	p.say("Date", c.Date)
	for i, d := range c.Digests {
		p.say(c.Names[i], d)
	}
	p.raw("</footer>")
	return p.b.String()
}
