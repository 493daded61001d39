package view

import (
	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/wasm/app"
)

// panelOf is what lies over the keypad; nil while the keys are free. The list
// of questions has its own place and is no panel here.
func panelOf(m *app.Model) *BenchPanel {
	p := &BenchPanel{Kind: string(m.Bench.Panel)}
	switch m.Bench.Panel {
	case app.PanelHelp:
		helpInto(p, m)
	case app.PanelMethod:
		p.Title = "How is the edge seen?"
		if m.Habit() == build.HabitDepth {
			p.Title = "Which unit does the gauge show?"
		} else if q, ok := m.Question(); ok && q.Stop() {
			p.Title = "Where is the stop?"
		}
	case app.PanelStrike:
		p.Title = "Strike " + chipText(m, m.Bench.Chip) + " out?"
		p.Lines = []string{"It stays in the record with the reason and counts no more."}
		if reason := m.Open.Tally.Why(m.Bench.Chip); reason != "" {
			p.Title = chipText(m, m.Bench.Chip) + " is struck out"
			p.Lines = []string{"Reason: " + reason + "."}
		}
	case app.PanelQuarter:
		p.Title = "Which quarter of the turn is that?"
		p.Lines = []string{m.Bench.Text + " lies close to the end of a quarter, where the wheel alone can't say."}
	case app.PanelOdd:
		p.Title = "Keep it all the same?"
		p.Lines = []string{m.Bench.Doubt, "On a number pad: Backspace changes it, + keeps it."}
	case app.PanelHabit:
		p.Title = "A new pass, " + habitWords(m.Bench.Asked) + "?"
		p.Lines = []string{"“" + passName(m) + "” holds readings taken another way. They stay as they are."}
	case app.PanelPass:
		p.Title = "Which pass?"
	default:
		return nil
	}
	for _, c := range m.Choices() {
		p.Buttons = append(p.Buttons, Button{c.Words, c.Msg, c.Now})
	}
	return p
}

func chipText(m *app.Model, id string) string {
	for _, s := range m.Steps() {
		for _, c := range chipsOf(m, s) {
			if c.ID == id {
				return c.Text
			}
		}
	}
	return "the reading"
}

// Cautions of the bench, in own words; each stands where its risk arises.
const (
	cautionStop = "Plug out, spark earthed, fuel drained, bar and chain or blade off. Turn by hand and gently; never use the starter against a stop: it breaks the piston, the rod or the stop."
	cautionTurn = "Plug out and spark earthed while the crank is turned by hand. Keep fingers out of the ports: the piston's edge shears."
)

const helpKeys = "On a keyboard or number pad: digits, point or comma, / for a half, * for the same again, page up and down for a step, Backspace, Enter keeps; left and right go back and on, + skips, − takes back, up asks for the method, down lists the questions."

// helpInto says how this question is answered.
func helpInto(p *BenchPanel, m *app.Model) {
	p.Title, p.Caution = "How to read this one", cautionTurn
	q, ok := m.Question()
	switch {
	case !ok:
		p.Lines = []string{helpKeys}
	case q.Stop():
		p.Caution, p.Picture = cautionStop, draw.HowStop()
		p.Lines = []string{
			"Set the stop so that it holds the piston 15° to 20° before the dead centre. Turn the running way until it touches and read; turn right round the other way until it touches again and read.",
			"The middle of the short arc is the dead centre. Do it twice: the repeat shows whether the wheel or the stop has moved.",
		}
	case m.Habit() == build.HabitDepth:
		p.Picture = draw.HowDepth(q.Kind == build.KindIntake)
		p.Lines = []string{
			"Hold the gauge along the bore and measure from the cylinder's top face to the edge of the window. A chamfer moves the edge: measure to where the wall begins.",
		}
	case m.Habit() == build.HabitOpenZero:
		p.Picture = draw.HowEdge(q.Kind == build.KindIntake, m.Down(q))
		p.Lines = []string{
			"Turn the running way until the window just opens, set the wheel to 0 there, turn on until it just closes and read: that is how long it is open.",
		}
	default:
		if in := m.Open.Build.Engine.Intake; q.Kind != build.KindIntake || in == "" || in == build.IntakePistonPort {
			p.Picture = draw.HowEdge(q.Kind == build.KindIntake, m.Down(q))
		}
		p.Lines = []string{
			"Turn the running way only, to " + edgeWords(q) + ". Gone too far: go well back and come again, so that play in the wheel does not count. Look straight at the pointer.",
		}
	}
}

func edgeWords(q app.Question) string {
	if q.Event == build.Opens {
		return "the instant when the window just opens"
	}
	return "the instant when the window has just closed"
}
