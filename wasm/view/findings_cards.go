package view

import (
	"sort"
	"strings"

	"portwright/engine/findings"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

func problemCards(p *findings.PassResult) []ProblemCard {
	var out []ProblemCard
	for i, pr := range p.Problems {
		c := ProblemCard{Code: pr.Code, Title: pr.Title, Text: pr.Text, Index: i, Evidence: evidence(pr.Evidence)}
		if c.Title == "" {
			c.Title = strings.ReplaceAll(pr.Code, "_", " ")
		}
		c.Mild = mild(pr)
		if pr.Remedy != nil {
			c.Action = pr.Action
			if c.Action == "" {
				c.Action = "Correct it"
			}
		}
		out = append(out, c)
	}
	return out
}

// mild problems are no faults: something was assumed, and that is said.
func mild(p findings.Problem) bool {
	return p.Code == findings.CodeSymmetryAssumed || p.Code == findings.CodeGeometryUnknown
}

// evidence lists the numbers behind a finding by name. A number and its 95 %
// doubt stand together.
func evidence(ev map[string]float64) []Fact {
	keys := make([]string, 0, len(ev))
	for k := range ev {
		keys = append(keys, k)
	}
	sort.SliceStable(keys, func(i, j int) bool { return keys[i] < keys[j] })
	var out []Fact
	for _, k := range keys {
		if _, ok := ev[strings.Replace(k, "_u95_", "_", 1)]; ok && strings.Contains(k, "_u95_") {
			continue
		}
		if k == "windows" || k == "pairs" || k == "methods" { // the text names them
			continue
		}
		f := Fact{Name: evidenceName(k), Value: Figure{Value: evidenceValue(k, ev[k])}}
		if k == "reading" || k == "others" || k == "limit" {
			f.Value.Value = figDeg(at(ev[k]), nil).Value
			if _, depth := ev["off_mm"]; depth {
				f.Value.Value = figMM(at(ev[k]), nil).Value
			}
		}
		base, u, decimals := unitOf(k)
		if d, ok := ev[base+"_u95"+strings.TrimPrefix(k, base)]; ok && decimals > 0 {
			f.Value.Doubt = figDoubt(&d, decimals, u)
		}
		out = append(out, f)
	}
	return out
}

func at(v float64) *float64 { return &v }

// unitOf finds the unit at the end of an evidence key and the key without it.
func unitOf(key string) (name, unitName string, decimals int) {
	for _, u := range []struct {
		end, name string
		decimals  int
	}{{"_deg_per_mm", "° per mm", 2}, {"_per_mm_deg", "° per mm", 2}, {"_deg", "°", 1}, {"_mm", " mm", 2}, {"_cc", " cc", 2}} {
		if base, ok := strings.CutSuffix(key, u.end); ok {
			return base, u.name, u.decimals
		}
	}
	return key, "", -1
}

// evidenceName says an evidence key in words.
func evidenceName(key string) string {
	switch key {
	case "sure":
		return "how sure"
	case "chance":
		return "chance of this by scatter alone"
	case "pair_sum_excess_deg":
		return "pairs add to 360° and"
	case "stop_slip_deg":
		return "the stop checks say"
	case "reading":
		return "it reads"
	case "others":
		return "the others give"
	case "limit":
		return "chance allows"
	case "off_deg", "off_mm":
		return "it is off by"
	case "from_reading", "before_reading":
		return strings.ReplaceAll(key, "_", " ") + " no."
	}
	name, _, _ := unitOf(key)
	name = strings.ReplaceAll(name, "_", " ")
	for _, up := range []string{"tdc", "bdc"} {
		name = strings.ReplaceAll(name, up, strings.ToUpper(up))
	}
	return name
}

func evidenceValue(key string, v float64) string {
	switch key {
	case "sure", "chance", "share_of_bore":
		return share(v)
	}
	_, u, decimals := unitOf(key)
	if decimals < 0 {
		return unit.Plain(v, 3)
	}
	return unit.Fixed(v, decimals) + u
}

// share shows a probability in per cent; neither end is claimed.
func share(v float64) string {
	switch {
	case v > 0.99 && v < 1.01:
		return "over 99 %"
	case v < 0.01:
		return "under 1 %"
	}
	return unit.Fixed(100*v, 0) + " %"
}

func appliedRows(p *findings.PassResult) []AppliedRow {
	var out []AppliedRow
	for _, a := range p.Applied {
		out = append(out, AppliedRow{ID: a.ID, Text: a.Text})
	}
	return out
}

// changeRows shows how a pass differs from the one that it is held against
// first: the pass before of its cylinder, else another cylinder. versus says
// which.
func changeRows(r *findings.Result, p *findings.PassResult) (versus string, out []ChangeRow) {
	for _, c := range r.Comparisons {
		if c.Pass != p.Name || c.Cylinder != p.Cylinder {
			continue
		}
		against := "Changed since " + c.Against
		if c.AgainstCyl != p.Cylinder { // nothing changed: it is another cylinder
			against = "Difference from cylinder " + plain(c.AgainstCyl) + ", " + c.Against
		}
		if versus == "" {
			versus = against
		}
		if against != versus {
			continue
		}
		row := ChangeRow{Window: c.Window, Opens: signed(figDeg(c.OpensDeg, c.OpensU95Deg)),
			Open: signed(figDeg(c.DurationDeg, c.DurationU95Deg)), Travel: signed(figMM(c.TravelMM, c.TravelU95MM)),
			Word: "within the doubt"}
		if c.Real {
			row.Word = "more than the doubt"
		}
		out = append(out, row)
	}
	return versus, out
}

// signed puts a plus before a difference that is none below zero.
func signed(f Figure) Figure {
	if f.Value != "" && f.Value[0] != '-' {
		f.Value = "+" + f.Value
	}
	return f
}

// needRows says what each missing number would unlock and leads to its place.
func needRows(buildID string, p *findings.PassResult) []NeedRow {
	var out []NeedRow
	for _, n := range p.Needs {
		row := NeedRow{Text: n.Text, Where: "Read it at the bench", Msg: app.BenchMore{What: n.Field}}
		if row.Text == "" {
			row.Text = n.Unlocks
		}
		if app.IsField(n.Field) {
			row.Msg = app.Go{Hash: app.Route{Station: app.AtEngine, Build: buildID, Field: n.Field}.Hash()}
			row.Where = "Give " + fieldName(n.Field)
		}
		out = append(out, row)
	}
	return out
}
