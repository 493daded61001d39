package app

import (
	"encoding/json"
	"slices"
	"strconv"

	"portwright/engine/book"
	"portwright/engine/build"
)

// Intents about windows and passes as wholes.
type (
	// AddWindow makes another window of a kind, named after it.
	AddWindow struct{ Kind string }

	// AddPass makes another pass and takes it in hand.
	AddPass struct{}

	// TakeOut takes a window or pass ("windows/<id>", "passes/<id>") out of the
	// build; its readings stay in the record.
	TakeOut struct{ Part string }

	// PutIn puts it back.
	PutIn struct{ Part string }

	// MoveWindow moves a window by places in the order of reading.
	MoveWindow struct {
		ID string
		By int
	}
)

func (AddWindow) msg()  {}
func (AddPass) msg()    {}
func (TakeOut) msg()    {}
func (PutIn) msg()      {}
func (MoveWindow) msg() {}

func (m *Model) updateParts(msg Msg, in Input) ([]Effect, bool) {
	switch msg := msg.(type) {
	case AddWindow:
		return m.addWindow(msg.Kind, in), true
	case AddPass:
		return m.newPass(m.another(), in), true
	case TakeOut:
		return m.setRemoved(msg.Part, true, in), true
	case PutIn:
		return m.setRemoved(msg.Part, false, in), true
	case MoveWindow:
		return m.moveWindow(msg, in), true
	}
	return nil, false
}

// addWindow names the window after its kind, with a number where that name is
// taken. A second tap waits for the first.
func (m *Model) addWindow(kind string, in Input) []Effect {
	kinds := []string{build.KindExhaust, build.KindTransfer, build.KindBoost, build.KindIntake}
	if !slices.Contains(kinds, kind) || len(m.Save.Waiting) > 0 {
		return nil
	}
	id := in.ID(16)
	at := "windows/" + id
	items := []book.Item{
		m.set(in.ID(1), at+".name", build.TextJSON(freeName(kind, func(name string) bool {
			return slices.ContainsFunc(m.Open.Build.Windows, func(w build.Window) bool { return w.Name == name })
		}))),
		m.set(in.ID(2), at+".kind", build.TextJSON(kind)),
	}
	return m.write(in, items...)
}

// freeName is name, or name with the first number from 2 that is not taken.
func freeName(name string, taken func(string) bool) string {
	free := name
	for n := 2; taken(free); n++ {
		free = name + " " + strconv.Itoa(n)
	}
	return free
}

func (m *Model) setRemoved(part string, removed bool, in Input) []Effect {
	known := slices.ContainsFunc(m.Parts(), func(p Part) bool { return p.Path == part && p.Out != removed })
	if !known || len(m.Save.Waiting) > 0 {
		return nil
	}
	return m.write(in, m.setItem(in.ID(1), part+".removed", build.FlagJSON(removed)))
}

// Part is a window or a pass, in the build or taken out of it.
type Part struct {
	Path string // "windows/<id>"
	Name string
	Out  bool
}

// Parts lists the windows and passes of the open build and those taken out.
func (m *Model) Parts() []Part {
	var out []Part
	for _, w := range m.Open.Build.Windows {
		out = append(out, Part{Path: "windows/" + w.ID, Name: w.Name})
	}
	for _, p := range m.Open.Build.Passes {
		out = append(out, Part{Path: "passes/" + p.ID, Name: p.Name})
	}
	for _, r := range m.Open.Fold.Removed {
		out = append(out, Part{Path: r.Path, Name: r.Name, Out: true})
	}
	return out
}

// moveWindow gives every window its place in the new order.
func (m *Model) moveWindow(msg MoveWindow, in Input) []Effect {
	ws := slices.Clone(m.Open.Build.Windows)
	i := slices.IndexFunc(ws, func(w build.Window) bool { return w.ID == msg.ID })
	j := i + msg.By
	if i < 0 || j < 0 || j >= len(ws) || i == j || len(m.Save.Waiting) > 0 {
		return nil
	}
	w := ws[i]
	ws = slices.Insert(slices.Delete(ws, i, i+1), j, w)
	var items []book.Item
	for k, w := range ws {
		path := "windows/" + w.ID + ".place"
		value := json.RawMessage(strconv.Itoa(k + 1))
		items = append(items, m.setItem(in.ID(k+1), path, value))
	}
	return m.write(in, items...)
}
