package book_test

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"portwright/engine/book"
	"portwright/engine/build"
)

const theBuild = "0195a000-0000-7000-8000-00000000b001"

// phone writes entries as a device does: own sequence, clock later than
// everything it has seen.
type phone struct {
	name  string
	seq   uint64
	clock book.Clock
	nowMS int64
	n     int
	log   book.Log
}

func newPhone(name string) *phone { return &phone{name: name, nowMS: 1_000_000} }

func (p *phone) id() string {
	p.n++
	return fmt.Sprintf("%s-%d", p.name, p.n)
}

// write keeps an item and returns the entry's ID.
func (p *phone) write(it book.Item, err error) string {
	if err != nil {
		panic(err)
	}
	p.nowMS += 1000
	var es []book.Entry
	es, p.seq, p.clock = book.Stamp([]book.Item{it}, p.name, p.seq, p.clock, p.nowMS, p.id)
	p.log.Add(es...)
	return es[0].ID
}

// see takes in what another phone has.
func (p *phone) see(o *phone) {
	for _, e := range o.log.Entries() {
		p.log.Add(e)
		p.clock = p.clock.Observe(e.Clock, p.nowMS)
	}
}

func (p *phone) fold() book.Folded { return book.Fold(p.log.Entries()) }

func (p *phone) set(path, value string) string {
	f := p.fold()
	return p.write(book.SetItem("", theBuild, path, json.RawMessage(value), f.Heads(path)...))
}

func (p *phone) read(pass, window, event string, value float64) string {
	r := build.Reading{Event: event}
	r.Value.Value = value
	return p.write(book.ReadingItem("", theBuild, pass, window, r))
}

func (p *phone) start() {
	p.set("name", `"pump"`)
	p.set("windows/w1.name", `"exhaust"`)
	p.set("windows/w1.kind", `"exhaust"`)
	p.set("passes/p1.name", `"as received"`)
}

func TestFoldMakesTheBuild(t *testing.T) {
	p := newPhone("a")
	p.start()
	p.set("engine.stroke_mm", `{"thou":1280}`)
	p.set("engine.rod_mm", `58`)
	p.set("wheel.step_deg", `0.5`)
	p.set("passes/p1.habit", `"tdc_zero"`)
	r1 := p.read("p1", "w1", "opens", 104.5)
	r2 := p.read("p1", "w1", "closes", 259.5)
	p.write(book.StrikeItem("", theBuild, r1, "misread"))
	stop := book.StopBody{Pass: "p1", Check: "c1", When: "before", Near: "tdc", Way: "running", Value: 341}
	p.write(book.StopItem("", theBuild, stop))
	stop.Way, stop.Value = "back", 23
	p.write(book.StopItem("", theBuild, stop))
	c := p.write(book.CorrectItem("", theBuild, "p1", build.Correction{Code: "wild_reading", Kind: build.CorrectStrike, IDs: []string{r2}, AfterID: r2}))

	f := p.fold()
	if len(f.Unread)+len(f.Waiting)+len(f.Hidden)+len(f.Conflicts) > 0 {
		t.Errorf("left over: %+v", f)
	}
	got, err := build.Encode(f.Build)
	if err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf(`{"format":"portwright-build","version":1,"id":%q,"name":"pump",
		"engine":{"stroke_mm":{"thou":1280},"rod_mm":58},
		"windows":[{"id":"w1","name":"exhaust","kind":"exhaust"}],"wheel":{"step_deg":0.5},
		"passes":[{"id":"p1","name":"as received","habit":"tdc_zero",
		 "stops":[{"id":"c1","when":"before","near":"tdc","readings":[341,23],"ids":["a-12","a-13"],"device":"a"}],
		 "readings":[{"id":%q,"window":"exhaust","event":"opens","value":104.5,"struck":"misread","device":"a"},
		             {"id":%q,"window":"exhaust","event":"closes","value":259.5,"device":"a"}],
		 "corrections":[{"id":%q,"code":"wild_reading","kind":"strike","after":2,"after_id":%q,"readings":[2],"ids":[%q]}]}]}`, theBuild, r1, r2, c, r2, r2)
	b, err := build.Decode([]byte(want))
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(f.Build, b) {
		t.Errorf("folded\n%s\nwant\n%s", got, want)
	}

	p.write(book.UnstrikeItem("", theBuild, r1, f.Heads("strikes/"+r1)...))
	p.write(book.UncorrectItem("", theBuild, c))
	pass := p.fold().Build.Passes[0]
	if pass.Readings[0].Struck != "" || len(pass.Corrections) != 0 {
		t.Errorf("strike or correction is still in force: %+v", pass)
	}
}

