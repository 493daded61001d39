package app

import (
	"strings"

	"portwright/engine/unit"
)

// benchKey is the keyboard and the cordless number pad, with keys that both
// have: digits, point or comma, / for a half or an inch's fraction, * for the
// same again, page up and down for a step more or less, Backspace, Enter keeps, left and
// right arrow go back and on, + skips, - takes back, the up arrow asks for the
// method, the down arrow lists the questions. Over the keypad a digit takes a
// choice by its place, Escape or Backspace goes back to the keys; a value that
// is doubted is kept with + alone. In the list the up and down arrows go from
// question to question and Enter asks the one they stand on.
func (m *Model) benchKey(key string, in Input) []Effect {
	b := &m.Bench
	if b.Panel != PanelNone {
		return m.panelKey(key, in)
	}
	send := func(msg Msg) []Effect {
		fx, _ := m.updateBench(msg, in)
		return fx
	}
	if sets := WindowSets(); len(m.Open.Build.Windows) == 0 { // a set is taken by its place
		if n := strings.Index("123456789", key); len(key) == 1 && n >= 0 && n < len(sets) {
			return send(BenchWindows{sets[n].Key})
		}
		return nil
	}
	if _, asked := m.Question(); !asked && key == "Enter" {
		return []Effect{GoTo{Hash: Route{Station: AtFindings, Build: m.Open.ID}.Hash()}}
	}
	switch key {
	case "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", ".", ",":
		m.benchType(key)
	case "/":
		if m.lengthUnit() != unit.Inch {
			key = "half"
		}
		m.benchType(key)
	case "*":
		return send(BenchSame{})
	case "PageUp":
		return send(BenchNudge{+1})
	case "PageDown":
		return send(BenchNudge{-1})
	case "Backspace", "Delete":
		m.benchType("erase")
	case "Enter":
		return send(BenchKeep{})
	case "ArrowLeft":
		return send(BenchStep{-1})
	case "ArrowRight":
		return send(BenchStep{+1})
	case "+":
		return send(BenchSkip{})
	case "-":
		return send(TakeBack{})
	case "ArrowUp":
		return send(BenchPanel{PanelMethod})
	case "ArrowDown":
		return send(BenchPanel{PanelList})
	}
	return nil
}

// panelKey is the keyboard while something lies over the keypad.
func (m *Model) panelKey(key string, in Input) []Effect {
	b := &m.Bench
	switch {
	case key == "Escape" || key == "Backspace":
		b.Panel = PanelNone
	case b.Panel == PanelOdd: // Enter and digits come by themselves, bounced or typed ahead
		if key == "+" {
			return m.benchKeep(true, in)
		}
	case b.Panel == PanelList && (key == "ArrowUp" || key == "ArrowDown"):
		steps := m.Steps()
		at := Place(steps, b.Pick)
		if key == "ArrowUp" {
			at -= 2
		}
		if at++; at < 0 || at >= len(steps) {
			return nil
		}
		b.Pick = steps[at].ID
		return []Effect{FocusOn{FocusStep + b.Pick}}
	case b.Panel == PanelList && key == "Enter" && b.Pick != "":
		m.benchLeave(b.Pick)
	case key == "Enter" && b.Panel == PanelHelp:
		b.Panel = PanelNone
	case len(key) == 1 && key[0] >= '1' && key[0] <= '9':
		return m.panelChoice(int(key[0]-'1'), in)
	}
	return nil
}

// panelChoice takes the nth choice of the panel that is open.
func (m *Model) panelChoice(n int, in Input) []Effect {
	choices := m.Choices()
	if n >= len(choices) {
		return nil
	}
	fx, _ := m.updateBench(choices[n].Msg, in)
	return fx
}
