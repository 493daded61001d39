package findings

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/chamber"
	"portwright/engine/port"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// Standard uncertainties of what is measured beside the wheel, in mm. Common
// practice, no source.
const (
	SquishU = 0.02 // crushed wire under a micrometer
	BiteU   = 0.02 // a depth taken off, by caliper or lathe dial; a gasket as it is crushed
)

// BiteSource begins the name of a bite's doubt.
const BiteSource = "bite "

// BiteDoubt is the doubt of a bite, by its place in the build.
func BiteDoubt(place int) stat.Component {
	return stat.Component{Name: BiteSource + strconv.Itoa(place+1), U: BiteU, C: 1}
}

// OfEngine says whether a source of doubt is the engine's or its bites', and so
// the same in every pass.
func OfEngine(source string) bool {
	return port.IsGeometry(source) || source == crownSource || source == skirtSource || strings.HasPrefix(source, BiteSource)
}

// bitten is a bite with its amount in mm: what came off, or by how much the
// gasket is thinner, NaN where that can't be known.
type bitten struct {
	*build.Bite
	place  int
	amount float64
}

// bitesSince lists the bites of the cylinder that were made after a pass, by its
// place, -1 for all, and before this one.
func (s *state) bitesSince(pass int) (out []bitten) {
	gasket := s.engine.BaseGasket
	for i := -1; i < s.index; i++ {
		for _, k := range s.b.BitesAfter(s.p.Cylinder, i) {
			b := &s.b.Bites[k]
			amount := mm(b.ByMM)
			if b.ToMM != nil {
				if amount = math.NaN(); gasket != nil {
					amount = gasket.MM() - b.ToMM.MM()
				}
				gasket = b.ToMM
			}
			if i >= pass {
				out = append(out, bitten{b, k, amount})
			}
		}
	}
	return out
}

// setBites adds up how far bites before the pass moved what depths are measured
// from: the engine's own lengths are those before all bites.
func (s *state) setBites() {
	for _, x := range s.bitesSince(-1) {
		by := x.amount
		if by != by {
			continue
		}
		switch x.Move.Move {
		case build.MoveCrownCut:
			s.deckBy, s.skirtBy = s.deckBy+by, s.skirtBy-by
		case build.MoveBaseCut, build.MoveBaseGasket:
			s.deckBy -= by
		case build.MoveIntakeSkirt:
			s.skirtBy -= by
		default:
			continue
		}
		s.moved = append(s.moved, x)
	}
}

// deckMM is how far the crown's edge lies below the deck at TDC in the pass,
// and skirtMM how far from it the skirt ends; 0 and what bites moved where they
// are not known.
func (s *state) deckMM() float64  { return mm(s.engine.CrownBelowDeck) + s.deckBy }
func (s *state) skirtMM() float64 { return mm(s.engine.SkirtIntake) + s.skirtBy }

// shift is how far bites moved a window's edge, or squish where there is no
// window, with the doubt of each; no parts where none moved it.
func (w *window) shift(bites []bitten) (out stat.Estimate) {
	for _, x := range bites {
		by := x.Squish()
		if w != nil {
			by = x.Shift(w.doc, w.around == port.AroundBDC, w.skirt)
		}
		if by != 0 {
			out.Value += by * x.amount
			part := BiteDoubt(x.place)
			part.C = by
			out.Parts = append(out.Parts, part)
		}
	}
	return out
}