// Two phones set one field without knowing of each other.
func TestConflictShowsBothUntilAPersonChooses(t *testing.T) {
	a, b := newPhone("a"), newPhone("b")
	a.start()
	a.set("engine.stroke_mm", "50")
	b.see(a)
	b.nowMS = a.nowMS + 500
	a.set("engine.stroke_mm", "49")
	b.set("engine.stroke_mm", "51")
	b.set("engine.stroke_mm", "51.5") // b changes its own value: a's is still unseen
	a.see(b)
	b.see(a)
	for _, p := range []*phone{a, b} {
		f := p.fold()
		if len(f.Conflicts) != 1 {
			t.Fatalf("%s sees %d conflicts", p.name, len(f.Conflicts))
		}
		c := f.Conflicts[0]
		if c.Path != "engine.stroke_mm" || string(c.Used.Value) != "51.5" || c.Used.Device != "b" ||
			len(c.Others) != 1 || string(c.Others[0].Value) != "49" || c.Others[0].Device != "a" {
			t.Errorf("%s sees %+v", p.name, c)
		}
		if f.Build.Engine.Stroke.Value != 51.5 {
			t.Errorf("the later value is not used: %v", f.Build.Engine.Stroke)
		}
	}
	a.set("engine.stroke_mm", "48") // the person chooses; both values are named
	b.see(a)
	for _, p := range []*phone{a, b} {
		if f := p.fold(); len(f.Conflicts) != 0 || f.Build.Engine.Stroke.Value != 48 {
			t.Errorf("after the choice %s has %v and conflicts %+v", p.name, f.Build.Engine.Stroke, f.Conflicts)
		}
	}
}

// Nobody is asked about a window or pass that was taken out, only whether it was.
func TestConflictsOfWhatWasTakenOutAreNotShown(t *testing.T) {
	for _, part := range []string{"windows/w1.", "passes/p1."} {
		a, b := newPhone("a"), newPhone("b")
		a.start()
		b.see(a)
		a.set(part+"name", `"front"`)
		b.set(part+"name", `"rear"`)
		a.see(b)
		if f := a.fold(); len(f.Conflicts) != 1 || f.Conflicts[0].Path != part+"name" {
			t.Errorf("%s: %+v", part, f.Conflicts)
		}
		b.see(a)
		a.set(part+"removed", "true")
		if f := a.fold(); len(f.Conflicts) != 0 {
			t.Errorf("%s taken out: %+v", part, f.Conflicts)
		}
		b.set(part+"removed", "false")
		a.see(b)
		var asked []string
		for _, c := range a.fold().Conflicts {
			asked = append(asked, c.Path)
		}
		if !slices.Contains(asked, part+"removed") {
			t.Errorf("%s taken out by one, not by the other: asked about %v", part, asked)
		}
	}
}

func TestEqualValuesAreNoConflict(t *testing.T) {
	for _, pair := range [][2]string{{"50", "50.0"}, {"25.4", `{"in":1}`}, {`{"thou":20}`, "0.508"}, {`[1, 2]`, `[1,2]`}, {"null", "null"}} {
		a, b := newPhone("a"), newPhone("b")
		a.start()
		b.see(a)
		path := "engine.stroke_mm"
		if pair[0][0] == '[' {
			path = "engine.squish_mm"
		}
		a.set(path, pair[0])
		b.set(path, pair[1])
		a.see(b)
		if f := a.fold(); len(f.Conflicts) != 0 {
			t.Errorf("%s and %s: %+v", pair[0], pair[1], f.Conflicts)
		}
	}
}

