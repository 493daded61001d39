package app

import (
	"strconv"
	"strings"

	"portwright/engine/unit"
)

// EngineState is station Engine. What is typed and not yet kept is kept as
// part of the draft; the rest is forgotten with the page.
type EngineState struct {
	At    string           // path of the field in hand, "" for the list
	Typed map[string]Field // by path: typed, and not yet in the book
	Unit  unit.LengthUnit  // last chosen or kept: where the next length starts
	Learn LearnState       // learn.go
	Asked EngineChoose     // a choice that gives readings another meaning, until it is answered; see Meant
}

// Field is a text field in hand. Text stays as it was typed whatever it means.
type Field struct {
	Text    string             `json:"text"`
	Unit    unit.LengthUnit    `json:"unit,omitempty"`
	Value   float64            `json:"-"`                 // what Text says, in Unit; only when Err is nil
	Err     error              `json:"-"`                 // *unit.InputError: Text is no number (yet)
	Faults  []*unit.InputError `json:"-"`                 // why Keep refused
	AskedMS int64              `json:"-"`                 // when Keep asked about it, 0 when it didn't
	Sending string             `json:"sending,omitempty"` // ID of the entry on its way to the disk
	Nudged  bool               `json:"nudged,omitempty"`  // set by plus and minus: is kept by itself after a while
}

// Intents of station Engine.
type (
	// EngineType is what the field in hand holds after a key press.
	EngineType struct{ Text string }

	// EngineUnit says which unit the typed number is in.
	EngineUnit struct{ Unit unit.LengthUnit }

	// EngineSlash puts the stroke of a fraction behind the typed number.
	EngineSlash struct{}

	// EngineSign turns the sign of the typed number.
	EngineSign struct{}

	// EngineKeep keeps what is typed and goes to the next field, or to the
	// address To. Sure keeps all the same what was asked about.
	EngineKeep struct {
		To   string
		Sure bool
	}

	// EngineNotKnown makes the field in hand not known and goes to the next.
	EngineNotKnown struct{}

	// EngineChoose keeps one of a choice's options.
	EngineChoose struct {
		Path, Value string
		From        From
	}

	// EngineTake puts a length into the field in hand, as was suggested.
	EngineTake struct{ Length unit.Length }

	// EngineDrop forgets what is typed in the field in hand.
	EngineDrop struct{}

	// Decide settles a conflict: the value of entry Head is the one.
	Decide struct{ Path, Head string }
)

func (EngineType) msg()     {}
func (EngineUnit) msg()     {}
func (EngineSlash) msg()    {}
func (EngineSign) msg()     {}
func (EngineKeep) msg()     {}
func (EngineNotKnown) msg() {}
func (EngineChoose) msg()   {}
func (EngineTake) msg()     {}
func (EngineDrop) msg()     {}
func (Decide) msg()         {}

// WindowsPath is the address, in place of a field's, of the list of windows.
const WindowsPath = "windows"

// maxTyped bounds what is taken from a text field.
const maxTyped = 2000

func (m *Model) updateEngine(msg Msg, in Input) ([]Effect, bool) {
	if m.Open == nil || m.Open.Build == nil {
		return nil, false
	}
	switch msg := msg.(type) {
	case EngineType:
		m.engineType(msg.Text)
	case EngineUnit:
		return m.engineUnit(msg.Unit), true
	case EngineSign:
		m.engineSign()
	case EngineSlash:
		return m.engineSlash(), true
	case EngineUndo:
		return m.engineUndo(in), true
	case EngineTake:
		m.engineTake(msg.Length)
	case EngineKeep:
		return m.engineKeep(msg, in), true
	case EngineNotKnown:
		return m.engineNotKnown(in), true
	case EngineChoose:
		return m.engineChoose(msg, in), true
	case EngineLeave:
		m.Engine.Asked = EngineChoose{}
	case EngineDrop:
		delete(m.Engine.Typed, m.Engine.At)
		m.Cuts.stale = true
	case Decide:
		return m.decide(msg, in), true
	default:
		if fx, ok := m.updateParts(msg, in); ok {
			return fx, true
		}
		return m.updateLearn(msg, in)
	}
	return nil, true
}

// engineAt takes a field in hand, or shows the list; path is from the address.
func (m *Model) engineAt(path string) []Effect {
	e := &m.Engine
	e.Asked = EngineChoose{}
	switch path {
	case LearnPath:
		e.At = path
		return nil
	case WindowsPath:
		e.At = ""
		return []Effect{FocusOn{ID: "windows-title"}}
	}
	if _, _, _, ok := FieldAt(m.soon(), path); !ok {
		e.At = ""
		return nil
	}
	e.At = path
	return []Effect{FocusOn{ID: "field"}}
}

