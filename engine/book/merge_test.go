package book_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/build/anybuild"
	"portwright/engine/unit"
)

// history draws what 1 to 4 phones write to one build, each seeing some of the
// others' entries now and then, some with clocks far off.
func history(t *rapid.T) []*phone {
	phones := make([]*phone, rapid.IntRange(1, 4).Draw(t, "phones"))
	for i := range phones {
		phones[i] = newPhone(fmt.Sprintf("phone%d", i))
		phones[i].nowMS += rapid.SampledFrom([]int64{0, 0, 500, 3_600_000, -900_000}).Draw(t, "clock off")
	}
	phones[0].start()
	for range rapid.IntRange(1, 30).Draw(t, "steps") {
		p := rapid.SampledFrom(phones).Draw(t, "who")
		if rapid.IntRange(0, 3).Draw(t, "see") == 0 {
			p.seeSome(t, rapid.SampledFrom(phones).Draw(t, "whom"))
			continue
		}
		p.step(t)
	}
	return phones
}

func (p *phone) seeSome(t *rapid.T, o *phone) {
	for _, e := range o.log.Entries() {
		if rapid.IntRange(0, 3).Draw(t, "lost") > 0 {
			p.log.Add(e)
			p.clock = p.clock.Observe(e.Clock, p.nowMS)
		}
	}
}

func (p *phone) step(t *rapid.T) {
	window := rapid.SampledFrom([]string{"w1", "w2"}).Draw(t, "window")
	anyID := func() string {
		all := p.log.Entries()
		if len(all) == 0 {
			return "nothing"
		}
		return all[rapid.IntRange(0, len(all)-1).Draw(t, "target")].ID
	}
	n := fmt.Sprint(rapid.IntRange(1, 3).Draw(t, "n"))
	switch rapid.IntRange(0, 11).Draw(t, "what") {
	case 0, 1:
		p.set("engine.stroke_mm", n)
	case 2:
		p.set("windows/"+window+".name", `"`+n+`"`)
	case 3:
		p.set("windows/"+window+".removed", rapid.SampledFrom([]string{"true", "false"}).Draw(t, "removed"))
	case 4, 5:
		p.read("p1", window, "opens", 100)
	case 6:
		p.write(book.StopItem("", theBuild, book.StopBody{Pass: "p1", Check: "c" + n, When: "before", Near: "tdc", Way: rapid.SampledFrom([]string{"running", "back"}).Draw(t, "way"), Value: 340}))
	case 7:
		p.write(book.StrikeItem("", theBuild, anyID(), "misread "+n))
	case 8:
		p.write(book.UnstrikeItem("", theBuild, anyID()))
	case 10:
		wish := rapid.SampledFrom([][2]string{{"targets.squish_mm", n}, {"targets.blowdown_deg", n}, {"targets.order", `"squish_mm blowdown_deg"`}, {"targets.order", `"blowdown_deg squish_mm"`}, {"moves_allowed.base_cut_mm", `{"max":` + n + `}`},
			{"limits.blowdown_min_deg", n}, {"moves", `[{"move":"base_cut","by_mm":` + n + `}]`}}).Draw(t, "wish")
		p.set(wish[0], rapid.SampledFrom([]string{"null", wish[1]}).Draw(t, "wished"))
	case 11:
		by := unit.Length{Value: 0.1, Unit: unit.MM}
		p.write(book.BiteItem("", theBuild, rapid.SampledFrom([]string{"", "p1"}).Draw(t, "after"), rapid.SampledFrom([]string{"", window}).Draw(t, "cut"),
			build.Bite{Move: build.Move{Move: build.MoveExhaustRoof, ByMM: &by}, At: "2026-03-14T09:12:00Z"}))
	case 9:
		if id := anyID(); n == "1" {
			p.write(book.UncorrectItem("", theBuild, id))
		} else {
			p.write(book.CorrectItem("", theBuild, "p1", build.Correction{Kind: "mirror", Code: n, IDs: []string{id}, AfterID: id}))
		}
	}
}

func union(logs ...*book.Log) *book.Log {
	var l book.Log
	for _, o := range logs {
		l.Add(o.Entries()...)
	}
	return &l
}

func equalLogs(a, b *book.Log) bool { return reflect.DeepEqual(a.Entries(), b.Entries()) }

func TestMergeLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := history(t)
		a, b, c := &ps[0].log, &ps[len(ps)/2].log, &ps[len(ps)-1].log
		if !equalLogs(union(a, b), union(b, a)) {
			t.Error("not commutative")
		}
		if !equalLogs(union(union(a, b), c), union(a, union(b, c))) {
			t.Error("not associative")
		}
		if !equalLogs(union(a, a), a) || union(a, b).Add(b.Entries()...) != 0 {
			t.Error("not idempotent")
		}
	})
}

// The same entries in any order, any number of times, give the same build,
// conflicts and lists.
func TestFoldKnowsNoOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all book.Log
		for _, p := range history(t) {
			all.Add(p.log.Entries()...)
		}
		entries := all.Entries()
		want := book.Fold(entries)
		rnd := rand.New(rand.NewSource(rapid.Int64().Draw(t, "seed")))
		mixed := append(append([]book.Entry{}, entries...), entries[:rnd.Intn(len(entries)+1)]...)
		rnd.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		if got := book.Fold(mixed); !reflect.DeepEqual(got, want) {
			t.Fatalf("got  %+v\nwant %+v", got, want)
		}
		accounted(t, entries, want)
		exportable(t, want.Build)
	})
}

