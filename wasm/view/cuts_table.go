package view

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// CutsTable sets numbers side by side: now, planned, change.
type CutsTable struct {
	ID, Title string
	Line      string // what stands in a cell
	Rows      []CutsRow
}

// CutsRow is one number; each cell has its value and the same in other ways.
type CutsRow struct {
	Name, Unit        string
	Now, Then, Change CutsCell
	Warn              []string
}

// CutsCell is a value, and under it the same in other ways.
type CutsCell struct {
	Value string
	Small []string
}

func cutsTables(m *app.Model, r *plan.Result) []CutsTable {
	t := CutsTable{ID: "numbers", Title: "Numbers"}
	for _, row := range plan.Table(&r.Now, &r.After) {
		out := CutsRow{Name: row.Name, Now: numberCell(row.Key, row.Now), Then: numberCell(row.Key, row.After), Change: changeCell(row.Key, row.Change)}
		if strings.HasSuffix(row.Key, "_s_per_m") {
			out.Unit = "in 10⁻⁴ s/m"
		}
		out.Warn = append(limitsAt(m, r, row.Key), warnsOf(r, row.Key, false)...)
		t.Rows = append(t.Rows, out)
	}
	windows := CutsTable{ID: "windows", Title: "Each window", Line: "In each: where it opens, for how long, the piston's travel there, and the area wide open."}
	for i := range r.Windows {
		w := &r.Windows[i]
		out := CutsRow{Name: w.Name, Now: edgeCell(w.Kind, &w.Now), Then: edgeCell(w.Kind, &w.After), Change: edgeChange(w)}
		if w.Computed {
			out.Warn = append(out.Warn, "Now is computed from what was measured off since it was read.")
		}
		for k := range r.Warnings {
			if r.Warnings[k].Window == w.Name {
				out.Warn = append(out.Warn, r.Warnings[k].Text)
			}
		}
		if out.Now.Value != "" || len(out.Warn) > 0 {
			windows.Rows = append(windows.Rows, out)
		}
	}
	if len(windows.Rows) == 0 {
		return []CutsTable{t}
	}
	return []CutsTable{t, windows}
}

// limitsAt says which hard limits of a number are crossed, or hold it.
func limitsAt(m *app.Model, r *plan.Result, key string) (out []string) {
	for _, b := range r.Binding {
		number := b
		for _, bound := range [...]string{"_max", "_min"} {
			if before, after, ok := strings.Cut(b, bound); ok {
				number = before + after
			}
		}
		if spec, _, _, ok := app.FieldAt(m.Open.Build, "limits."+b); ok && number == key {
			value, _ := valueWords(app.ValuesOf(m.Open.Build), spec)
			words := wordsOf(spec.Path).name + " " + value + "."
			switch r.Status {
			case plan.Limited:
				words = "Held by the limit: " + words
			case plan.WhatIf:
				words = "Crosses the limit: " + words
			default:
				words = "Can't be held with what else is asked: " + words
			}
			out = append(out, words)
		}
	}
	return out
}

func numberCell(key string, v *float64) (c CutsCell) {
	if v == nil {
		return CutsCell{Value: "not known"}
	}
	c.Value = strings.TrimSuffix(numberWords(key, *v), " : 1")
	if rest, ok := strings.CutSuffix(c.Value, " before TDC"); ok {
		c = CutsCell{rest, []string{"before TDC"}}
	}
	if strings.HasSuffix(key, "_mm") {
		_, thou := lengthPair(*v)
		c.Small = []string{thou}
	}
	return c
}

// changeCell is a difference with its sign. An intake that opens earlier opens
// by more before TDC.
func changeCell(key string, v *float64) (c CutsCell) {
	if v == nil {
		return c
	}
	d := *v
	if key == build.TargetIntakeOpens {
		d, key = -d, build.TargetIntakeDuration
	}
	c = numberCell(key, &d)
	c.Value = withSign(c.Value)
	for i := range c.Small {
		c.Small[i] = withSign(c.Small[i])
	}
	return c
}

// withSign puts a plus before what is more, and makes a change that rounds to
// nothing one.
func withSign(s string) string {
	if !strings.ContainsAny(s, "123456789") {
		return "0"
	}
	if s[0] == '-' {
		return "−" + s[1:]
	}
	return "+" + s
}

func edgeCell(kind string, e *plan.Edge) (c CutsCell) {
	if e.OpensDeg == nil {
		return c
	}
	f := figWhere(kind, e.OpensDeg, nil)
	c.Value = f.Value
	if f.Word != "" {
		c.Small = append(c.Small, f.Word)
	}
	mm, thou := lengthPair(*e.TravelMM)
	c.Small = append(c.Small, unit.Fixed(*e.DurationDeg, 1)+"°", mm, thou)
	if e.AreaMM2 != nil {
		c.Small = append(c.Small, unit.Fixed(*e.AreaMM2, 0)+" mm²")
	}
	return c
}

func edgeChange(w *plan.Window) (c CutsCell) {
	if w.Now.OpensDeg == nil || w.After.OpensDeg == nil {
		return c
	}
	d := *w.After.OpensDeg - *w.Now.OpensDeg
	if w.Kind == build.KindIntake {
		d = -d
		c.Small = append(c.Small, "")
	}
	mm, thou := lengthPair(*w.After.TravelMM - *w.Now.TravelMM)
	c.Value = withSign(unit.Fixed(d, 1) + "°")
	if math.Abs(d) > 180 {
		c.Value = ""
	}
	c.Small = append(c.Small, withSign(unit.Fixed(*w.After.DurationDeg-*w.Now.DurationDeg, 1)+"°"), withSign(mm), withSign(thou))
	if w.Now.AreaMM2 != nil && w.After.AreaMM2 != nil {
		c.Small = append(c.Small, withSign(unit.Fixed(*w.After.AreaMM2-*w.Now.AreaMM2, 0)+" mm²"))
	}
	return c
}
