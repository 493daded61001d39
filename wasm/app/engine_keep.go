package app

import (
	"encoding/json"
	"strings"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
)

// engineKeep keeps what is typed when it can be, and goes on; else it says at
// the field what would be right. A length that is only usual in another unit or
// with another decimal point is asked about first.
func (m *Model) engineKeep(msg EngineKeep, in Input) []Effect {
	spec, f, ok := m.InHand()
	if !ok || msg.To == "" && (spec.Kind == FieldChoice || f.Sending != "") {
		return nil
	}
	if _, typed := m.Engine.Typed[spec.Path]; !typed || f.Sending != "" {
		return m.engineGo(msg.To)
	}
	if strings.TrimSpace(f.Text) == "" && !spec.Needed {
		return m.engineForget(spec, msg.To, in)
	}
	value, err := fieldJSON(spec, f)
	if err != nil {
		return m.refuse(spec, f, faultsOf(err))
	}
	mv, bite := m.BiteAt(spec.Path)
	soon := m.soon()
	path, whole := wholeField(soon, spec.Path, value)
	if !bite && string(value) == string(ValuesOf(soon)[spec.Path]) {
		delete(m.Engine.Typed, spec.Path)
		return m.engineGo(msg.To)
	}
	if faults := wrongWith(soon, path, whole); len(faults) > 0 {
		return m.refuse(spec, f, faults)
	}
	if spec.Kind == FieldLength {
		sure := msg.Sure && f.AskedMS > 0 && in.NowMS-f.AskedMS >= doubtMS
		if d := m.DoubtOf(spec, unit.Length{Value: f.Value, Unit: f.Unit}); d != nil && d.Suggest != nil && !sure {
			if f.AskedMS == 0 {
				f.AskedMS = in.NowMS
			}
			m.Engine.Typed[spec.Path] = f
			return []Effect{FocusOn{ID: "field"}}
		}
		m.Engine.Unit = f.Unit
	}
	if bite {
		return m.keepBite(spec, f, mv, in)
	}
	return append(m.sendField(spec, f, path, whole, in), m.engineGo(msg.To)...)
}

func (m *Model) refuse(spec FieldSpec, f Field, faults []*unit.InputError) []Effect {
	m.hold(spec, f)
	f = m.Engine.Typed[spec.Path]
	f.Faults = faults
	m.Engine.Typed[spec.Path] = f
	return []Effect{FocusOn{ID: "field"}}
}

// sendField writes one field; it counts as typed until the disk has it.
func (m *Model) sendField(spec FieldSpec, f Field, path string, value json.RawMessage, in Input) []Effect {
	item := m.setItem(in.ID(1), path, value)
	m.hold(spec, f)
	f = m.Engine.Typed[spec.Path]
	f.Sending = item.ID
	m.Engine.Typed[spec.Path] = f
	return m.write(in, item)
}

// fieldJSON is what is typed as a value of the record.
func fieldJSON(spec FieldSpec, f Field) (json.RawMessage, error) {
	if f.Err != nil {
		return nil, f.Err
	}
	switch spec.Kind {
	case FieldLength:
		l := unit.Length{Value: f.Value, Unit: f.Unit}
		if l.Unit == unit.MM {
			l.Unit = "" // a plain number is mm
		}
		return build.LengthJSON(l), nil
	case FieldNumber, FieldWhole:
		return build.NumberJSON(f.Value), nil
	}
	text := strings.TrimSpace(f.Text)
	if text == "" {
		return nil, &unit.InputError{Reason: "must be given"}
	}
	return build.TextJSON(text), nil
}

func (m *Model) engineNotKnown(in Input) []Effect {
	spec, f, ok := m.InHand()
	if !ok || spec.Needed || f.Sending != "" {
		return nil
	}
	return m.engineForget(spec, "", in)
}

// engineForget makes a field not known and goes on.
func (m *Model) engineForget(spec FieldSpec, to string, in Input) []Effect {
	delete(m.Engine.Typed, spec.Path)
	m.Cuts.stale = true
	soon := m.soon()
	if ValuesOf(soon)[spec.Path] == nil {
		return m.engineGo(to)
	}
	path, whole := wholeField(soon, spec.Path, nil)
	return append(m.write(in, m.setItem(in.ID(1), path, whole)), m.engineGo(to)...)
}

func (m *Model) engineChoose(msg EngineChoose, in Input) []Effect {
	soon := m.soon()
	spec, _, _, ok := FieldAt(soon, msg.Path)
	if !ok || spec.Kind != FieldChoice {
		return nil
	}
	value := build.TextJSON(msg.Value)
	m.Engine.Asked = EngineChoose{}
	switch {
	case string(value) == string(ValuesOf(soon)[msg.Path]):
		return nil
	case msg.From == FromAsk && m.Meant(msg.Path) > 0:
		m.Engine.Asked = msg
		return nil
	case msg.From == FromNext && m.Meant(msg.Path) > 0:
		return m.chooseFromNext(msg, in)
	case len(wrongWith(soon, msg.Path, value)) > 0:
		return nil
	}
	return m.write(in, m.setItem(in.ID(1), msg.Path, value))
}

// engineGo goes to an address, "" for the field after the one in hand and after
// the last the list.
func (m *Model) engineGo(to string) []Effect {
	if to != "" {
		return []Effect{GoTo{Hash: to}}
	}
	_, _, after, _ := FieldAt(m.soon(), m.Engine.At)
	return []Effect{GoTo{Hash: Route{Station: StationOf(m.Engine.At), Build: m.Open.ID, Field: after}.Hash()}}
}

// setItem sets a field over every value that is in force for it.
func (m *Model) setItem(id, path string, value json.RawMessage) book.Item {
	base, over := m.headsOf(path)
	return m.item(book.KindSet, id, &book.SetBody{Path: path, Value: value, Base: base, Over: over})
}

// engineWritten follows writes that were kept: what was typed is in the book.
func (m *Model) engineWritten(ids map[string]bool) {
	for path, f := range m.Engine.Typed {
		if f.Sending != "" && ids[f.Sending] {
			delete(m.Engine.Typed, path)
			m.Cuts.stale = true
		}
	}
}

// decide sets a field to one of the values that two devices gave it, over all
// of them.
func (m *Model) decide(msg Decide, in Input) []Effect {
	for _, c := range m.Open.Fold.Conflicts {
		if c.Path != msg.Path || len(m.Save.Waiting) > 0 {
			continue
		}
		for _, v := range append([]book.Value{c.Used}, c.Others...) {
			if v.Entry == msg.Head {
				return m.write(in, m.setItem(in.ID(1), c.Path, v.Value))
			}
		}
	}
	return nil
}
