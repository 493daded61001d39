package app

import (
	"math"
	"slices"
	"time"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// CutsTrust puts a bite right by the readings that contradict it: it is struck
// out, and what they say came off stands in its place.
type CutsTrust struct{ ID string }

func (CutsTrust) msg() {}

// Disputed is a bite that the readings since contradict.
type Disputed struct {
	build.Bite
	ReadMM float64 // what came off by the readings; 0 for nothing, and where they can't tell that of one bite
}

// DisputedBites are the bites between the last two passes of the cylinder when
// the readings of the last contradict them.
func (m *Model) DisputedBites() (out []Disputed) {
	b, last, before := m.Open.Build, -1, -1
	for i := range b.Passes {
		if p := &b.Passes[i]; max(p.Cylinder, 1) == m.CutsCylinder() && isRead(p) {
			last, before = i, last
		}
	}
	if m.Open.Results == nil || last < 0 {
		return nil
	}
	problems := m.Open.Results.Passes[last].Problems
	at := slices.IndexFunc(problems, func(p findings.Problem) bool { return p.Code == findings.CodeBiteDisagrees })
	if at < 0 {
		return nil
	}
	more := problems[at].Evidence["difference_mm"]
	for _, i := range b.BitesBefore(m.CutsCylinder(), before, last) {
		x := Disputed{Bite: b.Bites[i]}
		by := 0.0 // by how much each mm of it moves what was compared
		if len(problems[at].Windows) == 0 {
			by = x.Squish()
		}
		for k := range b.Windows {
			if w := &b.Windows[k]; by == 0 && slices.Contains(problems[at].Windows, w.Name) {
				by = x.Shift(w, w.Kind != build.KindIntake, w.Kind == build.KindIntake)
			}
		}
		if by == 0 {
			continue
		}
		if x.ByMM != nil && x.ByMM.MM()+more/by > leastBite {
			x.ReadMM = x.ByMM.MM() + more/by
		}
		out = append(out, x)
	}
	if len(out) > 1 {
		for i := range out {
			out[i].ReadMM = 0
		}
	}
	return out
}

func (m *Model) trustReadings(id string, in Input) []Effect {
	for _, x := range m.DisputedBites() {
		if x.ID != id || x.ReadMM == 0 || len(m.Save.Waiting) > 0 {
			continue
		}
		pass, window := "", ""
		for _, p := range m.Open.Build.Passes {
			if p.Name == x.Pass && max(p.Cylinder, 1) == max(x.Cylinder, 1) {
				pass = p.ID
			}
		}
		for _, w := range m.Open.Build.Windows {
			if w.Name == x.Window {
				window = w.ID
			}
		}
		bite := build.Bite{Move: build.Move{Move: x.Move.Move, ByMM: &unit.Length{Value: math.Round(x.ReadMM*100) / 100, Unit: unit.MM}},
			At: time.UnixMilli(in.NowMS).UTC().Format(time.RFC3339)}
		item, err := book.BiteItem(in.ID(2), m.Open.ID, pass, window, bite)
		if err != nil {
			continue
		}
		return m.write(in, m.item(book.KindStrike, in.ID(1), &book.StrikeBody{Target: id, Reason: "the readings say otherwise", Base: m.strikeHead(id)}), item)
	}
	return nil
}

// leastBite is less than can be measured, in mm: as good as nothing.
const leastBite = 0.01
