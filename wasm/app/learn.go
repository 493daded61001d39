package app

import (
	"strconv"
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/crank"
	"portwright/engine/findings"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// LearnPath is the address, in place of a field's, of the page that learns the
// rod from pairs of depth and angle.
const LearnPath = "learn"

// maxPairs bounds the list.
const maxPairs = 24

// Doubts of a pair that was typed in: a depth by caliper or depth gauge, an
// angle read to half a degree and found by light or feeler. Common practice,
// no source.
const (
	pairDepthU = 0.05 // mm, standard uncertainty
	pairAngleU = 0.3  // degrees, standard uncertainty
)

// LearnState is the list of pairs.
type LearnState struct {
	Unit unit.LengthUnit `json:"unit,omitempty"` // of the depths; "" is mm
	Rows []LearnRow      `json:"rows,omitempty"`
}

// LearnRow is one position of the piston, measured both ways, as typed.
type LearnRow struct {
	Depth string `json:"depth"`
	Angle string `json:"angle"` // degrees after TDC
}

// Learned is what the pairs say.
type Learned struct {
	Pairs   int
	Refused string // why nothing can be said yet
	Rod     float64
	RodU    float64 // standard uncertainty
	RodU95  float64
	Deck    *float64 // crown below deck, when it was not known
	DeckU95 float64
	Misfit  float64 // largest difference between a depth and the fit, mm
	Odd     bool    // the pairs scatter more than their doubts explain
}

// Intents of the page.
type (
	// LearnType is what a cell holds after a key press; Col 0 is the depth.
	LearnType struct {
		Row, Col int
		Text     string
	}

	// LearnUnit chooses the unit of the depths.
	LearnUnit struct{ Unit unit.LengthUnit }

	// LearnDrop takes a row out.
	LearnDrop struct{ Row int }

	// LearnFill takes the pairs that the passes hold.
	LearnFill struct{}

	// LearnTake takes what was learned over into the engine's numbers.
	LearnTake struct{}
)

func (LearnType) msg() {}
func (LearnUnit) msg() {}
func (LearnDrop) msg() {}
func (LearnFill) msg() {}
func (LearnTake) msg() {}

func (m *Model) updateLearn(msg Msg, in Input) ([]Effect, bool) {
	l := &m.Engine.Learn
	switch msg := msg.(type) {
	case LearnType:
		m.learnType(msg)
	case LearnUnit:
		if msg.Unit == unit.MM || msg.Unit == unit.Inch || msg.Unit == unit.Thou {
			l.Unit = msg.Unit
		}
	case LearnDrop:
		if msg.Row >= 0 && msg.Row < len(l.Rows) {
			l.Rows = append(append([]LearnRow{}, l.Rows[:msg.Row]...), l.Rows[msg.Row+1:]...)
		}
	case LearnFill:
		l.Unit = ""
		l.Rows = nil
		for _, p := range m.PassPairs() {
			l.Rows = append(l.Rows, LearnRow{unit.Plain(p[0], 3), unit.Plain(p[1], 2)})
		}
	case LearnTake:
		return m.learnTake(in), true
	default:
		return nil, false
	}
	return nil, true
}

func (m *Model) learnType(msg LearnType) {
	l := &m.Engine.Learn
	if msg.Row < 0 || msg.Row > len(l.Rows) || msg.Row >= maxPairs || len(msg.Text) > 100 {
		return
	}
	rows := append([]LearnRow{}, l.Rows...)
	if msg.Row == len(rows) {
		if msg.Text == "" {
			return
		}
		rows = append(rows, LearnRow{})
	}
	if msg.Col == 0 {
		rows[msg.Row].Depth = msg.Text
	} else {
		rows[msg.Row].Angle = msg.Text
	}
	l.Rows = rows
}

// PairCount is how many pairs the passes hold.
func (m *Model) PairCount() int { return len(m.PassPairs()) }

// PassPairs are the windows of one cylinder that were read by depth in one
// pass and by angle in another: depth mm, angle degrees after TDC. Of several
// the later ones count.
func (m *Model) PassPairs() [][2]float64 {
	if m.Open.Results == nil {
		return nil
	}
	var out [][2]float64
	for _, w := range m.Open.Build.Windows {
		for cylinder := 1; cylinder <= max(1, m.Open.Build.Engine.Cylinders); cylinder++ {
			depth, okD := meanDepth(m.Open.Build, w.Name, cylinder)
			angle, okA := readAngle(m.Open.Results, w.Name, cylinder)
			if okD && okA {
				out = append(out, [2]float64{depth, angle})
			}
		}
	}
	return out
}

func meanDepth(b *build.Build, window string, cylinder int) (mm float64, ok bool) {
	for _, p := range b.Passes {
		if p.Habit != build.HabitDepth || max(1, p.Cylinder) != cylinder {
			continue
		}
		var values []float64
		for _, r := range p.Readings {
			if r.Window == window && r.Event == build.Opens && r.Struck == "" {
				values = append(values, r.Value.MM())
			}
		}
		if mean, err := stat.Mean(values); err == nil {
			mm, ok = mean, true
		}
	}
	return mm, ok
}

func readAngle(r *findings.Result, window string, cylinder int) (deg float64, ok bool) {
	for _, p := range r.Passes {
		if p.Habit == build.HabitDepth || p.Cylinder != cylinder {
			continue
		}
		for _, w := range p.Windows {
			if w.Name == window && w.OpensDeg != nil && w.Repeats > 0 {
				deg, ok = *w.OpensDeg, true
			}
		}
	}
	return deg, ok
}

// Learned fits the rod, and the deck where it is not known, to the rows that
// are whole.
func (m *Model) Learned() Learned {
	e := m.Open.Build.Engine
	pairs, bad := m.pairs()
	l := Learned{Pairs: len(pairs)}
	switch {
	case e.Stroke == nil:
		l.Refused = "The stroke is needed first: a rod is learned against it."
	case bad != "":
		l.Refused = bad
	case e.CrownBelowDeck == nil && len(pairs) < 2:
		l.Refused = "Two pairs or more are needed, well apart: the crown's depth at TDC is not known and is learned too."
	case len(pairs) < 1:
		l.Refused = "One pair or more is needed."
	}
	if l.Refused != "" {
		return l
	}
	in := crank.Setup{
		Stroke: crank.Quantity{Value: e.Stroke.MM(), U: 0.02},
		Rod:    crank.Quantity{Free: true},
		Deck:   crank.Quantity{Free: true},
		Zero:   crank.Quantity{},
		Pairs:  pairs,
	}
	if e.StrokeUncertainty != nil {
		in.Stroke.U = e.StrokeUncertainty.MM()
	}
	if e.PinOffset != nil {
		in.Offset.Value = e.PinOffset.MM()
	}
	if e.CrownBelowDeck != nil {
		in.Deck = crank.Quantity{Value: e.CrownBelowDeck.MM(), U: pairDepthU}
	}
	fit, err := crank.Fit(in)
	if err != nil {
		l.Refused = learnFault(err)
		return l
	}
	return learnedFrom(l, fit, in)
}

func learnFault(err error) string {
	var say []string
	for _, f := range faultsOf(err) {
		say = append(say, f.Error())
	}
	return strings.Join(say, "; ")
}

func learnedFrom(l Learned, fit crank.FitResult, in crank.Setup) Learned {
	if fit.Status != crank.Converged {
		l.Refused = "These pairs can't tell the rod: take more of them, further apart, some near half-way down and some near the bottom."
		return l
	}
	u95 := func(p crank.Param) float64 {
		u, err := stat.Expanded95(fit.U[p], fit.DF)
		if err != nil {
			return 2 * fit.U[p]
		}
		return u
	}
	l.Rod, l.RodU, l.RodU95 = fit.Value[crank.Rod], fit.U[crank.Rod], u95(crank.Rod)
	if in.Deck.Free {
		deck := fit.Value[crank.Deck]
		l.Deck, l.DeckU95 = &deck, u95(crank.Deck)
	}
	for _, r := range fit.Residual {
		l.Misfit = max(l.Misfit, r, -r)
	}
	l.Odd = fit.Chance < 0.05
	return l
}

// pairs are the rows that are whole; bad says what is wrong with one.
func (m *Model) pairs() (out []crank.Pair, bad string) {
	l := m.Engine.Learn
	u := l.Unit
	if u == "" {
		u = unit.MM
	}
	for i, row := range l.Rows {
		if strings.TrimSpace(row.Depth) == "" || strings.TrimSpace(row.Angle) == "" {
			continue
		}
		depth, err := unit.ParseLength(row.Depth, u)
		if err != nil {
			return nil, "Pair " + strconv.Itoa(i+1) + ", depth: " + learnFault(err)
		}
		angle, err := unit.ParseNumber(row.Angle)
		if err != nil || angle < 0 || angle > 360 {
			return nil, "Pair " + strconv.Itoa(i+1) + ", angle " + row.Angle + ": must be degrees after TDC, 0 to 360."
		}
		out = append(out, crank.Pair{Depth: depth.MM(), Angle: unit.Rad(angle), UDepth: pairDepthU, UAngle: unit.Rad(pairAngleU)})
	}
	return out, ""
}

// learnTake sets the rod with its doubt, and the deck where that was learned.
func (m *Model) learnTake(in Input) []Effect {
	l := m.Learned()
	if l.Refused != "" || len(m.Save.Waiting) > 0 {
		return nil
	}
	mm := func(v float64) []byte {
		s, err := strconv.ParseFloat(unit.Fixed(v, 3), 64)
		if err != nil {
			s = v
		}
		return build.NumberJSON(s)
	}
	items := []book.Item{
		m.setItem(in.ID(1), "engine.rod_mm", mm(l.Rod)),
		m.setItem(in.ID(2), "engine.rod_u_mm", mm(l.RodU)),
	}
	if l.Deck != nil {
		items = append(items, m.setItem(in.ID(3), "engine.crown_below_deck_mm", mm(*l.Deck)))
	}
	return append(m.write(in, items...), GoTo{Hash: Route{Station: AtEngine, Build: m.Open.ID}.Hash()})
}
