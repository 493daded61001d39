package app

// Choices of this device.
type (
	// SetTheme chooses "" (as the system says), "day" or "shed".
	SetTheme struct{ Theme string }

	// SetHand puts Keep and erase on the left.
	SetHand struct{ Left bool }

	// SetReadBack has a kept value spoken.
	SetReadBack struct{ On bool }

	// SetStill leaves the vibration out, SetTone has a kept value sound.
	SetStill struct{ On bool }
	SetTone  struct{ On bool }

	// SetRepeats chooses how many readings an event is asked for, 1 to 9.
	SetRepeats struct{ N int }
)

func (SetTheme) msg()    {}
func (SetHand) msg()     {}
func (SetReadBack) msg() {}
func (SetStill) msg()    {}
func (SetTone) msg()     {}
func (SetRepeats) msg()  {}

// updateSettings takes the choices of this device.
func (m *Model) updateSettings(msg Msg) ([]Effect, bool) {
	switch msg := msg.(type) {
	case SetTheme:
		if msg.Theme != "" && msg.Theme != "day" && msg.Theme != "shed" {
			return nil, true
		}
		m.Settings.Theme = msg.Theme
	case SetHand:
		m.Settings.LeftHand = msg.Left
	case SetReadBack:
		m.Settings.ReadBack = msg.On
	case SetStill:
		m.Settings.Still = msg.On
	case SetTone:
		m.Settings.Tone = msg.On
	case SetRepeats:
		if msg.N < 1 || msg.N > 9 {
			return nil, true
		}
		m.Settings.Repeats = msg.N
		if m.Open != nil {
			m.benchSettle()
		}
	default:
		return nil, false
	}
	return []Effect{SaveSettings{m.Settings}, m.appear()}, true
}

func (m *Model) appear() Effect {
	hand := ""
	if m.Settings.LeftHand {
		hand = "left"
	}
	return Appear{Theme: m.Settings.Theme, Hand: hand}
}