// bites holds what was read since bites against what was read before them and
// the bites as measured: the travel at each window that they moved, and squish.
// Where the two lie further apart than their doubt at 95 %, one of them is wrong.
func (d *diagnosis) bites() {
	s := d.now
	worst, most, windows := Problem{}, 1.0, []string{}
	compare := func(w *window, got, was stat.Estimate, before *state, by stat.Estimate) {
		want := was.Plus(by)
		u, df, err := doubtOfDifference(s, before, &got, &want)
		p95, apart := s.expand(u, df), math.Abs(got.Value-want.Value)
		if err != nil || !(apart > p95) {
			return
		}
		what, should, is := "squish", millimetres(want.Value), millimetres(got.Value)
		if w != nil {
			what, windows = w.doc.Name, append(windows, w.doc.Name)
			if s.geo != nil {
				what, should, is = "the opening of "+what, s.degrees(s.opensAt(w, want.Value)), s.degrees(s.opensAt(w, got.Value))
			}
		}
		if apart/p95 > most {
			most = apart / p95
			worst = Problem{Code: CodeBiteDisagrees, Title: "Bites and readings contradict each other",
				Text: unit.Sprintf("The bites as measured put %s at %s; the readings say %s: %s ± %s mm apart. One of the two is wrong. Measure what came off, and read again, before the next bite; strike the bite out where it was entered wrongly. Until then a plan goes on from the readings, and takes the difference as doubt.",
					what, should, is, unit.Fixed(apart, 2), unit.Up(p95, 2)),
				Evidence: map[string]float64{"expected_mm": want.Value, "read_mm": got.Value, "difference_mm": got.Value - want.Value, "difference_u95_mm": p95}}
		}
	}
	done := make([]bool, len(s.windows))
	for pass := s.index - 1; pass >= 0; pass-- {
		p := &s.b.Passes[pass]
		if max(p.Cylinder, 1) != max(s.p.Cylinder, 1) {
			continue
		}
		bites := s.bitesSince(pass)
		var was *diagnosis
		for k := range s.windows {
			w, t := &s.windows[k], s.timing(k)
			if done[k] || t.travel == nil || d.skipped(k) || !readIn(p, w.doc.Name) {
				continue
			}
			by := w.shift(bites)
			if done[k] = true; by.Parts == nil {
				continue
			}
			if was == nil {
				if was = s.earlier(pass); was == nil {
					break
				}
			}
			if x := was.now.timing(k).travel; x != nil && !was.skipped(k) {
				compare(w, *t.travel, *x, was.now, by)
			}
		}
	}
	if by := (*window)(nil).shift(s.bitesSince(s.squishPass)); by.Parts != nil && len(s.p.Squish) > 0 {
		compare(nil, squishOf(s.engine.Squish), squishOf(s.squishWas), s, by)
	}
	if most > 1 {
		worst.Windows = windows
		d.add(worst)
	}
}

// opensAt returns the angle in degrees after TDC at which a window opens whose
// edge lies at a travel.
func (s *state) opensAt(w *window, travel float64) float64 {
	down, up, err := s.geo.Angles(travel)
	if err != nil {
		return math.NaN()
	}
	if w.skirt {
		down = up
	}
	return unit.Turn(unit.Deg(down))
}

// earlier returns an earlier pass as its own findings leave it, nil when it
// can't be relied on.
func (s *state) earlier(pass int) *diagnosis {
	var extra []build.Correction
	for i := range s.extra {
		if aboutEngine(&s.extra[i]) {
			extra = append(extra, s.extra[i])
		}
	}
	o, err := newState(s.b, pass, s.job, extra)
	if err != nil {
		return nil
	}
	d := &diagnosis{as: o, now: o}
	if !d.read() {
		return nil
	}
	return d
}

func readIn(p *build.Pass, window string) bool {
	return slices.ContainsFunc(p.Readings, func(r build.Reading) bool { return r.Window == window && r.Struck == "" })
}

// squishOf is squish as measured, on the pin axis; NaN where it was not.
func squishOf(gaps []unit.Length) stat.Estimate {
	q, ok := chamber.MeasuredSquish(lengths(gaps))
	if !ok {
		q.PinAxis = math.NaN()
	}
	return stat.Estimate{Value: q.PinAxis, Parts: []stat.Component{{U: SquishU, C: 1}}}
}

// Stale says whether a cut changed squish and volume between the pass at which
// they were last measured, or the engine's own numbers, and pass i.
func Stale(b *build.Build, i int, measuredIn func(p *build.Pass) bool) bool {
	cylinder, last := max(b.Passes[i].Cylinder, 1), -1
	for k := range b.Passes[:i+1] {
		if p := &b.Passes[k]; max(p.Cylinder, 1) == cylinder && measuredIn(p) {
			last = k
		}
	}
	return slices.ContainsFunc(b.BitesBefore(cylinder, last, i), func(k int) bool { return b.Bites[k].Squish() != 0 })
}
