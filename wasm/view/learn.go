package view

import (
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// LearnView is the page that learns the rod from pairs of depth and angle.
type LearnView struct {
	List    string // address of the engine's list
	Units   []Choice
	Rows    []LearnLine // one more than there are, for the next
	Fill    string      // words of the button that takes pairs from the passes, "" without any
	Refused string      // why nothing can be said yet
	Rod     Figure
	Deck    Figure
	Misfit  string
	Odd     bool
}

// LearnLine is one pair as typed.
type LearnLine struct {
	Place        string
	Depth, Angle string
	More         bool // it can be taken out
}

func learnOf(m *app.Model) *LearnView {
	l := m.Learned()
	s := m.Engine.Learn
	v := &LearnView{List: engineHash(m, ""), Refused: l.Refused}
	for _, u := range []unit.LengthUnit{unit.MM, unit.Inch, unit.Thou} {
		v.Units = append(v.Units, Choice{Value: string(u), Words: string(u), Here: s.Unit == u || (s.Unit == "" && u == unit.MM)})
	}
	for i, r := range s.Rows {
		v.Rows = append(v.Rows, LearnLine{plain(i + 1), r.Depth, r.Angle, true})
	}
	v.Rows = append(v.Rows, LearnLine{Place: plain(len(s.Rows) + 1)})
	if n := m.PairCount(); n > 0 {
		v.Fill = "Take " + counted(n, "pair") + " from the passes"
	}
	if l.Refused == "" {
		v.Rod = figMM(&l.Rod, &l.RodU95)
		v.Misfit = unit.Fixed(l.Misfit, 2) + " mm"
		v.Odd = l.Odd
		if l.Deck != nil {
			v.Deck = figMM(l.Deck, &l.DeckU95)
		}
	}
	return v
}