// A phone whose clock is a year ahead: what a person sets over its value holds.
func TestAWrongClockDoesNotHoldAField(t *testing.T) {
	ahead, right := newPhone("ahead"), newPhone("right")
	ahead.nowMS += 365 * 24 * 3600 * 1000
	right.start()
	ahead.see(right)
	ahead.set("engine.stroke_mm", "50")
	r := ahead.read("p1", "w1", "opens", 100)
	ahead.write(book.StrikeItem("", theBuild, r, "misread"))
	right.see(ahead)
	if right.clock.MS > right.nowMS+10*60*1000 {
		t.Errorf("the clock was drawn to %d", right.clock.MS)
	}
	right.set("engine.stroke_mm", "49")
	f := right.fold()
	right.write(book.UnstrikeItem("", theBuild, r, f.Heads("strikes/"+r)...))
	f = right.fold()
	if f.Build.Engine.Stroke.Value != 49 || len(f.Conflicts) != 0 {
		t.Errorf("stroke %v, conflicts %v", f.Build.Engine.Stroke, f.Conflicts)
	}
	if len(f.Build.Passes[0].Readings) != 1 || f.Build.Passes[0].Readings[0].Struck != "" {
		t.Errorf("readings %+v", f.Build.Passes[0].Readings)
	}
}

// Stop readings: a misread one is struck and read again; the pair is of those
// that count.
func TestStopReadingsPairByWhatCounts(t *testing.T) {
	p := newPhone("a")
	p.start()
	stop := func(way string, v float64) string {
		return p.write(book.StopItem("", theBuild, book.StopBody{Pass: "p1", Check: "c", When: "before", Near: "tdc", Way: way, Value: v, At: "2026-03-14T09:12:00Z"}))
	}
	stop("running", 341)
	wrong := stop("back", 32)
	p.write(book.StrikeItem("", theBuild, wrong, "misread"))
	stop("back", 23)
	stops := p.fold().Build.Passes[0].Stops
	if len(stops) != 2 || !reflect.DeepEqual(stops[0].Readings, []float64{341, 23}) || stops[0].ID != "c" || stops[0].Struck != "" {
		t.Fatalf("stops %+v", stops)
	}
	if s := stops[1]; !reflect.DeepEqual(s.Readings, []float64{32}) || s.Struck != "misread" || s.Way != build.WayBack || s.IDs[0] != wrong || len(s.At) != 1 {
		t.Errorf("the struck reading is shown as %+v", s)
	}
	stop("running", 341.5) // a reading too many stands alone, it is not dropped
	if stops := p.fold().Build.Passes[0].Stops; len(stops) != 3 || !reflect.DeepEqual(stops[1].Readings, []float64{341.5}) || stops[1].ID == "c" {
		t.Errorf("stops %+v", stops)
	}
	if n := len(p.fold().Stops); n != 4 {
		t.Errorf("%d stop readings listed, want 4", n)
	}
}

func TestWindowsMadeTwiceAreToldApart(t *testing.T) {
	a, b := newPhone("a"), newPhone("b")
	a.start()
	b.set("windows/w2.name", `"exhaust"`)
	b.set("windows/w3.name", `"exhaust (2)"`)
	b.set("windows/w4.name", `"exhaust"`)
	b.set("passes/p2.name", `"as received"`)
	b.set("passes/p3.name", `"as received"`)
	b.set("passes/p3.cylinder", `2`)
	b.read("p2", "w2", "opens", 100)
	a.see(b)
	f := a.fold()
	var names []string
	for _, w := range f.Build.Windows {
		names = append(names, w.Name)
	}
	for _, p := range f.Build.Passes {
		names = append(names, p.Name)
	}
	got := strings.Join(names, ", ")
	// In order of making: w2 (b), w1 (a), w3 (b), w4 (b); p1 (a), p2 (b), p3 (b, cylinder 2).
	if got != "exhaust, exhaust (3), exhaust (2), exhaust (4), as received, as received (2), as received" {
		t.Errorf("names: %s", got)
	}
	if r := f.Build.Passes[1].Readings; len(r) != 1 || r[0].Window != "exhaust" {
		t.Errorf("reading of the first window: %+v", r)
	}
}