// accounted: every reading and bite is in the build, or listed as hidden, waiting or
// unread. None is lost.
func accounted(t *rapid.T, entries []book.Entry, f book.Folded) {
	seen := map[string]int{}
	for _, p := range f.Build.Passes {
		for _, r := range p.Readings {
			seen[r.ID]++
		}
		for _, s := range p.Stops {
			if len(s.IDs) != len(s.Readings) {
				t.Fatalf("stop check %+v", s)
			}
			for _, id := range s.IDs {
				seen[id]++
			}
		}
	}
	for _, b := range f.Build.Bites {
		seen[b.ID]++
	}
	for _, id := range append(append([]string{}, f.Hidden...), f.Waiting...) {
		seen[id]++
	}
	for _, u := range f.Unread {
		seen[u.Entry]++
	}
	for _, e := range entries {
		if (e.Kind == book.KindReading || e.Kind == book.KindStop || e.Kind == book.KindBite) && seen[e.ID] != 1 {
			t.Fatalf("%s %s stands %d times in what was folded", e.Kind, e.ID, seen[e.ID])
		}
	}
}

// exportable: what a fold gives can be written, read and taken in again.
func exportable(t *rapid.T, b *build.Build) {
	data, err := build.Encode(b)
	if err != nil {
		t.Fatal(err)
	}
	again, err := build.Decode(data)
	if err != nil {
		t.Fatalf("%v\n%s", err, data)
	}
	if !reflect.DeepEqual(b, again) {
		t.Fatalf("before %+v\nafter %+v", b, again)
	}
}

// Importing a build file and folding it gives the build of the file.
func TestItemsFoldToTheSameBuild(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anybuild.Draw(t)
		got := book.Fold(imported(t, b, 1)).Build
		bare, err := book.Fresh(got)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(bare, b) {
			x, _ := build.Encode(bare)
			y, _ := build.Encode(b)
			t.Fatalf("got %s\nwant %s", x, y)
		}
		// A build that has IDs keeps them, so that its readings are known again.
		if twice := book.Fold(imported(t, got, 2)).Build; !reflect.DeepEqual(twice, got) {
			x, _ := build.Encode(twice)
			y, _ := build.Encode(got)
			t.Fatalf("second import %s\nwant %s", x, y)
		}
	})
}

// imported takes a build in; time keeps the fresh IDs of several times apart.
func imported(t *rapid.T, b *build.Build, time int) []book.Entry {
	n := time << 32
	ids := func() string { n++; return fmt.Sprintf("0195a000-0000-7000-8000-%012x", n) }
	items, err := book.ItemsOf(b, ids)
	if err != nil {
		t.Fatal(err)
	}
	entries, seq, clock := book.Stamp(items, "pc", 7, book.Clock{MS: 10}, 20, nil)
	if seq != 7+uint64(len(items)) || clock.Compare(entries[len(entries)-1].Clock) != 0 {
		t.Fatalf("stamped up to %d, %v", seq, clock)
	}
	for _, e := range entries {
		if err := book.Validate(e); err != nil {
			t.Fatal(err)
		}
	}
	return entries
}

// The same file taken in by two devices is one build: each reading once.
func TestTheSameFileTakenInTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := book.Fold(imported(t, anybuild.Draw(t), 1)).Build
		once := imported(t, b, 2)
		n := 0
		again, err := book.ItemsOf(b, func() string { n++; return fmt.Sprint("other-", n) })
		if err != nil {
			t.Fatal(err)
		}
		other, _, _ := book.Stamp(again, "phone", 0, book.Clock{}, 30, nil)
		f := book.Fold(append(once, other...))
		if len(f.Conflicts) > 0 {
			t.Fatalf("conflicts %+v", f.Conflicts)
		}
		if !reflect.DeepEqual(f.Build, b) {
			x, _ := build.Encode(f.Build)
			y, _ := build.Encode(b)
			t.Fatalf("got %s\nwant %s", x, y)
		}
	})
}

func TestForksAreKeptAndTold(t *testing.T) {
	e := book.Entry{ID: "x", Device: "d", Seq: 3, Build: "b", Kind: "k", Body: json.RawMessage(`{}`)}
	other := e
	other.ID, other.Body = "y", json.RawMessage(`{"a":1}`)
	l := book.NewLog(e, other, e)
	if l.Len() != 2 || len(l.Forks()) != 1 || len(l.Forks()[0]) != 2 {
		t.Errorf("%d entries, forks %v", l.Len(), l.Forks())
	}
	twin := e
	twin.ID = "z" // the same reading twice is two readings
	if n := book.NewLog(e, twin).Len(); n != 2 {
		t.Errorf("%d entries of two with other IDs", n)
	}
	if m := book.NewLog(other, e); !equalLogs(l, m) || !reflect.DeepEqual(l.Forks(), m.Forks()) {
		t.Error("the order of arrival shows")
	}
}

func TestBodiesKeepTheirBytes(t *testing.T) {
	bodies := []string{`{}`, `{"b":1.50,"a":"<&>\u00e9é", "c" : [1 , 2]}`, " {}", "{\n}\n", "{}\r", "\t[1]", `1e999`, "\"\xff\"", "{ \"k\":\r\n \"\xfe\" }"}
	var entries []book.Entry
	for i, b := range bodies {
		entries = append(entries, book.Entry{ID: fmt.Sprint("i", i), Device: "d\"é", Seq: uint64(i + 1), Clock: book.Clock{MS: int64(i), Ctr: 1<<32 - 1}, Build: "b", Kind: "k", Body: json.RawMessage(b)})
	}
	var f bytes.Buffer
	if err := book.EncodeBook(&f, entries); err != nil {
		t.Fatal(err)
	}
	got, warning, err := book.DecodeBook(bytes.NewReader(f.Bytes()))
	if err != nil || warning != "" {
		t.Fatalf("%v %q\n%s", err, warning, f.Bytes())
	}
	if !reflect.DeepEqual(got, entries) {
		t.Errorf("got  %v\nwant %v", got, entries)
	}
}
