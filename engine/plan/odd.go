package plan

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// odd asks about targets beyond what is found in mopeds and race engines alike,
// and warns where windows that should open together end further apart.
func (p *problem) odd(end *state) (out []Warning) {
	for _, w := range p.wanted {
		if w.others {
			continue
		}
		least, most, ok := findings.BlowdownLeast, findings.BlowdownMost, w.key == build.TargetBlowdown
		if kinds := kindsOf(w.key); kinds != nil {
			least, most, ok = findings.Usual(kinds[0], build.Opens, p.piston)
			if strings.HasSuffix(w.key, "duration_deg") {
				middle := 180.0
				if kinds[0] == build.KindIntake {
					middle = 360
				}
				least, most = 2*(middle-most), 2*(middle-least)
			}
		}
		if d, odd := build.DoubtLength(w.key, unit.Length{Value: w.value, Unit: unit.MM}); odd && w.key == build.TargetSquish {
			out = append(out, Warning{Code: WarnUnusual, About: w.key, Value: tidied(w.value), Rule: commonPractice, Text: "Wanted is a squish of " + d.Text})
		}
		if ok && (w.value < least || w.value > most) {
			out = append(out, Warning{Code: WarnUnusual, About: w.key, Value: tidied(w.value), Rule: commonPractice,
				Text: unit.Sprintf("%s: %s deg is wanted; %s to %s is usual (%s). Is it what you mean?", capital(nameOf(w.key)), unit.Plain(w.value, 2), unit.Plain(least, 1), unit.Plain(most, 1), commonPractice)})
		}
	}
	for _, pair := range p.pairs {
		a, b := pair[0], pair[1]
		now, then := math.Abs(p.now.x[a]-p.now.x[b]), math.Abs(end.x[a]-end.x[b])
		if then <= now+BiteU {
			continue
		}
		apart := func(s *state) string {
			oa, _, _ := p.angles(s, a)
			ob, _, _ := p.angles(s, b)
			return unit.Plain(math.Abs(oa-ob), 1)
		}
		out = append(out, Warning{Code: WarnSides, Window: p.windows[b].doc.Name, Value: tidied(then), Bound: tidied(now), Rule: fromGeometry,
			Text: unit.Sprintf("%s and %s come to open %s deg apart (%s mm); now it is %s. Windows of one pair should open together.",
				capital(p.windows[a].doc.Name), p.windows[b].doc.Name, apart(end), unit.Plain(then, 2), apart(&p.now))})
	}
	return out
}

// nameOf names a number by its key.
func nameOf(key string) string {
	for _, n := range NumberNames() {
		if n.Key == key {
			return n.Name
		}
	}
	return key
}
