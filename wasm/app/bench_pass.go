package app

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
)

// firstPass is the ID of a build's first pass: the build's own, as a UUID of
// version 8 (RFC 9562, 5.8). Two devices that begin to read one engine without
// knowing of each other so read the same pass.
func (m *Model) firstPass() string {
	id := m.Open.ID
	if len(id) != 36 || len(m.Open.Build.Passes) > 0 || slices.ContainsFunc(m.Open.Fold.Removed, func(r book.Removed) bool { return strings.HasPrefix(r.Path, "passes/") }) {
		return m.Bench.readingID(2)
	}
	return id[:14] + "8" + id[15:]
}

// passItems makes a pass; its fields' IDs follow from the given one.
func (m *Model) passItems(id, from, name string, cylinder int, habit string) []book.Item {
	items := []book.Item{m.set("", "passes/"+id+".name", build.TextJSON(name))}
	if cylinder > 1 {
		items = append(items, m.set("", "passes/"+id+".cylinder", build.WholeJSON(cylinder)))
	}
	if habit != "" && habit != build.HabitTDCZero {
		items = append(items, m.set("", "passes/"+id+".habit", build.TextJSON(habit)))
	}
	if sd, df, ok := m.usualScatter(); ok {
		items = append(items, m.set("", "passes/"+id+".usual_scatter_deg", build.NumberJSON(sd)),
			m.set("", "passes/"+id+".usual_scatter_df", build.NumberJSON(df)))
	}
	for i := range items {
		items[i].ID = Input{Fresh: from}.ID(4 + i)
	}
	return items
}

// usualScatter is the scatter of one reading in the other builds of the book,
// the invented ones left out, and its degrees of freedom; not ok where too few
// repeats tell it. It is kept with the pass when that is begun: what is read
// later of other builds does not change what this one said, nor does its file.
func (m *Model) usualScatter() (sd, df float64, ok bool) {
	const least = 6 // degrees of freedom: three events read three times
	squares := 0.0
	for i := range m.Book.Cards {
		if c := &m.Book.Cards[i]; !c.Demo && (m.Open == nil || c.Build != m.Open.ID) {
			squares, df = squares+c.ScatterDeg2, df+c.ScatterDF
		}
	}
	if df < least {
		return 0, 0, false
	}
	return math.Round(1e4*math.Sqrt(squares/df)) / 1e4, df, true
}

// newPass begins another pass and takes it in hand; its first question follows
// when it is kept.
func (m *Model) newPass(msg BenchNewPass, in Input) []Effect {
	if m.writing() {
		return nil
	}
	habit := msg.Habit
	if habit == "" {
		habit = m.Habit()
	}
	id := in.ID(2)
	m.handTo(id, msg.Name)
	return m.write(in, m.passItems(id, id, msg.Name, msg.Cylinder, habit)...)
}

// handTo empties the hand for another pass; the choices stay.
func (m *Model) handTo(pass, name string) {
	b := &m.Bench
	b.Hand = Hand{Pass: pass, Mode: b.Mode, Method: b.Method, Feeler: b.Feeler, Unit: b.Unit}
	b.Panel, b.Refuse = PanelNone, ""
	m.Notice = "The pass in hand is now “" + name + "”."
}

// takePass takes another pass in hand at its first open question.
func (m *Model) takePass(id string) {
	m.Bench.Panel = PanelNone
	for _, p := range m.Open.Build.Passes {
		if p.ID == id && id != m.Open.Pass && !m.writing() {
			m.handTo(id, p.Name)
			m.tallyPass()
			m.benchTo(NextOpen(m.Steps(), ""))
		}
	}
}

// setHabit changes the habit while the pass holds no reading; for a pass that
// does another one is offered.
func (m *Model) setHabit(habit string, in Input) []Effect {
	b := &m.Bench
	p := m.PassInHand()
	switch {
	case habit == m.Habit() || m.writing():
		return nil
	case p == nil:
		b.Habit = habit
		m.benchTo("")
		m.benchTo(NextOpen(m.Steps(), ""))
		return nil
	case len(m.Open.Tally.Readings) == 0 && len(m.Open.Tally.Stops) == 0:
		path := "passes/" + p.ID + ".habit"
		base, over := m.headsOf(path)
		return m.write(in, m.item(book.KindSet, "", &book.SetBody{Path: path, Value: build.TextJSON(habit), Base: base, Over: over}))
	}
	b.Asked, b.Panel, b.panelMS = habit, PanelHabit, in.NowMS
	return nil
}

// unread is the first cylinder that no pass reads; 0 when every one is read.
func (m *Model) unread() int {
	for c := 1; c <= m.Open.Build.Engine.Cylinders; c++ {
		if !slices.ContainsFunc(m.Open.Build.Passes, func(p build.Pass) bool { return max(1, p.Cylinder) == c }) {
			return c
		}
	}
	return 0
}

// another is the pass that is offered first: of a cylinder that was not read,
// else of the one in hand.
func (m *Model) another() BenchNewPass {
	if c := m.unread(); c > 1 {
		if name := "cylinder " + strconv.Itoa(c); !m.passNamed(name) {
			return BenchNewPass{Name: name, Cylinder: c}
		}
	}
	p := m.PassInHand()
	if p == nil {
		return BenchNewPass{Name: "as received"}
	}
	return BenchNewPass{Name: m.NextPassName(), Cylinder: p.Cylinder}
}

// NextPassName is a name for another pass that no pass has yet.
func (m *Model) NextPassName() string {
	for n := len(m.Open.Build.Passes) + 1; ; n++ {
		name := "pass " + strconv.Itoa(n)
		taken := false
		for _, p := range m.Open.Build.Passes {
			taken = taken || p.Name == name
		}
		if !taken {
			return name
		}
	}
}

// WindowSet is a usual set of windows, offered while the build has none.
type WindowSet struct {
	Key, Words string
	Windows    []build.Window
}

// WindowSets are the sets offered; names and kinds are the trade's.
func WindowSets() []WindowSet {
	w := func(name, kind string) build.Window { return build.Window{Name: name, Kind: kind} }
	ex, in := w("exhaust", build.KindExhaust), w("intake", build.KindIntake)
	left, right := w("transfer left", build.KindTransfer), w("transfer right", build.KindTransfer)
	return []WindowSet{
		{"2", "Exhaust, two transfers, intake", []build.Window{ex, left, right, in}},
		{"1", "Exhaust, one transfer, intake", []build.Window{ex, w("transfer", build.KindTransfer), in}},
		{"4", "Exhaust, four transfers, intake", []build.Window{ex,
			w("transfer front left", build.KindTransfer), w("transfer front right", build.KindTransfer),
			w("transfer rear left", build.KindTransfer), w("transfer rear right", build.KindTransfer), in}},
		{"reed", "Exhaust, two transfers; reed or rotary intake", []build.Window{ex, left, right}},
		{"boost", "Exhaust, two transfers, boost; reed or rotary intake", []build.Window{ex, left, right, w("boost", build.KindBoost)}},
	}
}

func (m *Model) makeWindows(key string, in Input) []Effect {
	if len(m.soon().Windows) > 0 { // what is on its way counts: a tap is not lost, and two make one set
		return nil
	}
	var items []book.Item
	for _, s := range WindowSets() {
		if s.Key != key {
			continue
		}
		for i, w := range s.Windows {
			path := "windows/" + in.ID(16+i) + "."
			items = append(items, m.set("", path+"name", build.TextJSON(w.Name)), m.set("", path+"kind", build.TextJSON(w.Kind)))
		}
	}
	if len(items) == 0 {
		return nil
	}
	return m.write(in, items...)
}
