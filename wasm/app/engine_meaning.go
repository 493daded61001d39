package app

import (
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
)

// From says since when a choice about wheel or habit holds.
type From string

// A choice that gives readings another meaning is asked about first. The
// readings themselves stay as they were read, whatever the answer.
const (
	FromAsk    From = ""       // ask when there are such readings
	FromAlways From = "always" // they were taken so from the start
	FromNext   From = "next"   // from the next pass on, which begins now
)

// EngineLeave takes back a choice that was asked about.
type EngineLeave struct{}

func (EngineLeave) msg() {}

// Meant counts the readings, those of stop checks included, that a field of
// wheel or habit gives their meaning.
func (m *Model) Meant(path string) int {
	n := 0
	for i := range m.Open.Build.Passes {
		p := &m.Open.Build.Passes[i]
		if onBuildsWheel(p) && (path == "wheel.numbering" || path == "wheel.numbers") || path == "passes/"+p.ID+".habit" {
			n += len(p.Readings)
			for _, s := range p.Stops {
				n += len(s.Readings)
			}
		}
	}
	return n
}

// onBuildsWheel says that a pass is read on the build's wheel.
func onBuildsWheel(p *build.Pass) bool {
	return p.Habit != build.HabitDepth && p.Wheel.Numbering == "" && p.Wheel.Numbers == ""
}

// CanAlways says whether what is asked about can have held from the start: the
// readings must fit on the wheel.
func (m *Model) CanAlways() bool {
	a := m.Engine.Asked
	return len(wrongWith(m.Open.Build, a.Path, build.TextJSON(a.Value))) == 0
}

// chooseFromNext leaves the passes that were read as they are, with the wheel
// that they were read on, and begins another with what was chosen.
func (m *Model) chooseFromNext(msg EngineChoose, in Input) []Effect {
	pass := m.another()
	if strings.HasSuffix(msg.Path, ".habit") {
		pass.Habit = msg.Value
		return m.newPass(pass, in)
	}
	was := m.Open.Build.Wheel
	if was.Numbering == "" {
		was.Numbering = build.Numbering360
	}
	if was.Numbers == "" {
		was.Numbers = build.NumbersRise
	}
	wheel, err := build.EncodePart(&was)
	if err != nil || m.writing() {
		return nil
	}
	var items []book.Item
	for i := range m.Open.Build.Passes {
		if p := &m.Open.Build.Passes[i]; onBuildsWheel(p) && len(p.Readings)+len(p.Stops) > 0 {
			items = append(items, m.setItem(in.ID(32+i), "passes/"+p.ID+".wheel", wheel))
		}
	}
	items = append(items, m.setItem(in.ID(1), msg.Path, build.TextJSON(msg.Value)))
	id := in.ID(2)
	items = append(items, m.passItems(id, id, pass.Name, pass.Cylinder, m.Habit())...)
	m.handTo(id, pass.Name)
	return m.write(in, items...)
}
