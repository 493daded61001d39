package sheet

import (
	"strconv"
	"strings"
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
		t := Table{Of: "Move", Heads: []string{"As measured", "After pass", "When, device"}}
		for i, b := range s.Made {
			r := Row{Name: strconv.Itoa(i+1) + ". " + b.Move, Struck: b.Struck != ""}
			if r.Struck {
				r.How = "struck out: " + b.Struck
			}
			when := orUnknown(clock(b.At), "time not known")
			if b.Device != "" {
				when += ", " + b.Device
			}
			r.Cells = []string{b.Amount, orUnknown(b.After, "before all passes"), when}
			t.Rows = append(t.Rows, r)
		}
		p.table(&t, "made")
	}
	p.raw("</section>\n")
}

// clock is an instant as it is read: "2026-03-14 10:00 UTC" of RFC 3339's
// 2026-03-14T10:00:00Z.
func clock(at string) string {
	if len(at) < 20 || at[10] != 'T' {
		return at
	}
	zone := at[19:]
	if i := strings.IndexAny(zone, "Z+-"); i >= 0 {
		zone = zone[i:]
	}
	return at[:10] + " " + at[11:16] + " " + strings.Replace(zone, "Z", "UTC", 1)
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
		t := Table{Of: "Move", Heads: []string{"Amount", "First bite", "Then it reads"}}
		for i, s := range c.Steps {
			t.Rows = append(t.Rows, Row{Name: strconv.Itoa(i+1) + ". " + s.Move, How: s.Text, Cells: []string{s.Amount, s.FirstBite, s.Reads}})
		}
		p.table(&t, "moves")
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
	p.el("p", "fine", sizesNote)
	p.el("h3", "", "Timing wheel")
	p.picture(&s.Wheel, "little")
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
