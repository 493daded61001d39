package app

import (
	"math"

	"portwright/engine/draw"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// SectionState is the section of the findings: the crank's angle and whether
// it turns.
type SectionState struct {
	Deg     float64 // after TDC
	Playing bool

	section *draw.Section
	err     string
	stale   bool    // the section is to be drawn anew
	lastMS  float64 // time of the last frame, 0 for none
	run     int     // counts what started and stopped it: a rest that belongs to another run does not end this one
}

// Intents of the section, and what the browser answers to Frames.
type (
	// SectionTo turns the crank to an angle after TDC.
	SectionTo struct{ Deg float64 }

	// SectionBy turns it by so many degrees, on or back.
	SectionBy struct{ Deg float64 }

	// SectionEvent turns it to the next event, or back to the one before.
	SectionEvent struct{ Back bool }

	// SectionPlay lets it turn by itself, or stops it.
	SectionPlay struct{}

	// SectionGoOn ends a rest at an event.
	SectionGoOn struct{ Run int }

	// Tick is a frame about to be shown. Calm: the person wants little motion,
	// and it comes every CalmMS instead.
	Tick struct {
		MS   float64 // the frame's time
		Calm bool
	}
)

func (SectionTo) msg()    {}
func (SectionBy) msg()    {}
func (SectionEvent) msg() {}
func (SectionPlay) msg()  {}
func (SectionGoOn) msg()  {}
func (Tick) msg()         {}

// How the crank turns by itself: a turn takes 12 s and its rests.
const (
	degPerMS = 0.03
	restMS   = 1600 // at an event, so that it can be read; no frame is asked for
	CalmMS   = 2500 // from event to event where motion is unwanted
	snap     = 0.05 // degrees before an event that count as there
	longest  = 100  // ms that count between two frames: the crank does not jump after a pause
)

// Section returns what is drawn, nil where there is nothing to; then the text
// says why.
func (m *Model) Section() (*draw.Section, string) { return m.Turning.section, m.Turning.err }

func (m *Model) updateSection(msg Msg) ([]Effect, bool) {
	s := &m.Turning
	if m.Station != AtSection || s.section == nil {
		return nil, false
	}
	switch msg := msg.(type) {
	case Key:
		switch msg.Key {
		case "ArrowLeft":
			return m.turnTo(s.Deg - 1), true
		case "ArrowRight":
			return m.turnTo(s.Deg + 1), true
		}
	case SectionTo:
		return m.turnTo(msg.Deg), true
	case SectionBy:
		return m.turnTo(s.Deg + msg.Deg), true
	case SectionEvent:
		at := s.section.NextEvent(s.Deg)
		if msg.Back {
			at = s.section.PrevEvent(s.Deg)
		}
		return m.turnTo(s.section.Events[at].Deg), true
	case SectionPlay:
		if s.Playing {
			return m.stopTurning(), true
		}
		s.Playing, s.lastMS = true, 0
		s.run++
		return []Effect{Frames{On: true}}, true
	case SectionGoOn:
		if !s.Playing || msg.Run != s.run {
			return nil, true
		}
		s.lastMS = 0
		return []Effect{Frames{On: true}}, true
	}
	return nil, false
}

// turnTo puts the crank where a person wants it, and stops it there.
func (m *Model) turnTo(deg float64) []Effect {
	if !(math.Abs(deg) < 1e6) {
		return nil
	}
	m.Turning.Deg = unit.Turn(deg)
	return m.stopTurning()
}

func (m *Model) stopTurning() []Effect {
	if !m.Turning.Playing {
		return nil
	}
	m.Turning.Playing = false
	m.Turning.run++
	return []Effect{Frames{}}
}

// tick turns the crank on by a frame; it rests at each event.
func (m *Model) tick(t Tick) []Effect {
	s := &m.Turning
	if !s.Playing || s.section == nil {
		return nil
	}
	next := &s.section.Events[s.section.NextEvent(s.Deg)]
	passed := math.Min(math.Max(t.MS-s.lastMS, 0), longest)
	if s.lastMS == 0 {
		passed = 0
	}
	s.lastMS = t.MS
	switch left := unit.Turn(next.Deg - s.Deg); {
	case t.Calm:
		s.Deg = next.Deg
	case left <= passed*degPerMS+snap:
		s.Deg = next.Deg
		return []Effect{Frames{}, Tidy{}, After{MS: restMS, Msg: SectionGoOn{Run: s.run}}}
	default:
		s.Deg = unit.Turn(s.Deg + passed*degPerMS)
	}
	return nil
}

// drawSection draws the section anew when it is shown and a number changed.
func (m *Model) drawSection() {
	s := &m.Turning
	if m.Station != AtSection || m.Open == nil || m.Open.Build == nil || !s.stale {
		return
	}
	s.stale, s.section, s.err = false, nil, ""
	if p := m.ShownPass(); p != nil {
		s.section, s.err = sectionOf(m.Open, p)
	}
}

// SectionFailed begins the reason when drawing broke off.
const SectionFailed = "The section could not be drawn; every reading is kept. The fault:"

func sectionOf(o *Open, p *findings.PassResult) (s *draw.Section, why string) {
	defer func() {
		if fault := recover(); fault != nil {
			s, why = nil, unit.Errorf("%s %v", SectionFailed, fault).Error()
		}
	}()
	measured, b, err := findings.Measure(o.Build, findings.Options{})
	if err != nil {
		return nil, err.Error()
	}
	for i := range measured {
		if &o.Results.Passes[i] == p {
			s, _ = draw.SectionOf(b, &measured[i], p, i)
		}
	}
	return s, ""
}

// ShownCylinder is the cylinder of the pass shown and of the pass before it on
// that cylinder, as the pictures need them; nil where there is none.
func (m *Model) ShownCylinder() (now, before *draw.Cylinder) {
	p := m.ShownPass()
	if p == nil {
		return nil, nil
	}
	defer func() {
		if recover() != nil { // the numbers stand without their pictures
			now, before = nil, nil
		}
	}()
	measured, b, err := findings.Measure(m.Open.Build, findings.Options{})
	if err != nil {
		return nil, nil
	}
	for i := range measured {
		r := &m.Open.Results.Passes[i]
		if r.Cylinder != p.Cylinder {
			continue
		}
		if now = draw.CylinderOf(b, &measured[i], r, i); r == p {
			return now, before
		}
		before = now
	}
	return nil, nil
}
