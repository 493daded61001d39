package app

import (
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// FieldKind is what a field of station Engine takes.
type FieldKind int

// The kinds.
const (
	FieldLength FieldKind = iota // a number with a unit; may be "not known"
	FieldNumber                  // a plain number; may be "not known"
	FieldWhole                   // a whole number from 1
	FieldText                    // words
	FieldChoice                  // one of Options
)

// FieldSpec is one field: Path as in the record, for a place of the squish
// list with its number behind, as in "engine.squish_mm[1]".
type FieldSpec struct {
	Path    string
	Kind    FieldKind
	Options []string
	Signed  bool // may be below zero
	Needed  bool // can't be left without a value: a name
}

// FieldGroup is a heading's worth of fields, in the order of work.
type FieldGroup struct {
	ID     string // "job", "crank", ..., "windows/<id>", "passes/<id>"
	Fields []FieldSpec
}

// squishPlaces is how many places of squish are asked for: both ends of the
// pin axis, front and back.
const squishPlaces = 4

// maxPlaces is the most places that any list is asked for.
const maxPlaces = 8

// FieldGroups lists every field of a build.
func FieldGroups(b *build.Build) []FieldGroup {
	length := func(path string) FieldSpec { return FieldSpec{Path: path, Kind: FieldLength} }
	signed := func(path string) FieldSpec { return FieldSpec{Path: path, Kind: FieldLength, Signed: true} }
	number := func(path string) FieldSpec { return FieldSpec{Path: path, Kind: FieldNumber} }
	text := func(path string, needed bool) FieldSpec {
		return FieldSpec{Path: path, Kind: FieldText, Needed: needed}
	}
	choice := func(path string, options ...string) FieldSpec {
		return FieldSpec{Path: path, Kind: FieldChoice, Options: options}
	}
	squish := []FieldSpec{}
	for i := range min(squishPlaces, len(b.Engine.Squish)+1) {
		squish = append(squish, length("engine.squish_mm["+strconv.Itoa(i)+"]"))
	}
	groups := []FieldGroup{
		{"job", []FieldSpec{text("number", false), text("name", true), text("note", false)}},
		{"crank", []FieldSpec{length("engine.stroke_mm"), length("engine.rod_mm"), signed("engine.pin_offset_mm"),
			length("engine.stroke_u_mm"), length("engine.rod_u_mm")}},
		{"cylinder", []FieldSpec{{Path: "engine.cylinders", Kind: FieldWhole}, length("engine.bore_mm"),
			length("engine.base_gasket_mm"), signed("engine.crown_below_deck_mm")}},
		{"piston", []FieldSpec{length("engine.skirt_intake_mm"), length("engine.skirt_exhaust_mm"),
			length("engine.ring_height_mm"), length("engine.ring_below_crown_mm")}},
		{"squish", append(squish, length("engine.squish_band_width_mm"), length("engine.squish_wire_mm"),
			number("engine.chamber_cc"), number("engine.crankcase_cc"))},
		{"breathing", []FieldSpec{
			choice("engine.intake", build.IntakePistonPort, build.IntakeReed, build.IntakeRotaryValve, build.IntakeNone),
			length("engine.carburettor_bore_mm"), number("engine.muffler_outlet_mm2"), number("engine.muffler_volume_cc")}},
		{"wheel", []FieldSpec{choice("wheel.numbering", build.Numbering360, build.Numbering180, build.Numbering90),
			choice("wheel.numbers", build.NumbersRise, build.NumbersFall), number("wheel.step_deg"), length("wheel.diameter_mm")}},
	}
	for _, w := range b.Windows {
		at := "windows/" + w.ID
		groups = append(groups, FieldGroup{at, []FieldSpec{text(at+".name", true),
			choice(at+".kind", build.KindExhaust, build.KindTransfer, build.KindBoost, build.KindIntake),
			length(at + ".chord_mm"), length(at + ".height_mm"), length(at + ".corner_top_mm"),
			length(at + ".corner_bottom_mm"), {Path: at + ".count", Kind: FieldWhole}}})
	}
	for i, p := range b.Passes {
		at := "passes/" + p.ID
		g := FieldGroup{at, []FieldSpec{text(at+".name", true),
			{Path: at + ".cylinder", Kind: FieldWhole},
			choice(at+".habit", build.HabitTDCZero, build.HabitOpenZero, build.HabitDepth), text(at+".note", false)}}
		if i > 0 { // the engine's own were measured before all work
			for k := range min(squishPlaces, len(p.Squish)+1) {
				g.Fields = append(g.Fields, length(at+".squish_mm["+strconv.Itoa(k)+"]"))
			}
			g.Fields = append(g.Fields, number(at+".chamber_cc"))
		}
		groups = append(groups, g)
	}
	return groups
}

// FieldAt finds the field with this path and its neighbours in the order of
// work, "" at the ends; one of station Cuts has none.
func FieldAt(b *build.Build, path string) (spec FieldSpec, before, after string, ok bool) {
	for _, g := range FieldGroups(b) {
		for _, f := range g.Fields {
			switch {
			case ok:
				return spec, before, f.Path, true
			case f.Path == path:
				spec, ok = f, true
			default:
				before = f.Path
			}
		}
	}
	if ok {
		return spec, before, "", true
	}
	if StationOf(path) == AtCuts {
		for _, g := range CutsGroups(b) {
			for _, f := range g.Fields {
				if f.Path == path {
					return f, "", "", true
				}
			}
		}
	}
	return spec, "", "", false
}

// splitPlace splits the path of a place in a list: "engine.squish_mm[2]" is
// "engine.squish_mm" and 2. Another path has place -1.
func splitPlace(path string) (base string, place int) {
	base, n, ok := strings.Cut(strings.TrimSuffix(path, "]"), "[")
	if !ok {
		return path, -1
	}
	i, err := strconv.Atoi(n)
	if err != nil || i < 0 || i >= maxPlaces {
		return path, -1
	}
	return base, i
}

// IsField says whether a path is one that station Engine asks for, whatever
// the build.
func IsField(path string) bool {
	_, _, _, ok := FieldAt(&build.Build{Engine: build.Engine{Squish: make([]unit.Length, squishPlaces)}}, path)
	return ok
}
