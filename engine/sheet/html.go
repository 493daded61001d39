package sheet

import (
	"strconv"
	"strings"

	"portwright/engine/draw"
	"portwright/engine/unit"
)

// page collects HTML text.
type page struct{ b strings.Builder }

func (p *page) raw(s ...string) {
	for _, x := range s {
		p.b.WriteString(x)
	}
}

// el writes an element that holds a text.
func (p *page) el(tag, class, text string) {
	p.raw("<", tag)
	if class != "" {
		p.raw(` class="`, class, `"`)
	}
	p.raw(">", draw.Escape(text), "</", tag, ">")
}

// HTML writes the sheet as one page: no script, nothing fetched, no style but
// its own.
func HTML(s *Sheet) string {
	p := &page{}
	title := strings.TrimSpace(s.Number + " " + s.Name)
	if title == "" {
		title = "Build"
	}
	p.start(title, s.Date)
	p.head(s, title)
	for i := range s.Cylinders {
		p.cylinder(&s.Cylinders[i], len(s.Cylinders) > 1)
	}
	p.cuts(s)
	p.settings(s)
	p.caution("Before it runs", beforeRunning)
	p.foot(s)
	p.raw("</body></html>\n")
	return p.b.String()
}

// start opens the page.
func (p *page) start(title, date string) {
	p.raw("<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">",
		`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`,
		`<meta name="viewport" content="width=device-width, initial-scale=1">`)
	p.el("title", "", title+", sheet")
	p.raw("<style>", style, pageFoot(title, date), "</style></head>\n<body>")
}

func (p *page) head(s *Sheet, title string) {
	p.raw("<header>")
	p.el("h1", "", title)
	if s.Demo {
		p.el("p", "demo", "Invented data. No such engine exists.")
	}
	if s.State != "" {
		p.el("p", "", "State: "+s.State)
	}
	if s.Note != "" {
		p.el("p", "", s.Note)
	}
	p.raw("</header>\n")
}

func (p *page) caution(title string, all []string) {
	p.raw(`<aside class="caution">`)
	p.el("h3", "", title)
	p.list("ul", all)
	p.raw("</aside>\n")
}

func (p *page) list(tag string, all []string) {
	p.raw("<", tag, ">")
	for _, x := range all {
		p.el("li", "", x)
	}
	p.raw("</", tag, ">")
}

func (p *page) cylinder(c *Cylinder, named bool) {
	p.raw(`<section>`)
	title := "Before and after"
	if len(c.Table.Heads) < 2 {
		title = "As it is"
	}
	if named {
		title = "Cylinder " + strconv.Itoa(c.Number) + ": " + strings.ToLower(title[:1]) + title[1:]
	}
	p.el("h2", "", title)
	if len(c.Table.Rows) == 0 {
		p.el("p", "", "Not read yet.")
		p.raw("</section>\n")
		return
	}
	p.table(&c.Table)
	p.problems(c.Problems)
	if len(c.Applied) > 0 {
		p.el("h3", "", "Corrections in force; the readings stay as they were read")
		p.list("ul", c.Applied)
	}
	if len(c.Needs) > 0 {
		p.el("h3", "", "Not known, and what it would tell")
		p.list("ul", c.Needs)
	}
	p.caution("While reading", beforeReading)
	p.pictures(c.Pictures)
	p.raw("</section>\n")
}

func (p *page) problems(all []Problem) {
	if len(all) == 0 {
		return
	}
	p.el("h3", "", "To be settled")
	p.raw("<ul>")
	for _, x := range all {
		p.raw("<li><strong>", draw.Escape(x.Title), "</strong> (", draw.Escape(x.Pass), "). ", draw.Escape(x.Text), "</li>")
	}
	p.raw("</ul>")
}

// pictures writes those that share a row, then the wide ones.
func (p *page) pictures(all []Picture) {
	p.raw(`<div class="pair">`)
	for i := range all {
		if x := &all[i]; !x.Wide {
			p.picture(x, "")
		}
	}
	p.raw("</div>")
	for i := range all {
		if x := &all[i]; x.Wide {
			p.picture(x, "full")
		}
	}
}

func (p *page) table(t *Table) {
	p.raw(`<div class="wide"><table class="states"><thead><tr><th scope="col">Number</th>`)
	for _, h := range t.Heads {
		p.raw(`<th scope="col">`, draw.Escape(h), "</th>")
	}
	p.raw("</tr></thead>")
	open := false
	for _, r := range t.Rows {
		if r.Cells == nil {
			if open {
				p.raw("</tbody>")
			}
			open = true
			p.raw(`<tbody><tr class="group"><th scope="rowgroup" colspan="`, strconv.Itoa(len(t.Heads)+1), `">`, draw.Escape(r.Name))
			if r.How != "" {
				p.el("small", "", r.How)
			}
			p.raw("</th></tr>")
			continue
		}
		if !open {
			open = true
			p.raw("<tbody>")
		}
		p.raw(`<tr><th scope="row">`, draw.Escape(r.Name))
		if r.How != "" {
			p.el("small", "", r.How)
		}
		p.raw("</th>")
		for _, c := range r.Cells {
			p.el("td", "", c)
		}
		p.raw("</tr>")
	}
	if open {
		p.raw("</tbody>")
	}
	p.raw("</table></div>")
	if t.Note != "" {
		p.el("p", "note", t.Note)
	}
}

func (p *page) picture(x *Picture, class string) {
	p.raw(`<figure class="`, class, `"><div`)
	if x.WidthMM > 0 {
		p.raw(` style="width:`, unit.Fixed(x.WidthMM, 2), `mm"`)
	}
	p.raw(">", x.SVG, "</div>")
	if len(x.Rows) > 0 {
		p.raw(`<ul class="key">`)
		for _, r := range x.Rows {
			p.el("li", "", r)
		}
		p.raw("</ul>")
	}
	p.el("figcaption", "", x.Caption)
	p.raw("</figure>")
}

func (p *page) foot(s *Sheet) {
	p.raw("<footer>")
	p.say("Number", s.Number)
	p.say("Date", s.Date)
	p.say("Device", s.Device)
	readings := counted(s.Readings, "reading")
	if s.Struck > 0 {
		readings += ", " + strconv.Itoa(s.Struck) + " struck out"
	}
	p.say("Kept", readings)
	p.say("Build file", s.Digest)
	p.raw("</footer>")
}

// say writes one item of the foot.
func (p *page) say(name, value string) {
	if value == "" {
		value = notKnown
	}
	p.raw("<span>", draw.Escape(name), " <b>", draw.Escape(value), "</b></span> ")
}
