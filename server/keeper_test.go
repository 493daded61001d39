package server_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"portwright/server"
	"portwright/server/faulttest"
	"portwright/server/memory"
	"portwright/server/wire"
)

func newDisk() *faulttest.Disk { return faulttest.NewDisk() }

// open opens a keeper whose clock stands at 10 s and whose epochs are e1, e2 ...
func open(t *testing.T, d *faulttest.Disk, change ...func(*server.Options)) (*server.Keeper, server.Report) {
	t.Helper()
	n := len(d.Records)
	o := server.Options{App: "app", Now: func() time.Time { return time.UnixMilli(10_000) }, NewEpoch: func() string { n++; return fmt.Sprintf("e%d", n) }}
	for _, f := range change {
		f(&o)
	}
	k, report, err := d.Open(o)
	if err != nil {
		t.Fatal(err)
	}
	return k, report
}

// made returns entries of a device with numbers from, from+1 ...
func made(device string, from, n int) []json.RawMessage {
	var out []json.RawMessage
	for seq := from; seq < from+n; seq++ {
		out = append(out, fmt.Appendf(nil, `{"device":%q,"seq":%d,"body": "<%d>"}`, device, seq, seq))
	}
	return out
}

func chainOf(entries ...json.RawMessage) string {
	var c wire.Chain
	for _, e := range entries {
		c = c.Next(e)
	}
	return c.String()
}

// runOf returns entries from..from+n-1 of a device with the chain before them.
func runOf(device string, from, n int) wire.Run {
	return wire.Run{Device: device, From: uint64(from), Before: chainOf(made(device, 1, from-1)...), Entries: made(device, from, n)}
}

