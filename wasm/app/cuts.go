package app

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
)

// CutsState is station Cuts. Targets, allowed moves and limits are fields of
// the book; what is tried is part of the draft.
type CutsState struct {
	WhatIf bool             // moves are tried in place of targets
	Tried  map[string]Field // by MoveAt.Path
	Facts  int              // what was cut and read when it was tried; see facts
	Plan   CutsPlan         // cuts_plan.go

	stale  bool // a number of the plan changed since it was made
	due    bool // what was nudged is to be kept
	nudges int
}

// Intents of station Cuts.
type (
	// CutsWant adds a target where the engine stands now.
	CutsWant struct{ Key string }

	// CutsLeave takes a target out.
	CutsLeave struct{ Key string }

	// CutsMove makes a target change places with the one before, -1, or after
	// it, 1.
	CutsMove struct {
		Key string
		By  int
	}

	// CutsNudge moves a target by steps.
	CutsNudge struct {
		Key string
		By  int
	}

	// CutsSettle keeps what was nudged when no nudge came after the Nth.
	CutsSettle struct{ N int }

	// CutsMode goes over to trying moves, or back to the targets.
	CutsMode struct{ WhatIf bool }

	// CutsTry is what is typed for a move that is tried.
	CutsTry struct{ Path, Text string }

	// CutsTryBy nudges a move that is tried by steps.
	CutsTryBy struct {
		Path string
		By   int
	}

	// CutsTryNone forgets every move that is tried, CutsTryPlan takes the plan's.
	CutsTryNone struct{}
	CutsTryPlan struct{}

	// CutsAllow allows a move, or forbids it again.
	CutsAllow struct{ Move string }

	// CutsStrike strikes a bite out, or lets it count again.
	CutsStrike struct {
		ID   string
		Back bool
	}

	// CutsReadAgain begins a pass after the cut and goes to the bench.
	CutsReadAgain struct{}
)

func (CutsWant) msg()      {}
func (CutsLeave) msg()     {}
func (CutsMove) msg()      {}
func (CutsNudge) msg()     {}
func (CutsSettle) msg()    {}
func (CutsMode) msg()      {}
func (CutsTry) msg()       {}
func (CutsTryBy) msg()     {}
func (CutsTryNone) msg()   {}
func (CutsTryPlan) msg()   {}
func (CutsAllow) msg()     {}
func (CutsStrike) msg()    {}
func (CutsReadAgain) msg() {}

func (m *Model) updateCuts(msg Msg, in Input) ([]Effect, bool) {
	if m.Open == nil || m.Open.Build == nil {
		return nil, false
	}
	c := &m.Cuts
	switch msg := msg.(type) {
	case CutsWant:
		return m.cutsWant(msg.Key), true
	case CutsLeave:
		return m.cutsLeave(msg.Key, in), true
	case CutsMove:
		return m.cutsMove(msg.Key, msg.By, in), true
	case CutsNudge:
		return m.cutsNudge(msg.Key, msg.By), true
	case CutsSettle:
		c.due = c.due || msg.N == c.nudges
	case CutsMode:
		c.WhatIf, c.stale = msg.WhatIf, true
		if c.WhatIf && len(c.Tried) == 0 {
			m.tryPlan()
		}
	case CutsTry:
		m.try(msg.Path, msg.Text)
	case CutsTryBy:
		m.tryBy(msg.Path, msg.By)
	case CutsTryNone:
		c.Tried, c.stale = nil, true
	case CutsTryPlan:
		m.planned()
	case CutsAllow:
		return m.allow(msg.Move, in), true
	case CutsStrike:
		return m.strikeBite(msg.ID, !msg.Back, in), true
	case CutsTrust:
		return m.trustReadings(msg.ID, in), true
	case CutsReadAgain:
		return m.readAgain(in), true
	default:
		return nil, false
	}
	return nil, true
}

// settleMS is how long a nudged target rests before it is kept: taps that
// follow each other are one change.
const settleMS = 1200

// NudgeStep is by how much a target is nudged.
func NudgeStep(key string, u unit.LengthUnit) float64 {
	switch {
	case key == build.TargetSquish && u == unit.Thou:
		return 2
	case key == build.TargetSquish && u == unit.Inch:
		return 0.002
	case key == build.TargetSquish:
		return 0.05
	case key == build.TargetGeometricRatio, key == build.TargetTrappedRatio:
		return 0.1
	case key == build.TargetBlowdown, key == build.TargetExhaustOpens, key == build.TargetTransferOpens, key == build.TargetIntakeOpens:
		return 1
	}
	return 2 // of duration
}

// Wanted is a target as it stands: as it was nudged, else as it is kept. What
// is typed counts once it is on its way to the disk.
func (m *Model) Wanted(key string) (f Field, ok bool) {
	path := "targets." + key
	spec, _, _, known := FieldAt(m.Open.Build, path)
	if f := m.Engine.Typed[path]; known && (f.Nudged || f.Sending != "") {
		return m.parsed(spec, f), true
	}
	for _, t := range m.Open.Build.Targets.List {
		if t.Key == key {
			return m.parsed(spec, Field{Text: number(t.Value.Value), Unit: t.Value.Unit}), true
		}
	}
	return f, false
}

// WantedKeys are the targets in their order, those that are not kept yet last.
func (m *Model) WantedKeys() (out []string) {
	for _, t := range m.Open.Build.Targets.List {
		out = append(out, t.Key)
	}
	for _, key := range build.TargetKeys() {
		if _, ok := m.Wanted(key); ok && !slices.Contains(out, key) {
			out = append(out, key)
		}
	}
	return out
}

