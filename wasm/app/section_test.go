package app_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/book"
	"portwright/engine/draw"
	"portwright/engine/findings"
	"portwright/wasm/app"
)

// turning is a phone at the section of the demo build.
func turning(t *testing.T) *phone {
	t.Helper()
	p := newPhone(newDisk())
	p.start(app.DemoHash)
	if p.m.Open == nil {
		p.settle()
	}
	p.hash = app.Route{Station: app.AtSection, Build: p.m.Open.ID}.Hash()
	p.send(app.Navigated{Hash: p.hash})
	if s, why := p.m.Section(); s == nil {
		t.Fatalf("no section: %s", why)
	}
	return p
}

func (p *phone) frames() (on, off int) {
	for _, f := range p.did {
		if f, ok := f.(app.Frames); ok && f.On {
			on++
		} else if ok {
			off++
		}
	}
	return
}

// Steps of a degree go round TDC, events follow one another, and what a person
// does stops the turning.
func TestSectionIsTurnedByHand(t *testing.T) {
	p := turning(t)
	at := func(want float64) {
		t.Helper()
		if got := p.m.Turning.Deg; math.Abs(got-want) > 1e-9 {
			t.Fatalf("the crank is at %v, want %v", got, want)
		}
	}
	at(0)
	p.send(app.SectionBy{Deg: -1})
	at(359)
	p.send(app.Key{Key: "ArrowRight"})
	p.send(app.Key{Key: "ArrowRight"})
	at(1)
	s, _ := p.m.Section()
	p.send(app.SectionEvent{})
	at(s.Events[1].Deg)
	p.send(app.SectionEvent{Back: true})
	at(0)
	p.send(app.SectionEvent{Back: true})
	at(s.Events[len(s.Events)-1].Deg)
	p.send(app.SectionPlay{})
	p.send(app.SectionTo{Deg: 123})
	at(123)
	p.send(app.SectionTo{Deg: math.NaN()})
	at(123)
	if on, off := p.frames(); on != 1 || off != 1 || p.m.Turning.Playing {
		t.Errorf("frames asked for %d times and given up %d times", on, off)
	}
}

// Played, the crank goes on evenly, never past an event without a rest there,
// and round TDC; a pause of the page does not make it jump.
func TestSectionTurnsByItself(t *testing.T) {
	p := turning(t)
	s, _ := p.m.Section()
	p.send(app.SectionPlay{})
	ms, was, moved, rested := 5000.0, 0.0, 0.0, map[float64]int{}
	for range 60 * 14 { // 14 s of frames: a turn and more
		ms += 1000.0 / 60
		p.send(app.Tick{MS: ms})
		step := math.Mod(p.m.Turning.Deg-was+360, 360)
		if step > 30.0/60+0.06 {
			t.Fatalf("%v degrees in one frame at %v", step, was)
		}
		moved, was = moved+step, p.m.Turning.Deg
		if rest, ok := p.did[len(p.did)-1].(app.After); ok && rest.Msg != nil {
			rested[was] = rest.MS
			ms += float64(rest.MS)
			p.send(rest.Msg)
		}
	}
	if moved < 360 {
		t.Fatalf("it turned %v degrees", moved)
	}
	for _, e := range s.Events {
		if rested[e.Deg] < 1500 {
			t.Errorf("%s was shown for %d ms", e.Title, rested[e.Deg])
		}
	}
	p.send(app.Tick{MS: ms + 1e6})
	if step := math.Mod(p.m.Turning.Deg-was+360, 360); step > 3.1 {
		t.Errorf("after a pause it jumps by %v", step)
	}
	p.send(app.Visible{})
	if p.m.Turning.Playing {
		t.Error("it turns on a page that nobody sees")
	}
	was = p.m.Turning.Deg
	p.send(app.Tick{MS: ms + 2e6})
	if p.m.Turning.Deg != was {
		t.Error("a late frame turned it")
	}
}

// Where little motion is wanted it goes from event to event.
func TestSectionStepsFromEventToEventWhereLittleMotionIsWanted(t *testing.T) {
	p := turning(t)
	s, _ := p.m.Section()
	p.send(app.SectionPlay{})
	for i := range 2 * len(s.Events) {
		p.send(app.Tick{MS: float64(i) * app.CalmMS, Calm: true})
		if want := s.Events[(i+1)%len(s.Events)].Deg; p.m.Turning.Deg != want {
			t.Fatalf("step %d leads to %v, want %v", i, p.m.Turning.Deg, want)
		}
	}
}

// A rest that was over by another way does not start it again.
func TestSectionRestOfAnEarlierRun(t *testing.T) {
	p := turning(t)
	p.send(app.SectionPlay{})
	p.send(app.SectionPlay{})
	p.send(app.SectionGoOn{Run: 1})
	if on, off := p.frames(); on != 1 || off != 1 {
		t.Errorf("frames asked for %d times and given up %d times", on, off)
	}
}

// Leaving the page stops it.
func TestSectionStopsWhenItIsLeft(t *testing.T) {
	p := turning(t)
	p.send(app.SectionPlay{})
	p.send(app.Navigated{Hash: app.Route{Station: app.AtFindings, Build: p.m.Open.ID}.Hash()})
	if on, off := p.frames(); on != 1 || off != 1 {
		t.Errorf("frames asked for %d times and given up %d times", on, off)
	}
}

// sameSection: the section on the screen is what the entries say.
func sameSection(t *rapid.T, m *app.Model) {
	if m.Station != app.AtSection {
		return
	}
	got, why := m.Section()
	measured, b, err := findings.Measure(book.Fold(m.Open.Entries).Build, findings.Options{})
	if err != nil {
		if got != nil || why != "" && why != err.Error() {
			t.Fatalf("a section of what can't be measured (%v): %q", err, why)
		}
		return
	}
	for i := range measured {
		if p := m.ShownPass(); p == &m.Open.Results.Passes[i] {
			want, ok := draw.SectionOf(b, &measured[i], p, i)
			if ok != (got != nil) || ok && got.SVG(100) != want.SVG(100) {
				t.Fatalf("the section is not what the entries say (%v): %s", ok, why)
			}
		}
	}
}
