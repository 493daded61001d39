package build

import (
	"strings"

	"portwright/engine/unit"
)

// A Doubt is a value that can be but is unlikely, with what may have been
// meant. It never stops anything.
type Doubt struct {
	Field   string // path as in Check
	Given   unit.Length
	Text    string
	Suggest *unit.Length // nil: nothing near it is usual either
}

// usual is the range in which a length of a two-stroke of 1 to 500 cc lies.
type usual struct {
	key, noun   string
	least, most float64 // mm
}

// usualLengths: common practice, no source. The ranges are wide, from a model
// engine to a large single, so that only a slipped decimal or unit falls out.
func usualLengths() []usual {
	return []usual{
		{"bore_mm", "the bore", 10, 110},
		{"stroke_mm", "the stroke", 8, 100},
		{"rod_mm", "the rod", 18, 220},
		{"pin_offset_mm", "the pin offset", -6, 6},
		{"base_gasket_mm", "the base gasket", 0, 3},
		{"crown_below_deck_mm", "the crown below the deck", -8, 8},
		{"skirt_intake_mm", "the intake skirt", 8, 120},
		{"skirt_exhaust_mm", "the exhaust skirt", 8, 120},
		{"squish_mm", "squish", 0.25, 3},
		{"squish_band_width_mm", "the squish band", 1.5, 20},
		{"squish_wire_mm", "the squish wire", 0.5, 5},
		{"ring_height_mm", "the ring", 0.4, 4},
		{"ring_below_crown_mm", "the ring below the crown", 0.5, 12},
		{"carburettor_bore_mm", "the carburettor bore", 3, 50},
		{"stroke_u_mm", "the stroke's uncertainty", 0, 1},
		{"rod_u_mm", "the rod's uncertainty", 0, 5},
		{"chord_mm", "a window's width", 2, 80},
		{"height_mm", "a window's height", 1.5, 60},
		{"corner_top_mm", "a window's corner", 0, 30},
		{"corner_bottom_mm", "a window's corner", 0, 30},
		{"arch_mm", "a roof's arch", 0, 20},
		{"bridge_mm", "a bridge", 0.5, 12},
		{"diameter_mm", "a timing wheel", 40, 700},
		{"feeler_mm", "a feeler", 0.02, 1.5},
	}
}

// DoubtLength asks whether one length is usual for its field. field may be a
// path; its last key counts, as in engine.squish_mm[1]. ok is false when there
// is nothing to doubt.
func DoubtLength(field string, l unit.Length) (d Doubt, ok bool) {
	u, ok := usualOf(field)
	if !ok || u.holds(l) {
		return Doubt{}, false
	}
	return u.doubt(field, l), true
}

// LengthName is a length's name in the trade, as in "the bore"; "" for a field
// that is none.
func LengthName(field string) string {
	u, _ := usualOf(field)
	return u.noun
}

func usualOf(field string) (u usual, ok bool) {
	key := field[strings.LastIndexByte(field, '.')+1:]
	if i := strings.IndexByte(key, '['); i >= 0 {
		key = key[:i]
	}
	for _, u := range usualLengths() {
		if u.key == key {
			return u, true
		}
	}
	return usual{}, false
}

func (u usual) holds(l unit.Length) bool {
	mm := l.MM()
	return mm >= u.least && mm <= u.most
}

func (u usual) doubt(field string, l unit.Length) Doubt {
	if l.Unit == "" {
		l.Unit = unit.MM
	}
	d := Doubt{Field: field, Given: l, Suggest: u.nearest(l)}
	text := lengthText(l)
	if l.Unit != unit.MM {
		text += " is " + lengthText(l.In(unit.MM))
	}
	d.Text = unit.Sprintf("%s: %s is usually %s to %s mm (common practice).", text, u.noun, short(u.least), short(u.most))
	if d.Suggest != nil {
		d.Text += " Did you mean " + lengthText(*d.Suggest) + "?"
	}
	return d
}

// nearest tries the same digits in another unit, then a decimal point that
// slipped by one, two or three places. Nobody gives a bore in thou: only what
// is small is tried in it.
func (u usual) nearest(l unit.Length) *unit.Length {
	units := []unit.LengthUnit{unit.MM, unit.Inch}
	if u.most < unit.MMPerInch/2 {
		units = append(units, unit.Thou)
	}
	for _, other := range units {
		if s := (unit.Length{Value: l.Value, Unit: other}); other != l.Unit && u.holds(s) {
			return &s
		}
	}
	for _, by := range []float64{10, 100, 1000} {
		for _, v := range []float64{l.Value / by, l.Value * by} {
			if s := (unit.Length{Value: v, Unit: l.Unit}); u.holds(s) {
				return &s
			}
		}
	}
	return nil
}

// DoubtDepth asks whether a window's edge may lie so deep below the cylinder
// top. Common practice, no source: between a thirtieth of the stroke and one
// and a half strokes, an intake's floor down to three; while the stroke is not
// known, between 1 and 120 mm.
func DoubtDepth(l unit.Length, stroke *unit.Length, intake bool) (d Doubt, ok bool) {
	u := usual{noun: "the edge of a window", least: 1, most: 120}
	if stroke != nil && stroke.MM() > 0 {
		u = usual{noun: "with a stroke of " + lengthText(*stroke) + " the edge", least: stroke.MM() / 30, most: 1.5 * stroke.MM()}
		if intake {
			u.most *= 2
		}
	}
	if u.holds(l) {
		return Doubt{}, false
	}
	return u.doubt("", l), true
}

func lengthText(l unit.Length) string { return short(l.Value) + " " + unitOf(l) }

// Doubts asks the same of every length of a build, and whether rod and stroke
// go together.
func Doubts(b *Build) []Doubt {
	d := &doubter{}
	b.fields(d)
	if e := b.Engine; e.Rod != nil && e.Stroke != nil && e.Stroke.MM() > 0 {
		// Common practice, no source: rods of small two-strokes are about 1.6 to
		// 2.2 strokes long; beyond 1.4 and 3 one of the two is likely wrong.
		if n := e.Rod.MM() / e.Stroke.MM(); n < 1.4 || n > 3 {
			d.found = append(d.found, Doubt{Field: "engine.rod_mm", Given: *e.Rod,
				Text: unit.Sprintf("%s is %s strokes; a rod is usually 1.6 to 2.2 strokes from eye to eye (common practice).", lengthText(*e.Rod), short(n))})
		}
	}
	return d.found
}

// doubter visits every length.
type doubter struct {
	ignore
	path  string
	found []Doubt
}

func (d *doubter) length(key string, p **unit.Length) {
	if *p != nil {
		d.ask(d.path+key, **p)
	}
}

func (d *doubter) lengths(key string, p *[]unit.Length) {
	for i, l := range *p {
		d.ask(unit.Sprintf("%s%s[%d]", d.path, key, i), l)
	}
}

func (d *doubter) ask(field string, l unit.Length) {
	if doubt, ok := DoubtLength(field, l); ok {
		d.found = append(d.found, doubt)
	}
}

func (d *doubter) part(key string, p Part) { d.under(key+".", p) }

func (d *doubter) some(key string, p Part) { d.under(key+".", p) }
func (d *doubter) own(key string, p Part)  { d.under(key+".", p) }

func (d *doubter) list(key string, l list) {
	for i := range l.size() {
		d.under(unit.Sprintf("%s[%d].", key, i), l.at(i))
	}
}

func (d *doubter) under(name string, p Part) {
	outer := d.path
	d.path += name
	p.fields(d)
	d.path = outer
}
