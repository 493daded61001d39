package sheet

import (
	"strconv"
	"strings"

	"portwright/engine/draw"
	"portwright/engine/unit"
)

// page collects HTML text.
type page struct{ b strings.Builder }

//go:noinline
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
func HTML(s *Sheet) string { return alonePage(s.Title(), s.Date, Body(s)) }

// Title is the number and name of the build.
func (s *Sheet) Title() string {
	return orUnknown(strings.TrimSpace(s.Number+" "+s.Name), "Build")
}

// alonePage is a page that needs nothing else.
func alonePage(title, date, body string) string {
	p := &page{}
	p.raw("<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">",
		`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">`,
		`<meta name="viewport" content="width=device-width, initial-scale=1">`)
	p.el("title", "", title+", sheet")
	p.raw("<style>", alone, paper, PageFoot(title, date), "</style></head>\n<body><main class=\"paper\">", body, "</main></body></html>\n")
	return p.b.String()
}

// Body is the sheet as HTML for an element of class paper.
func Body(s *Sheet) string {
	p := &page{}
	p.head(s)
	for i := range s.Cylinders {
		p.cylinder(&s.Cylinders[i], len(s.Cylinders) > 1)
	}
	p.cuts(s)
	p.settings(s)
	p.caution("Before it runs", beforeRunning)
	p.foot(s)
	return p.b.String()
}

func (p *page) head(s *Sheet) {
	p.raw("<header>")
	p.el("h1", "", s.Title())
	if s.Demo {
		p.el("p", "invented", "Invented data. No such engine exists.")
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
	p.table(&c.Table, "states")
	p.problems(c.Problems)
	if len(c.Notes) > 0 {
		p.el("h3", "", "Notes")
		p.pairs(c.Notes)
	}
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
	p.raw(`<div class="two">`)
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

func (p *page) table(t *Table, class string) {
	p.raw(`<table class="`, class, `"><thead><tr>`)
	for _, h := range append([]string{orUnknown(t.Of, "Number")}, t.Heads...) {
		p.raw(`<th scope="col">`, draw.Escape(h), "</th>")
	}
	p.raw("</tr></thead><tbody>")
	for i, r := range t.Rows {
		scope := ` scope="row">`
		switch {
		case r.Struck:
			p.raw(`<tr class="struck">`)
		case r.Cells == nil:
			if i > 0 {
				p.raw("</tbody><tbody>")
			}
			p.raw(`<tr class="group">`)
			scope = ` scope="rowgroup" colspan="` + strconv.Itoa(len(t.Heads)+1) + `">`
		default:
			p.raw("<tr>")
		}
		p.raw("<th", scope, draw.Escape(r.Name))
		if r.How != "" {
			p.el("small", "", r.How)
		}
		p.raw("</th>")
		for k, c := range r.Cells {
			c = strings.ReplaceAll(draw.Escape(c), " mm", "\u00a0mm") // a unit never stands alone
			p.raw(`<td data-in="`, draw.Escape(t.Heads[k]), `">`, c, "</td>")
		}
		p.raw("</tr>")
	}
	p.raw("</tbody></table>")
	if t.Note != "" {
		p.el("p", "fine", t.Note)
	}
}

func (p *page) picture(x *Picture, class string) {
	svg := x.SVG
	if x.WidthMM > 0 {
		svg = strings.Replace(svg, "<svg ", `<svg width="`+unit.Fixed(x.WidthMM, 2)+`mm" `, 1)
	}
	p.raw(`<figure class="`, class, `"><div>`, svg, "</div>")
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
