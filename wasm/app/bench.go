package app

import (
	"encoding/json"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// BenchState is station Bench. Hand is kept as the draft on every change; the
// rest is forgotten with the page.
type BenchState struct {
	Hand
	Panel  Panel
	Chip   string       // reading that the strike panel is about
	Refuse string       // why Keep refused, in words
	Said   string       // the reading that was kept, struck out or let count again last, to be read out
	Again  bool         // it was let count again
	Asked  string       // the habit that panel PanelHabit is about
	Pick   string       // the step that the arrows stand on in panel PanelList
	Doubt  string       // what is odd about the value, asked in panel PanelOdd
	Likely *unit.Length // what may have been meant, nil when nothing is likelier

	keepMS, skipMS, panelMS, undoMS, unitMS int64  // last accepted taps, for double taps
	keptMS                                  int64  // the last Keep that was taken
	nudged                                  string // the value that plus and minus made
	halved                                  string // the value that the half key ended
	past                                    string // digits typed after that, which it did not take
	saved                                   string // the draft as last kept
}

// Hand is what is in hand: the question, the half-typed value and the choices
// that hold for the next reading.
type Hand struct {
	Pass    string       `json:"pass,omitempty"`
	At      string       `json:"at,omitempty"` // Step.ID; "" when the pass is through
	Text    string       `json:"text,omitempty"`
	ID      string       `json:"id,omitempty"`   // what the IDs of a reading of Text are made from; see nameHand
	Next    string       `json:"next,omitempty"` // typed while Text is on its way to the disk
	Mode    Mode         `json:"mode,omitempty"`
	Skipped []string     `json:"skipped,omitempty"`
	Method  string       `json:"method,omitempty"`
	Feeler  *unit.Length `json:"feeler,omitempty"`
	Unit    string       `json:"unit,omitempty"` // of depths: "" for mm, "in", "thou"
	Near    string       `json:"near,omitempty"` // of the next stop check
	Side    string       `json:"side,omitempty"` // overrules the event's for the next reading
	Quarter int          `json:"quarter,omitempty"`
	Sending string       `json:"sending,omitempty"` // ID of the reading on its way to the disk
	Habit   string       `json:"habit,omitempty"`   // of the first pass, until its first reading makes it
}

// Panel is what lies over the keypad.
type Panel string

// The panels.
const (
	PanelNone    Panel = ""
	PanelHelp    Panel = "help"
	PanelMethod  Panel = "method"
	PanelStrike  Panel = "strike"
	PanelQuarter Panel = "quarter"
	PanelOdd     Panel = "odd"
	PanelList    Panel = "list"
	PanelPass    Panel = "pass"
	PanelHabit   Panel = "habit"
)

// doubleMS is how long a second tap on the same key counts as the same tap;
// wet glass and gloves give ghost touches (common practice, no source).
const doubleMS = 250

// doubtMS is how long the question about a doubted value must have stood before
// it can be kept all the same: shorter is no answer to it.
const doubtMS = 500

func (m *Model) updateBench(msg Msg, in Input) ([]Effect, bool) {
	if m.Open == nil {
		switch msg.(type) {
		case BenchType, BenchSame, BenchNudge, BenchLikely, BenchKeep, BenchSkip, BenchStep, BenchGo, BenchPanel, BenchChip, BenchStrike, BenchUnstrike,
			BenchMethod, BenchQuarter, BenchSide, BenchUnit, BenchNear, BenchMode, BenchMore, BenchHabit, BenchPass, BenchNewPass,
			BenchWindows, TakeBack, PutBack, Key:
			return nil, true
		}
		return nil, false
	}
	b := &m.Bench
	switch msg := msg.(type) {
	case Key:
		if m.Station != AtBench {
			return nil, false
		}
		return m.benchKey(msg.Key, in), true
	case BenchType:
		if in.NowMS-b.unitMS >= doubleMS { // else the second tap of a double tap on the unit
			m.benchType(msg.Key)
		}
	case BenchSame:
		return m.benchSame(in), true
	case BenchNudge:
		m.benchNudge(msg.By)
	case BenchLikely:
		m.benchLikely()
	case BenchKeep:
		return m.benchKeep(msg.Sure, in), true
	case BenchSkip:
		m.benchSkip(in)
	case BenchStep:
		m.benchLeave(Beside(m.Steps(), b.At, msg.By))
	case BenchGo:
		if Place(m.Steps(), msg.Step) >= 0 {
			m.benchLeave(msg.Step)
		}
	case BenchPanel:
		m.benchPanel(msg.Panel, in)
	case BenchChip:
		b.Chip = msg.ID
		b.Panel, b.panelMS = PanelStrike, in.NowMS
	case BenchStrike:
		return m.benchStrike(msg, in), true
	case BenchUnstrike:
		b.Panel = PanelNone
		return m.unstrike(msg.ID, in), true
	case BenchQuarter:
		if b.Panel != PanelQuarter {
			return nil, true
		}
		b.Quarter = msg.Quarter
		return m.benchKeep(false, in), true
	case BenchPass:
		m.takePass(msg.Pass)
	case BenchNewPass:
		return m.newPass(msg, in), true
	case BenchWindows:
		return m.makeWindows(msg.Set, in), true
	case TakeBack:
		return m.takeBack(in), true
	case PutBack:
		return m.putBack(in), true
	default:
		return m.benchChoose(msg, in)
	}
	return nil, true
}

// benchChoose takes the choices that hold for the readings to come.
func (m *Model) benchChoose(msg Msg, in Input) ([]Effect, bool) {
	b := &m.Bench
	switch msg := msg.(type) {
	case BenchMethod:
		b.Method, b.Feeler = msg.Method, nil
		if msg.FeelerMM > 0 {
			b.Feeler = &unit.Length{Value: msg.FeelerMM}
		}
		b.Panel = PanelNone
	case BenchSide:
		b.Side, b.Panel = msg.Side, PanelNone
	case BenchUnit:
		if b.Panel != PanelNone {
			b.Panel, b.unitMS = PanelNone, in.NowMS
		}
		b.Unit = msg.Unit
	case BenchNear:
		b.Near, b.Panel = msg.Near, PanelNone
	case BenchMode:
		if m.writing() {
			return nil, true
		}
		b.Mode = msg.Mode
		m.benchSettle()
	case BenchMore:
		return m.benchMore(msg.What), true
	case BenchHabit:
		b.Panel = PanelNone
		return m.setHabit(msg.Habit, in), true
	default:
		return nil, false
	}
	return nil, true
}

// benchType takes one key. While a value is on its way to the disk it stays as
// it is, and what is typed waits for the next question.
func (m *Model) benchType(key string) {
	b := &m.Bench
	b.keepMS = 0 // a Keep after a key is no second tap of the one before
	switch {
	case m.Save.Failed: // that comes first
		return
	case b.Sending != "":
		if !b.pastHalf(b.Next, key) {
			b.Next = b.typeKey(b.Next, key)
		}
		return
	case b.pastHalf(b.Text, key):
		b.past += key
		b.Refuse = "The half ends the number: erase it to type " + b.past + "."
		return
	}
	b.Refuse, b.Quarter, b.past = "", 0, ""
	switch {
	case key == "/" && m.lengthUnit() != unit.Inch:
		return
	case m.Nudged() && key != "half": // typing starts anew
		b.Text = ""
	case (key == "." || key == ",") && strings.Contains(b.Text, "."):
		b.Refuse = "There is a point in " + b.Text + " already."
	}
	b.Text, b.nudged = b.typeKey(b.Text, key), ""
}

// typeKey returns text after one key, and remembers a half that ended it.
func (b *BenchState) typeKey(text, key string) string {
	text = Type(text, key)
	if key == "half" && strings.HasSuffix(text, ".5") {
		b.halved = text
	}
	return text
}

// pastHalf says that a digit comes after the half key, which ends a number.
func (b *BenchState) pastHalf(text, key string) bool {
	return text != "" && text == b.halved && len(key) == 1 && key >= "0" && key <= "9"
}

// benchLeave goes to another question unless a value is on its way to the
// disk.
func (m *Model) benchLeave(step string) {
	if m.Bench.Sending != "" {
		m.writing()
		return
	}
	m.benchTo(step)
}

// benchTo asks the question of a step; a half-typed value belongs to the
// question it was typed for and goes with it.
func (m *Model) benchTo(step string) {
	b := &m.Bench
	if step != b.At {
		b.Text, b.past = "", ""
	}
	b.At = step
	b.Panel, b.Refuse, b.Quarter, b.Side = PanelNone, "", 0, ""
}

func (m *Model) benchPanel(p Panel, in Input) {
	b := &m.Bench
	if b.Panel == p {
		p = PanelNone
	}
	b.Panel, b.panelMS, b.Pick = p, in.NowMS, b.At
}

// benchSkip leaves the question as skipped, when its set is not good, and asks
// the next.
func (m *Model) benchSkip(in Input) {
	b := &m.Bench
	if in.NowMS-b.skipMS < doubleMS || m.writing() {
		return
	}
	b.skipMS = in.NowMS
	steps := m.Steps()
	if at := Place(steps, b.At); at >= 0 && !steps[at].Full() && !steps[at].Skipped {
		b.Skipped = append(b.Skipped, b.At)
		steps = m.Steps()
	}
	m.benchTo(NextOpen(steps, b.At))
}

// Plan is what the order of questions of the pass in hand follows from.
func (m *Model) Plan() Plan {
	p := Plan{Repeats: m.Settings.Repeats, Mode: m.Bench.Mode, Skipped: m.Bench.Skipped, Habit: m.Habit()}
	if m.Open != nil {
		p.Tally = m.Open.Tally
		if m.Open.Build != nil {
			p.Windows = m.Open.Build.Windows
		}
	}
	return p
}

// Steps is the order of questions of the pass in hand.
func (m *Model) Steps() []Step { return m.Plan().Steps() }

// Question is what the bench asks now; ok is false when the pass is through.
func (m *Model) Question() (q Question, ok bool) {
	p := m.Plan()
	steps := p.Steps()
	at := Place(steps, m.Bench.At)
	if at < 0 {
		return Question{}, false
	}
	return p.Ask(steps[at], m.Bench.Near), true
}

// Habit is the habit of the pass in hand.
func (m *Model) Habit() string {
	if p := m.PassInHand(); p != nil {
		if p.Habit == "" {
			return build.HabitTDCZero
		}
		return p.Habit
	}
	if m.Bench.Habit != "" {
		return m.Bench.Habit
	}
	return build.HabitTDCZero
}

// PassInHand is the pass that readings go to; nil before the first reading.
func (m *Model) PassInHand() *build.Pass {
	if m.Open == nil || m.Open.Build == nil {
		return nil
	}
	for i := range m.Open.Build.Passes {
		if p := &m.Open.Build.Passes[i]; p.ID == m.Open.Pass {
			return p
		}
	}
	return nil
}

// draft is the hand as it is kept.
func (h Hand) draft() json.RawMessage {
	return build.WriteRecord(&h)
}