func send(t *testing.T, k *server.Keeper, runs ...wire.Run) wire.PushAnswer {
	t.Helper()
	a, err := k.Push(wire.Push{Device: "a", NowMS: 9_000, Runs: runs})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestRunsAreTakenOrRefused(t *testing.T) {
	odd := func(r wire.Run, i int, entry string) wire.Run { r.Entries[i] = json.RawMessage(entry); return r }
	forked := odd(runOf("a", 3, 3), 1, `{"device":"a","seq":4,"body":"other"}`)
	before := runOf("a", 6, 2)
	before.Before = chainOf(made("b", 1, 5)...)
	for _, c := range []struct {
		name         string
		run          wire.Run
		taken, known int
		code         string
		seq          uint64
		says         string
	}{
		{name: "the next", run: runOf("a", 6, 2), taken: 2},
		{name: "all again", run: runOf("a", 1, 5), known: 5},
		{name: "some again", run: runOf("a", 4, 4), taken: 2, known: 2},
		{name: "the middle again", run: runOf("a", 2, 2), known: 2},
		{name: "another device", run: runOf("b", 1, 1), taken: 1},
		{name: "a question that agrees", run: runOf("a", 4, 0)},
		{name: "a question at the tip", run: runOf("a", 6, 0)},
		{name: "a newer meaning", run: wire.Run{Device: "c", From: 1, Before: chainOf(), Entries: []json.RawMessage{[]byte(`{"v":99,"device":"c","seq":1,"what":["ever"]}`)}}, taken: 1},
		{name: "a gap", run: runOf("a", 7, 1), code: wire.Gap, seq: 7, says: "Entries 6 to 6 of device a are missing"},
		{name: "a gap from nothing", run: runOf("b", 2, 1), code: wire.Gap, seq: 2, says: "Entries 1 to 1 of device b"},
		{name: "a question beyond", run: runOf("a", 9, 0), code: wire.Gap, seq: 9},
		{name: "other bytes", run: forked, known: 1, code: wire.Fork, seq: 4, says: "another entry 4"},
		{name: "other bytes before", run: before, code: wire.ForkBefore, seq: 6, says: "other entries here before number 6"},
		{name: "not JSON", run: odd(runOf("a", 6, 3), 1, `{"device":"a","seq":7`), taken: 1, code: wire.BadEntry, seq: 7, says: "not JSON"},
		{name: "of another device", run: odd(runOf("a", 6, 3), 0, `{"device":"b","seq":6}`), code: wire.BadEntry, seq: 6, says: "of device b"},
		{name: "of another number", run: odd(runOf("a", 5, 3), 2, `{"device":"a","seq":8}`), taken: 1, known: 1, code: wire.BadEntry, seq: 7, says: "sequence number 8"},
	} {
		d := newDisk()
		k, _ := open(t, d)
		send(t, k, runOf("a", 1, 5))
		a := send(t, k, c.run)
		if a.Taken != c.taken || a.Known != c.known {
			t.Errorf("%s: %d taken, %d known; want %d, %d", c.name, a.Taken, a.Known, c.taken, c.known)
		}
		switch {
		case c.code == "" && len(a.Refused) > 0, c.code != "" && len(a.Refused) != 1:
			t.Errorf("%s: refused %+v", c.name, a.Refused)
		case c.code != "" && (a.Refused[0].Code != c.code || a.Refused[0].Seq != c.seq || a.Refused[0].Device != c.run.Device || !strings.Contains(a.Refused[0].Message, c.says)):
			t.Errorf("%s: refused %+v, want %s at %d, %q", c.name, a.Refused[0], c.code, c.seq, c.says)
		}
		if a.Head != uint64(5+c.taken) || a.Epoch != "e1" || a.App != "app" || a.ServerMS != 10_000 {
			t.Errorf("%s: answer %+v", c.name, a)
		}
		if _, again := open(t, d); again.Entries != a.Head {
			t.Errorf("%s: %d entries after a start, want %d", c.name, again.Entries, a.Head)
		}
	}
}

// A run that can't be taken does not stop the others.
func TestRunsStandAlone(t *testing.T) {
	k, _ := open(t, newDisk())
	a := send(t, k, runOf("a", 1, 3), runOf("b", 7, 1), runOf("c", 1, 2))
	want := wire.Have{"a": {Seq: 3, Chain: chainOf(made("a", 1, 3)...)}, "c": {Seq: 2, Chain: chainOf(made("c", 1, 2)...)}}
	if a.Taken != 5 || len(a.Refused) != 1 || fmt.Sprint(a.Have) != fmt.Sprint(want) {
		t.Errorf("answer %+v", a)
	}
	if have := k.Have(); have.Digest != wire.Digest(want) || have.Entries != 5 || have.Head != 5 {
		t.Errorf("have %+v", have)
	}
}

func TestPushesBeyondForm(t *testing.T) {
	big := json.RawMessage(`{"device":"a","seq":1,"x":"` + strings.Repeat("x", wire.MaxEntryBytes) + `"}`)
	heavy := runOf("a", 1, 5)
	for i := range heavy.Entries {
		heavy.Entries[i] = json.RawMessage(`{"device":"a","seq":` + fmt.Sprint(i+1) + `,"x":"` + strings.Repeat("x", wire.MaxEntryBytes-50) + `"}`)
	}
	many := make([]wire.Run, wire.MaxRuns+1)
	for _, c := range []struct {
		name string
		push wire.Push
		code server.Code
		says string
	}{
		{"no device", wire.Push{}, server.BadAsk, "device: a device's name has 1 to 64"},
		{"bad device", wire.Push{Device: "a b"}, server.BadAsk, `"a b" is not`},
		{"bad device of a run", wire.Push{Device: "a", Runs: []wire.Run{{Device: "", From: 1, Before: chainOf()}}}, server.BadAsk, "runs[0].device"},
		{"twice", wire.Push{Device: "a", Runs: []wire.Run{runOf("a", 1, 1), runOf("a", 2, 1)}}, server.BadAsk, "runs[1].device: a stands in two runs"},
		{"from 0", wire.Push{Device: "a", Runs: []wire.Run{{Device: "a", Before: chainOf()}}}, server.BadAsk, "runs[0].from: is 0"},
		{"from beyond", wire.Push{Device: "a", Runs: []wire.Run{{Device: "a", From: 1 << 60, Before: chainOf()}}}, server.BadAsk, "runs[0].from"},
		{"no chain", wire.Push{Device: "a", Runs: []wire.Run{{Device: "a", From: 1}}}, server.BadAsk, "runs[0].before: has 0 characters"},
		{"many runs", wire.Push{Device: "a", Runs: many}, server.TooLarge, "65 are given; one push has up to 64"},
		{"many entries", wire.Push{Device: "a", Runs: []wire.Run{runOf("a", 1, 300), runOf("b", 1, 201)}}, server.TooLarge, "501 entries are given; one push has up to 500"},
		{"a big entry", wire.Push{Device: "a", Runs: []wire.Run{{Device: "a", From: 1, Before: chainOf(), Entries: []json.RawMessage{big}}}}, server.TooLarge, "entry 1 of a has"},
		{"a heavy batch", wire.Push{Device: "a", Runs: []wire.Run{heavy}}, server.TooLarge, "one push has up to 1048576"},
	} {
		k, _ := open(t, newDisk())
		_, err := k.Push(c.push)
		if server.CodeOf(err) != c.code || !strings.Contains(server.MessageOf(err), c.says) {
			t.Errorf("%s: %s, %q; want %s, %q", c.name, server.CodeOf(err), server.MessageOf(err), c.code, c.says)
		}
		if k.Have().Head != 0 {
			t.Errorf("%s: something was taken", c.name)
		}
	}
}

// An entry that a damaged journal left behind a gap keeps its bytes: another
// under its number is a fork, the same one is known.
func TestGapsAreFilled(t *testing.T) {
	for _, forked := range []bool{false, true} {
		d := newDisk()
		k, _ := open(t, d)
		send(t, k, runOf("a", 1, 6))
		d.Records = append(d.Records[:3:3], d.Records[4:]...) // entry 3
		d.Index = &memory.Index{}
		k, report := open(t, d)
		if report.Loose != 3 || report.Entries != 5 || report.Epoch == "" {
			t.Fatalf("report %+v", report)
		}
		if have := k.Have(); have.Have["a"].Seq != 2 {
			t.Fatalf("have %+v", have)
		}
		fill := runOf("a", 3, 4)
		if forked {
			fill.Entries[2] = json.RawMessage(`{"device":"a","seq":5,"body":"other"}`)
		}
		a := send(t, k, fill)
		if a.Have["a"] != (wire.Tip{Seq: 6, Chain: chainOf(made("a", 1, 6)...)}) || a.Taken != 1 || a.Head != 6 {
			t.Errorf("forked %v: answer %+v", forked, a)
		}
		switch {
		case !forked && (a.Known != 3 || len(a.Refused) > 0):
			t.Errorf("answer %+v", a)
		case forked && (len(a.Refused) != 1 || a.Refused[0].Code != wire.Fork || a.Refused[0].Seq != 5):
			t.Errorf("a fork: %+v", a)
		}
		if _, again := open(t, d); again.Loose != 0 || again.Entries != 6 || again.Rebuilt {
			t.Errorf("after a start: %+v", again)
		}
	}
}

func TestPull(t *testing.T) {
	d := newDisk()
	k, _ := open(t, d)
	a := send(t, k, runOf("a", 1, 5), runOf("b", 1, 2))
	mark := func(device string, seq int) string { return wire.Mark(device, uint64(seq), made(device, seq, 1)[0]) }
	if a.Mark != mark("b", 2) {
		t.Errorf("the head's mark is %s", a.Mark)
	}
	for _, c := range []struct {
		name   string
		epoch  string
		cursor uint64
		mark   string
		limit  int
		first  int // entries by cursor
		n      int
		more   bool
		reset  bool
	}{
		{"all", "", 0, "", 500, 1, 7, false, false},
		{"first two", "", 0, "", 2, 1, 2, true, false},
		{"the next", "e1", 2, mark("a", 2), 4, 3, 4, true, false},
		{"the last", "e1", 6, mark("b", 1), 4, 7, 1, false, false},
		{"nothing more", "e1", 7, mark("b", 2), 4, 8, 0, false, false},
		{"another epoch", "e0", 2, mark("a", 2), 4, 1, 4, true, true},
		{"beyond the head", "e1", 8, mark("b", 2), 4, 1, 4, true, true},
		{"another past", "e1", 2, mark("b", 2), 4, 1, 4, true, true},
		{"no mark", "e1", 7, "", 500, 1, 7, false, true},
	} {
		got, err := k.Pull(c.epoch, c.cursor, c.mark, c.limit)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		all := append(made("a", 1, 5), made("b", 1, 2)...)[c.first-1 : c.first-1+c.n]
		if got.Epoch != "e1" || got.Reset != c.reset || got.More != c.more || got.Next != uint64(c.first-1+c.n) || got.ServerMS != 10_000 {
			t.Errorf("%s: %+v", c.name, got)
		}
		if fmt.Sprint(got.Entries) != fmt.Sprint(all) {
			t.Errorf("%s: entries %s, want %s", c.name, got.Entries, all)
		}
		if next, err := k.Pull(got.Epoch, got.Next, got.Mark, 1); err != nil || next.Reset {
			t.Errorf("%s: its mark is not taken: %+v, %v", c.name, next, err)
		}
	}
	for _, limit := range []int{-1, 0, 501} {
		if _, err := k.Pull("", 0, "", limit); server.CodeOf(err) != server.BadAsk || server.FieldOf(err) != "limit" {
			t.Errorf("limit %d: %v", limit, err)
		}
	}
}

// A batch is bounded by bytes too, and an entry of any size gets through.
func TestPullIsBounded(t *testing.T) {
	k, _ := open(t, newDisk())
	var c wire.Chain
	for seq := 1; seq <= 9; seq++ {
		e := json.RawMessage(fmt.Sprintf(`{"device":"a","seq":%d,"x":"%s"}`, seq, strings.Repeat("x", wire.MaxEntryBytes-60)))
		send(t, k, wire.Run{Device: "a", From: uint64(seq), Before: c.String(), Entries: []json.RawMessage{e}})
		c = c.Next(e)
	}
	a, err := k.Pull("", 0, "", 500)
	if err != nil || len(a.Entries) != 4 || !a.More || a.Next != 4 {
		t.Errorf("%d entries of a quarter MB, more %v, %v; want 4", len(a.Entries), a.More, err)
	}
}

func TestClockOffset(t *testing.T) {
	d := newDisk()
	k, _ := open(t, d)
	for i, p := range []wire.Push{
		{Device: "a", App: strings.Repeat("x", 90), Schema: 3, NowMS: 130_000, Runs: []wire.Run{runOf("a", 1, 1)}},
		{Device: "nobody", NowMS: 1}, // holds nothing here: not remembered
	} {
		if _, err := k.Push(p); err != nil {
			t.Fatalf("push %d: %v", i, err)
		}
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	k, _ = open(t, d)
	seen := k.Devices()
	want := server.Seen{Device: "a", App: strings.Repeat("x", 64), Schema: 3, AtMS: 10_000, OffsetMS: -120_000}
	if len(seen) != 1 || seen[0] != want {
		t.Errorf("seen %+v, want %+v", seen, want)
	}
}

func TestFullDiskRefusesAndReads(t *testing.T) {
	free, broken := uint64(1000), error(nil)
	d := newDisk()
	k, _ := open(t, d, func(o *server.Options) {
		o.Reserve = 500
		o.Free = func() (uint64, error) { return free, broken }
	})
	send(t, k, runOf("a", 1, 2))
	for _, c := range []struct {
		name   string
		free   uint64
		broken error
		entry  string
		code   server.Code
	}{
		{"below the reserve", 499, nil, "", server.NoSpace},
		{"a batch too big for the rest", 600, nil, strings.Repeat("x", 300), server.NoSpace},
		{"no answer from the disk", 9999, errors.New("gone"), "", server.NotNow},
	} {
		free, broken = c.free, c.broken
		r := runOf("a", 3, 1)
		r.Entries[0] = json.RawMessage(`{"device":"a","seq":3,"x":"` + c.entry + `"}`)
		if _, err := k.Push(wire.Push{Device: "a", Runs: []wire.Run{r}}); server.CodeOf(err) != c.code {
			t.Errorf("%s: %v", c.name, err)
		}
		if a := send(t, k, runOf("a", 1, 2)); a.Known != 2 || a.Head != 2 {
			t.Errorf("%s: what is known needs no room: %+v", c.name, a)
		}
		if a, err := k.Pull("", 0, "", 9); err != nil || len(a.Entries) != 2 {
			t.Errorf("%s: reading: %+v, %v", c.name, a, err)
		}
	}
	free, broken = 1000, nil
	if a := send(t, k, runOf("a", 3, 1)); a.Taken != 1 {
		t.Errorf("with room again: %+v", a)
	}
	d.Full = true // the gate was wrong
	if _, err := k.Push(wire.Push{Device: "a", Runs: []wire.Run{runOf("a", 4, 1)}}); server.CodeOf(err) != server.NoSpace {
		t.Errorf("a full journal: %v", err)
	}
}

// While the index can't be written, nothing is answered for; afterwards each
// entry stands once, in the journal too.
func TestIndexThatFailsForAWhile(t *testing.T) {
	d := newDisk()
	k, _ := open(t, d)
	send(t, k, runOf("a", 1, 2))
	d.Failing = true
	for range 3 {
		if _, err := k.Push(wire.Push{Device: "a", Runs: []wire.Run{runOf("a", 3, 2)}}); server.CodeOf(err) != server.NotNow {
			t.Fatalf("push: %v", err)
		}
		if have := k.Have(); have.Head != 2 {
			t.Fatalf("have %+v", have)
		}
	}
	d.Failing = false
	a := send(t, k, runOf("b", 1, 1), runOf("a", 3, 2))
	if a.Head != 5 || a.Taken != 1 || a.Known != 2 || len(d.Records) != 6 {
		t.Errorf("answer %+v, %d records; want the epoch and five entries", a, len(d.Records))
	}
	if _, report := open(t, d); report.Rebuilt || report.CaughtUp != 0 || report.Entries != 5 {
		t.Errorf("after a start: %+v", report)
	}
}

func TestEpochs(t *testing.T) {
	d := newDisk()
	k, report := open(t, d)
	if k.Epoch().ID != "e1" || report.Epoch != "a new store" {
		t.Errorf("a new store: %+v, %+v", k.Epoch(), report)
	}
	send(t, k, runOf("a", 1, 9))
	for _, c := range []struct {
		name  string
		harm  func()
		doubt string
		fresh bool
		want  server.Report
	}{
		{"nothing", func() {}, "", false, server.Report{}},
		{"index behind", func() { d.Roll(4) }, "", false, server.Report{CaughtUp: 5}},
		{"index lost", func() { d.Index = &memory.Index{} }, "", true, server.Report{CaughtUp: 9, Rebuilt: true}},
		{"journal doubted", func() {}, "a page was bad", true, server.Report{}},
		{"journal shorter", func() { d.Records = d.Records[:5] }, "", true, server.Report{CaughtUp: 9, Salvaged: 5, Rebuilt: true}},
	} {
		c.harm()
		was := k.Epoch().ID
		k, report = open(t, d, func(o *server.Options) { o.Doubt = c.doubt })
		if (k.Epoch().ID != was) != c.fresh || (report.Epoch != "") != c.fresh {
			t.Errorf("%s: epoch %s after %s, %q", c.name, k.Epoch().ID, was, report.Epoch)
		}
		report.Epoch = ""
		c.want.Entries = 9
		if report != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, report, c.want)
		}
	}
}

// A record that this program does not know was written by a newer one.
func TestNewerJournalIsLeftAlone(t *testing.T) {
	for _, c := range []struct {
		record []byte
		says   string
	}{
		{[]byte{3, 1, 2}, "newer Portwright"},
		{nil, "empty record"},
		{[]byte{1}, "too short"},
		{[]byte{1, 200, 'a'}, "too short"},
		{append([]byte{1, 1, ' '}, make([]byte, 8)...), "made of"},
		{append([]byte{1, 1, 'a'}, make([]byte, 8)...), "sequence number 0"},
		{[]byte{2, '{'}, "epoch"},
		{[]byte("\x02{}"), "epoch"},
	} {
		d := newDisk()
		d.Records = [][]byte{c.record}
		if _, _, err := d.Open(server.Options{}); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("record %v: %v, want %q", c.record, err, c.says)
		}
	}
}