// cutsMove writes the new order of the targets.
func (m *Model) cutsMove(key string, by int, in Input) []Effect {
	keys := m.WantedKeys()
	i := slices.Index(keys, key)
	j := i + by
	if i < 0 || j < 0 || j >= len(keys) || len(m.Save.Waiting) > 0 {
		return nil
	}
	m.Cuts.due = true // one that was just added is kept with its place
	keys[i], keys[j] = keys[j], keys[i]
	focus := "down-"
	if j == len(keys)-1 || j > 0 && by < 0 {
		focus = "up-"
	}
	return append(m.write(in, m.setItem(in.ID(1), book.OrderPath, build.TextJSON(strings.Join(keys, " ")))), FocusOn{ID: focus + key})
}

func number(v float64) string { return strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64) }

func (m *Model) cutsWant(key string) []Effect {
	if _, there := m.Wanted(key); there || !slices.Contains(build.TargetKeys(), key) {
		return nil
	}
	now := math.NaN()
	if r := m.Cuts.Plan.Result; r != nil {
		now = r.Now.Value(key)
	}
	if math.IsNaN(now) {
		return []Effect{GoTo{Hash: Route{Station: AtCuts, Build: m.Open.ID, Field: "targets." + key}.Hash()}}
	}
	u := unit.LengthUnit("")
	if key == build.TargetSquish {
		if u = m.Engine.Unit; u == "" {
			u = unit.MM
		}
		now = unit.Length{Value: now}.In(u).Value
	}
	step := NudgeStep(key, u)
	return append(m.nudgeTo(key, Field{Text: number(math.Round(now/step) * step), Unit: u}), FocusOn{ID: "want-" + key})
}

// cutsNudge moves a target. An intake's opening is counted before TDC: more is
// earlier.
func (m *Model) cutsNudge(key string, by int) []Effect {
	f, ok := m.Wanted(key)
	if !ok || f.Err != nil {
		return nil
	}
	if key == build.TargetIntakeOpens {
		by = -by
	}
	f.Text = number(f.Value + float64(by)*NudgeStep(key, f.Unit))
	return m.nudgeTo(key, f)
}

// nudgeTo takes a value that can be; the plan follows at once and the book
// after a while.
func (m *Model) nudgeTo(key string, f Field) []Effect {
	spec, _, _, ok := FieldAt(m.Open.Build, "targets."+key)
	if !ok {
		return nil
	}
	f = m.parsed(spec, f)
	value, err := fieldJSON(spec, f)
	if err != nil || len(wrongWith(m.Open.Build, spec.Path, value)) > 0 {
		return nil
	}
	f.Nudged = true
	m.hold(spec, f)
	m.Cuts.nudges++
	return []Effect{After{MS: settleMS, Msg: CutsSettle{m.Cuts.nudges}}}
}

// setting says whether a value of a field is on its way to the disk: the next
// must know of it.
func (m *Model) setting(path string) bool {
	for _, w := range m.Save.Waiting {
		for _, it := range w.Items {
			var b book.SetBody
			if it.Kind == book.KindSet && build.ReadRecord(it.Body, &b) == nil && b.Path == path {
				return true
			}
		}
	}
	return false
}

// settleCuts keeps what was nudged, once an earlier value is on the disk.
func (m *Model) settleCuts(in Input) []Effect {
	if !m.Cuts.due || m.Open == nil || m.Open.Build == nil {
		return nil
	}
	m.Cuts.due = false
	var items []book.Item
	values := ValuesOf(m.Open.Build)
	for i, key := range build.TargetKeys() {
		path := "targets." + key
		f := m.Engine.Typed[path]
		spec, _, _, ok := FieldAt(m.Open.Build, path)
		if !ok || !f.Nudged || f.Sending != "" {
			continue
		}
		if m.setting(path) {
			m.Cuts.due = true
			continue
		}
		value, err := fieldJSON(spec, f)
		switch {
		case err != nil:
			continue
		case string(value) == string(values[path]):
			delete(m.Engine.Typed, path)
			continue
		}
		f.Sending = in.ID(0x100 + i)
		m.Engine.Typed[path] = f
		items = append(items, m.setItem(f.Sending, path, value))
	}
	return m.write(in, items...)
}

func (m *Model) cutsLeave(key string, in Input) []Effect {
	path := "targets." + key
	if m.setting(path) {
		return nil
	}
	delete(m.Engine.Typed, path)
	m.Cuts.stale = true
	fx := []Effect{FocusOn{ID: "wanted-title"}}
	if ValuesOf(m.Open.Build)[path] == nil {
		return fx
	}
	_, null := wholeField(m.Open.Build, path, nil)
	return append(fx, m.write(in, m.setItem(in.ID(1), path, null))...)
}

// allow opens the room of a move, without a bound at first, or closes it.
func (m *Model) allow(move string, in Input) []Effect {
	for _, r := range m.Open.Build.Allowed.Rooms() {
		path := "moves_allowed." + r.Key()
		if r.Move != move || m.setting(path) {
			continue
		}
		_, value := wholeField(m.Open.Build, path, nil)
		if *r.Room == nil {
			value, _ = build.EncodePart(&build.Room{})
		}
		return m.write(in, m.setItem(in.ID(1), path, value))
	}
	return nil
}
