package sheet

import (
	"strconv"

	"portwright/engine/draw"
)

// cuts writes what is planned and what was cut.
func (p *page) cuts(s *Sheet) {
	p.raw("<section>")
	p.el("h2", "", "Cuts")
	p.caution("Before any cut", beforeCutting)
	p.el("h3", "", "Planned")
	switch {
	case s.NoPlan != "":
		p.el("p", "", "There are targets, but no plan yet: "+s.NoPlan)
	case s.Plan == nil:
		p.el("p", "", "Nothing is planned: the build has no targets.")
	default:
		p.el("p", "", s.Plan.Text)
		p.steps(s.Plan)
	}
	p.el("h3", "", "Made")
	if len(s.Made) == 0 {
		p.el("p", "", "No cut is noted.")
	} else {
		p.raw(`<div class="wide"><table><thead><tr><th>#</th><th>Move</th><th>As measured</th><th>After pass</th><th>When, device</th></tr></thead><tbody>`)
		for i, b := range s.Made {
			p.raw("<tr")
			if b.Struck != "" {
				p.raw(` class="struck"`)
			}
			p.raw("><td>", strconv.Itoa(i+1), `</td><th scope="row">`, draw.Escape(b.Move))
			if b.Struck != "" {
				p.el("small", "", "struck out: "+b.Struck)
			}
			p.raw("</th>")
			p.el("td", "", b.Amount)
			p.el("td", "", orUnknown(b.After, "before all passes"))
			when := orUnknown(b.At, "time not known")
			if b.Device != "" {
				when += ", " + b.Device
			}
			p.el("td", "", when)
			p.raw("</tr>")
		}
		p.raw("</tbody></table></div>")
	}
	p.raw("</section>\n")
}

// orUnknown is a text, or another where there is none.
func orUnknown(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func (p *page) steps(c *Cuts) {
	if len(c.Steps) > 0 {
		p.raw(`<div class="wide"><table class="fixed"><thead><tr><th>#</th><th>Move</th><th>Amount</th><th>First bite</th><th>Then it reads</th></tr></thead><tbody>`)
		for i, s := range c.Steps {
			p.raw("<tr><td>", strconv.Itoa(i+1), `</td><th scope="row">`, draw.Escape(s.Move))
			if s.Text != "" {
				p.el("small", "", s.Text)
			}
			p.raw("</th>")
			p.el("td", "", s.Amount)
			p.el("td", "", s.FirstBite)
			p.el("td", "", s.Reads)
			p.raw("</tr>")
		}
		p.raw("</tbody></table></div>")
	}
	if len(c.Missed) > 0 {
		p.el("h3", "", "Targets that are missed")
		p.list("ul", c.Missed)
	}
	if len(c.Warnings) > 0 {
		p.el("h3", "", "Take care")
		p.list("ul", c.Warnings)
	}
}

// settings writes what is known of engine, windows and wheel.
func (p *page) settings(s *Sheet) {
	p.raw("<section>")
	p.el("h2", "", "Engine and settings before the work")
	p.raw(`<div class="columns">`)
	p.pairs(s.Engine)
	p.raw("</div>")
	if len(s.WindowSizes) > 0 {
		p.el("h3", "", "Windows")
		p.pairs(s.WindowSizes)
	}
	p.el("p", "note", sizesNote)
	p.el("h3", "", "Timing wheel")
	p.picture(&s.Wheel, "small")
	p.raw("</section>\n")
}

func (p *page) pairs(all []Pair) {
	p.raw("<dl>")
	for _, x := range all {
		p.raw("<div>")
		p.el("dt", "", x.Name)
		p.el("dd", "", x.Value)
		p.raw("</div>")
	}
	p.raw("</dl>")
}