// InHand is the field in hand with what is typed in it, or with its kept value
// when nothing is.
func (m *Model) InHand() (spec FieldSpec, f Field, ok bool) {
	spec, _, _, ok = FieldAt(m.soon(), m.Engine.At)
	if !ok {
		return spec, f, false
	}
	if f, typed := m.Engine.Typed[spec.Path]; typed {
		return spec, f, true
	}
	f.Unit = m.Engine.Unit
	values := ValuesOf(m.Open.Build)
	if spec.Kind == FieldLength {
		if l := values.Length(spec.Path); l != nil {
			f.Text, f.Unit = strconv.FormatFloat(l.Value, 'f', -1, 64), l.Unit
		}
		if f.Unit == "" {
			f.Unit = unit.MM
		}
	} else {
		f.Text = values.Text(spec.Path)
	}
	return spec, m.parsed(spec, f), true
}

// parsed fills in what the text says.
func (m *Model) parsed(spec FieldSpec, f Field) Field {
	f.Value, f.Err = 0, nil
	if spec.Kind == FieldText || spec.Kind == FieldChoice {
		return f
	}
	if spec.Kind == FieldLength {
		l, err := unit.ParseLength(f.Text, f.Unit)
		if err != nil {
			f.Err = err
			return f
		}
		f.Value, f.Unit = l.Value, l.Unit
		return f
	}
	f.Value, f.Err = unit.ParseNumber(f.Text)
	if whole := f.Value == float64(int(f.Value)) && f.Value >= 1; spec.Kind == FieldWhole && f.Err == nil && !whole {
		f.Err = &unit.InputError{Value: f.Text, Reason: "must be a whole number from 1"}
	}
	return f
}

// hold remembers the field in hand as typed.
func (m *Model) hold(spec FieldSpec, f Field) {
	f.Faults, f.Sending, f.AskedMS = nil, "", 0
	m.Cuts.stale = true
	if m.Engine.Typed == nil {
		m.Engine.Typed = map[string]Field{}
	}
	m.Engine.Typed[spec.Path] = m.parsed(spec, f)
}

func (m *Model) engineType(text string) {
	spec, f, ok := m.InHand()
	if !ok || spec.Kind == FieldChoice {
		return
	}
	if len(text) > maxTyped {
		text = strings.ToValidUTF8(text[:maxTyped], "")
	}
	f.Text, f.Nudged = text, false
	m.hold(spec, f)
}

// engineUnit takes a unit for the number; typing goes on in the field.
func (m *Model) engineUnit(u unit.LengthUnit) []Effect {
	spec, f, ok := m.InHand()
	if !ok || spec.Kind != FieldLength || (u != unit.MM && u != unit.Inch && u != unit.Thou) {
		return nil
	}
	m.Engine.Unit = u
	if _, typed := m.Engine.Typed[spec.Path]; f.Unit != u && (typed || f.Text != "") {
		f.Unit = u
		m.hold(spec, f)
	}
	return []Effect{FocusOn{ID: "field"}}
}

// engineSlash leaves the field in hand: a phone's own keys have no stroke.
func (m *Model) engineSlash() []Effect {
	spec, f, ok := m.InHand()
	if !ok || spec.Kind != FieldLength {
		return nil
	}
	f.Text = Type(strings.Replace(f.Text, ",", ".", 1), "/")
	m.hold(spec, f)
	return []Effect{FocusOn{ID: "field"}}
}

func (m *Model) engineSign() {
	spec, f, ok := m.InHand()
	if !ok || !spec.Signed {
		return
	}
	t := strings.TrimSpace(f.Text)
	rest, minus := strings.CutPrefix(t, "-")
	if !minus {
		rest, minus = strings.CutPrefix(t, "−")
	}
	if minus {
		f.Text = rest
	} else {
		f.Text = "-" + strings.TrimPrefix(t, "+")
	}
	m.hold(spec, f)
}

func (m *Model) engineTake(l unit.Length) {
	spec, f, ok := m.InHand()
	if !ok || spec.Kind != FieldLength {
		return
	}
	f.Text, f.Unit = strconv.FormatFloat(l.Value, 'f', -1, 64), l.Unit
	if f.Unit == "" {
		f.Unit = unit.MM
	}
	m.hold(spec, f)
}