func TestRemovedWindowsHideTheirReadingsAndComeBack(t *testing.T) {
	p := newPhone("a")
	p.start()
	id := p.read("p1", "w1", "opens", 104)
	p.set("windows/w1.removed", "true")
	f := p.fold()
	if len(f.Build.Windows) != 0 || len(f.Build.Passes[0].Readings) != 0 || !reflect.DeepEqual(f.Hidden, []string{id}) {
		t.Errorf("removed: %+v hidden %v", f.Build, f.Hidden)
	}
	p.set("windows/w1.removed", "false")
	if f := p.fold(); len(f.Build.Windows) != 1 || len(f.Build.Passes[0].Readings) != 1 || len(f.Hidden) != 0 {
		t.Errorf("put back: %+v", f.Build)
	}
	q := newPhone("b") // takes the window out while a reads it
	q.see(p)
	q.set("windows/w1.removed", "true")
	p.nowMS += 60_000
	p.read("p1", "w1", "opens", 104.5)
	p.see(q)
	if f := p.fold(); len(f.Build.Windows) != 1 || len(f.Build.Passes[0].Readings) != 2 {
		t.Errorf("a reading taken after the removal does not show: %+v", f.Build)
	}
}

func TestWhatCanNotBeAppliedIsListed(t *testing.T) {
	p := newPhone("a")
	p.start()
	raw := func(kind, body string) string {
		return p.write(book.Item{Build: theBuild, Kind: kind, Body: json.RawMessage(body)}, nil)
	}
	waiting := []string{
		p.read("p1", "nowhere", "opens", 1), p.read("nowhere", "w1", "opens", 1),
		raw("stop", `{"pass":"nowhere","check":"c","when":"before","near":"tdc","way":"running","value":1}`),
		raw("correct", `{"pass":"nowhere","correction":{"kind":"mirror"}}`),
		p.write(book.StrikeItem("", theBuild, "not here yet", "misread")),
		p.write(book.UncorrectItem("", theBuild, "not here yet")),
	}
	unread := []string{
		raw("torque", `{"nm":12}`), raw("set", `{"path":"engine"}`), raw("set", `{"path":"passes/p1.readings","value":[]}`),
		raw("set", `{"path":"engine.rod_mm","value":"long"}`), raw("set", `{"path":"extra.engine","value":{}}`), raw("set", `[]`),
		raw("reading", `{"pass":"p1","window":"w1","event":"opens","value":"104"}`), raw("set", `{"path":"windows/w1.id","value":"x"}`),
		raw("correct", `{"pass":"p1","correction":{"kind":7}}`),
	}
	f := p.fold()
	same := func(what string, got, want []string) {
		t.Helper()
		have := map[string]bool{}
		for _, id := range got {
			have[id] = true
		}
		for _, id := range want {
			if !have[id] {
				t.Errorf("%s: %s is not listed in %v", what, id, got)
			}
		}
		if len(got) != len(want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	var ids []string
	for _, u := range f.Unread {
		ids = append(ids, u.Entry)
		if u.Why == "" {
			t.Errorf("%s: no reason", u.Entry)
		}
	}
	same("waiting", f.Waiting, waiting)
	same("unread", ids, unread)
	if f.Build.Engine.Rod != nil || len(f.Build.Passes[0].Readings) != 0 || f.Entries != p.log.Len() {
		t.Errorf("%+v", f)
	}
}

func TestCard(t *testing.T) {
	p := newPhone("a")
	p.start()
	p.set("number", `"P-1"`)
	p.set("engine.bore_mm", "44")
	p.set("engine.stroke_mm", `{"in":1.28}`)
	p.read("p1", "w1", "opens", 104)
	p.write(book.StrikeItem("", theBuild, p.read("p1", "w1", "opens", 140), "misread"))
	got := book.CardOf(p.fold())
	want := book.Card{Build: theBuild, Number: "P-1", Name: "pump", Summary: "44 x 32.51 mm, 1 window, 1 pass", Readings: 1, Entries: 10, TouchedMS: p.nowMS}
	if got != want {
		t.Errorf("%+v\nwant %+v", got, want)
	}
	for _, given := range []struct{ bore, stroke, want string }{
		{"44", "32.5", "44 x 32.5 mm"}, {`{"in":1.73}`, `{"in":1.28}`, "1.73 x 1.28 in"}, {`{"in":1.73}`, "32.5", "43.94 x 32.5 mm"},
	} {
		p := newPhone("a")
		p.start()
		p.set("engine.bore_mm", given.bore)
		p.set("engine.stroke_mm", given.stroke)
		if got := book.CardOf(p.fold()).Summary; !strings.HasPrefix(got, given.want+",") {
			t.Errorf("%s by %s: %q, want %q", given.bore, given.stroke, got, given.want)
		}
	}
	if c := book.CardOf(book.Fold(nil)); c != (book.Card{}) {
		t.Errorf("card of nothing: %+v", c)
	}
}

func TestConstructorsRefuseNonsense(t *testing.T) {
	nan := func() float64 { z := 0.0; return z / z }()
	bad := []error{}
	add := func(_ book.Item, err error) { bad = append(bad, err) }
	add(book.SetItem("", theBuild, "engine.rod_mm", json.RawMessage(`"long"`)))
	add(book.SetItem("", theBuild, "nonsense", json.RawMessage(`1`)))
	add(book.SetItem("", theBuild, "engine.rod_mm", nil))
	add(book.ReadingItem("", theBuild, "p", "", build.Reading{Event: "opens"}))
	add(book.ReadingItem("", theBuild, "p", "w", build.Reading{Event: "open"}))
	r := build.Reading{Event: "opens"}
	r.Value.Value = nan
	add(book.ReadingItem("", theBuild, "p", "w", r))
	add(book.StopItem("", theBuild, book.StopBody{Pass: "p", Check: "c", When: "before", Near: "top", Way: "back"}))
	add(book.StopItem("", theBuild, book.StopBody{Pass: "p", Check: "c", When: "before", Near: "tdc", Way: "back", Value: nan}))
	add(book.StrikeItem("", theBuild, "r", " "))
	add(book.UnstrikeItem("", theBuild, ""))
	add(book.CorrectItem("", theBuild, "", build.Correction{Kind: "mirror"}))
	add(book.UncorrectItem("", theBuild, ""))
	for i, err := range bad {
		if err == nil {
			t.Errorf("item %d was made", i)
		}
	}
}

func TestClock(t *testing.T) {
	c := book.Clock{MS: 1000, Ctr: 5}
	for _, row := range []struct {
		got, want book.Clock
		why       string
	}{
		{c.Next(2000), book.Clock{MS: 2000}, "time went on"},
		{c.Next(1000), book.Clock{MS: 1000, Ctr: 6}, "same millisecond"},
		{c.Next(10), book.Clock{MS: 1000, Ctr: 6}, "the device's time was set back"},
		{book.Clock{MS: 1, Ctr: 1<<32 - 1}.Next(0), book.Clock{MS: 2}, "the counter is full"},
		{c.Observe(book.Clock{MS: 1000, Ctr: 9}, 1000), book.Clock{MS: 1000, Ctr: 9}, "a later one is followed"},
		{c.Observe(book.Clock{MS: 900, Ctr: 9}, 1000), c, "an earlier one is not"},
		{c.Observe(book.Clock{MS: 601_000}, 1000), book.Clock{MS: 601_000}, "ten minutes ahead"},
		{c.Observe(book.Clock{MS: 601_001}, 1000), c, "more than ten minutes ahead"},
	} {
		if row.got != row.want {
			t.Errorf("%s: %v, want %v", row.why, row.got, row.want)
		}
	}
}
