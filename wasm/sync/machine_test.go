package sync_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"portwright/server"
	"portwright/server/memory"
	"portwright/server/wire"
	"portwright/wasm/sync"
	"portwright/wasm/sync/phonetest"
)

func keeper(t *testing.T, epoch string) *server.Keeper {
	t.Helper()
	k, _, err := server.Open(&memory.Journal{}, &memory.Index{}, server.Options{NewEpoch: func() string { return epoch }})
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// refusing answers pushes that have entries with an error.
type refusing struct {
	*server.Keeper
	status int
	body   string
}

func (r refusing) answer(a *sync.Ask) sync.Answered {
	if r.status != 0 && strings.Contains(string(a.Push), `"entries":[{`) {
		return sync.Answered{Status: r.status, Body: []byte(r.body)}
	}
	body, err := phonetest.Serve(r.Keeper, a)
	if err != nil {
		panic(err)
	}
	return sync.Answered{Status: 200, Body: body}
}

func clock(ms int64) func() int64 { return func() int64 { return ms } }

// One question when nothing is new, one when this phone wrote, two when others
// did.
func TestQuestionsPerSync(t *testing.T) {
	k := keeper(t, "e")
	p, q := phonetest.New("p", 0), phonetest.New("q", 0)
	sync := func(p *phonetest.Phone, want int) {
		t.Helper()
		if err := p.Sync(k, 1); err != nil || p.Asks != want {
			t.Errorf("%d questions, want %d; %v", p.Asks, want, err)
		}
	}
	p.Write(`"x":1`)
	sync(p, 2) // how things stand, then the entry
	sync(p, 1)
	p.Write(`"x":2`)
	sync(p, 1)
	sync(q, 2)
	sync(q, 1)
	p.Forget()
	sync(p, 1)
}

// The waits after failures are random parts of 1 s, 2 s ... 5 min, and begin
// anew when a person asks.
func TestWaitsGrow(t *testing.T) {
	m := &sync.Machine{}
	round := func(eager bool, random uint64) (int64, sync.Status) {
		var ev sync.Event = &sync.Wake{Addresses: []string{"a", "b"}, Eager: eager}
		asked := []string{}
		for {
			switch e := m.Next(ev, &sync.In{NowMS: 1, Random: random}).(type) {
			case *sync.Rest:
				if !slices.Equal(asked, []string{"a", "b"}) {
					t.Errorf("asked %v", asked)
				}
				return e.ForMS, m.Status()
			case *sync.Look:
				ev = &sync.Looked{Device: "d"}
			case *sync.Ask:
				asked = append(asked, e.Address)
				ev = &sync.Answered{}
			case *sync.Take:
				ev = &sync.Took{}
			}
		}
	}
	for i, most := range []int64{1, 2, 4, 8, 16, 32, 64, 128, 256, 300, 300, 300} {
		ms, s := round(false, uint64(most)*1000-1)
		if ms != 250+most*1000-1 || s.Code != sync.Unreached || s.Asking {
			t.Errorf("after %d failures: wait %d ms, %+v", i+1, ms, s)
		}
	}
	if ms, _ := round(true, 999); ms != 250+999 {
		t.Errorf("after a person asked: %d ms", ms)
	}
	if ms, _ := round(false, 0); ms != 250 {
		t.Errorf("at least %d ms", ms)
	}
}

// The addresses are tried in turn; the one that answered comes first then.
func TestAddressesInTurn(t *testing.T) {
	k, p := keeper(t, "e"), phonetest.New("p", 0)
	p.Write(`"x":1`)
	var asked []string
	answer := func(a *sync.Ask) sync.Answered {
		asked = append(asked, a.Address)
		switch a.Address {
		case "good":
			return refusing{Keeper: k}.answer(a)
		case "gateway":
			return sync.Answered{Status: 200, Body: []byte("<html>")}
		case "other":
			return sync.Answered{Status: 421, Body: []byte(`{"code":"wrong_host","message":"not I"}`)}
		}
		return sync.Answered{}
	}
	for _, want := range [][]string{{"", "gateway", "other", "good"}, {"good"}} {
		asked = nil
		p.Write(`"x":1`)
		p.Round(clock(1), answer, "", "gateway", "other", "good")
		if s := p.Status(); s.Code != "" || s.Lacks != 0 || s.Address != "good" {
			t.Errorf("%+v", s)
		}
		if got := slices.Compact(asked); !slices.Equal(got, want) {
			t.Errorf("asked %q, want %q", got, want)
		}
	}
}

// What the shop PC does not take is told, counted, and kept; what it has is
// pulled all the same when only its disk is full.
func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		status       int
		body, code   string
		said, gotNew string
	}{
		{507, `{"code":"no_space","message":"full"}`, wire.NoSpace, "full", "theirs"},
		{503, `{"code":"not_now","message":"soon"}`, wire.NotNow, "soon", ""},
		{500, `oops`, wire.Internal, "", ""},
		{401, `{"code":"not_paired","message":"pair it"}`, "not_paired", "pair it", ""},
		{413, `{"code":"too_large","message":"less"}`, wire.TooLarge, "less", ""},
		{400, `{"code":"bad_ask","message":"what"}`, wire.BadAsk, "what", ""},
		{200, `{}`, sync.Garbled, "", ""},
		{200, `{"epoch":"e","have":{"p":{"se`, sync.Garbled, "", ""},
		{200, `{"epoch":"e","have":{},"head":1}`, sync.Garbled, "", "theirs"},
		{200, `{"epoch":"e","have":{"q":{"seq":2}},"head":1,"refused":[{"device":"p","seq":1,"code":"bad_entry","message":"no"}]}`, wire.BadEntry, "no", "theirs"},
	} {
		k := keeper(t, "e")
		other := phonetest.New("q", 0)
		other.Write(`"x":"theirs"`)
		if err := other.Sync(k, 1); err != nil {
			t.Fatal(err)
		}
		p := phonetest.New("p", 0)
		for range 5 {
			p.Write(`"x":"mine"`)
		}
		p.Round(clock(1), refusing{k, c.status, c.body}.answer)
		s := p.Status()
		if s.Code != c.code || s.Said != c.said || s.Lacks < 5 || s.SameMS != 0 {
			t.Errorf("%d %s: %+v", c.status, c.body, s)
		}
		if got := strings.Contains(fmt.Sprintf("%s", p.Entries()), "theirs"); got != (c.gotNew != "") {
			t.Errorf("%d %s: the other's entry came: %v", c.status, c.body, got)
		}
		if err := p.Sync(k, 1); err != nil || p.Status().Lacks != 0 || p.Status().SameMS == 0 {
			t.Errorf("%d %s: afterwards %v, %+v", c.status, c.body, err, p.Status())
		}
	}
}

// A push that is too large is halved until it goes; one entry that is larger
// than one may be holds up its own device alone.
func TestLargeEntries(t *testing.T) {
	k, p := keeper(t, "e"), phonetest.New("p", 0)
	for range 40 {
		p.Write(`"x":"` + strings.Repeat("y", 100_000) + `"`)
	}
	if err := p.Sync(k, 1); err != nil || k.Have().Entries != 40 {
		t.Fatalf("%v, %d entries", err, k.Have().Entries)
	}
	p.Write(`"x":"` + strings.Repeat("y", wire.MaxEntryBytes) + `"`)
	p.Write(`"x":1`)
	other := phonetest.New("q", 0)
	other.Write(`"x":1`)
	if err := p.Merge(other); err != nil {
		t.Fatal(err)
	}
	err := p.Sync(k, 1)
	if s := p.Status(); err == nil || s.Code != sync.TooLong || s.Lacks != 2 || k.Have().Entries != 41 {
		t.Errorf("%v, %+v, %d entries", err, s, k.Have().Entries)
	}
}

// The phone's clock is 7 s behind: half of the way there and back is taken off.
func TestOffset(t *testing.T) {
	p := phonetest.New("p", 0)
	now := int64(1000)
	p.Round(func() int64 { return now }, func(*sync.Ask) sync.Answered {
		now = 3000
		return sync.Answered{Status: 200, Body: []byte(`{"epoch":"e","have":{},"head":0,"server_ms":9000}`)}
	})
	if got := p.Status().OffsetMS; got != 9000-(1000+3000)/2 {
		t.Errorf("offset %d", got)
	}
}

// Storage that fails ends the round and is said; the next goes on.
func TestStorageFails(t *testing.T) {
	m := &sync.Machine{}
	m.Next(&sync.Wake{Addresses: []string{""}}, &sync.In{})
	if _, ok := m.Next(&sync.Failed{Reason: "no"}, &sync.In{}).(*sync.Rest); !ok || m.Status().Code != sync.Storage || m.Status().Said != "no" {
		t.Errorf("%+v", m.Status())
	}
	if _, ok := m.Next(&sync.Wake{Addresses: []string{""}}, &sync.In{}).(*sync.Look); !ok {
		t.Error("no next round")
	}
}

// Entries of the phone's own name come back with a gap (the shop PC's journal
// was damaged): it writes on under a new name, so that what it writes can go.
func TestOwnGap(t *testing.T) {
	p := phonetest.New("p", 0)
	p.Round(clock(1), func(a *sync.Ask) sync.Answered {
		if a.Push != nil {
			return sync.Answered{Status: 200, Body: []byte(`{"epoch":"e","have":{"p":{"seq":1,"chain":"` + wire.Chain{}.Next([]byte(`{"device":"p","seq":1}`)).String() + `"}},"head":2,"mark":"m"}`)}
		}
		return sync.Answered{Status: 200, Body: []byte(`{"epoch":"e","entries":[{"device":"p","seq":1},{"device":"p","seq":3}],"next":2,"mark":"m"}`)}
	})
	p.Write(`"x":1`)
	if got := fmt.Sprintf("%s", p.Entries()); p.Name == "p" || got != `[{"device":"p","seq":1} {"device":"p","seq":3} {"device":"p.1","seq":1,"x":1}]` {
		t.Errorf("it writes as %s: %s", p.Name, got)
	}
}

// What the shop PC gave is not counted as unsent: not while more is on its way,
// not when the shop PC goes away in the middle, and not after the app was
// killed. What this phone wrote is.
func TestWhatComesInIsNotUnsent(t *testing.T) {
	k := keeper(t, "e")
	from, p := phonetest.New("from", 0), phonetest.New("p", 10)
	for range 95 {
		from.Write(`"x":1`)
	}
	if err := from.Sync(k, 1); err != nil {
		t.Fatal(err)
	}
	gets := 0
	round := func(asks int) {
		p.Round(clock(1), func(a *sync.Ask) sync.Answered {
			s := p.Status()
			if a.Push == nil {
				gets++
			}
			if s.Lacks > 0 || s.Gets != (a.Push == nil) {
				t.Errorf("before %s%s: %+v", a.Push, a.Pull, s)
			}
			if asks--; asks < 0 {
				return sync.Answered{}
			}
			return refusing{Keeper: k}.answer(a)
		})
	}
	for _, want := range []int{20, 50} {
		round(1 + (want+9)/10 - len(p.Entries())/10)
		if s := p.Status(); s.Code != sync.Unreached || s.Gets || s.Lacks != 0 || s.Entries != want {
			t.Errorf("the shop PC went away: %+v", s)
		}
	}
	p.Fuse = 11 // look, how things stand, then pulls
	round(9)
	if n := len(p.Entries()); n <= 50 || n >= 95 || p.Status().Code != phonetest.Killed {
		t.Fatalf("killed with %d entries, %+v", n, p.Status())
	}
	round(0)
	if s := p.Status(); s.Lacks != 0 {
		t.Errorf("after the app was killed: %+v", s)
	}
	p.Write(`"x":2`)
	p.Round(clock(1), func(*sync.Ask) sync.Answered { return sync.Answered{} })
	if s := p.Status(); s.Lacks != 1 {
		t.Errorf("one was written: %+v", s)
	}
	if err := p.Sync(k, 1); err != nil || p.Status().Lacks != 0 || len(p.Entries()) != 96 || gets < 8 {
		t.Errorf("%v, %+v, %d pulls", err, p.Status(), gets)
	}
}

// A failure is no longer told once the shop PC answers.
func TestAnAnswerEndsTheFailure(t *testing.T) {
	k, p := keeper(t, "e"), phonetest.New("p", 2)
	for range 5 {
		p.Write(`"x":1`)
	}
	p.Round(clock(1), func(*sync.Ask) sync.Answered { return sync.Answered{} })
	asks := 0
	p.Round(clock(1), func(a *sync.Ask) sync.Answered {
		s := p.Status()
		if asks++; (s.Code != "") != (asks == 1) || s.Lacks == 0 || !s.Asking || s.Gets {
			t.Errorf("question %d: %+v", asks, s)
		}
		return refusing{Keeper: k}.answer(a)
	})
	if asks != 4 {
		t.Errorf("%d questions", asks)
	}
}

func FuzzAnswers(f *testing.F) {
	push, _ := json.Marshal(wire.PushAnswer{Epoch: "e", Have: wire.Have{"a": {Seq: 1, Chain: wire.Chain{}.String()}}, Head: 1, Mark: "m", Refused: []wire.Refusal{{Device: "a", Seq: 2, Code: "fork"}}})
	f.Add(200, push, wire.AppendPullAnswer(nil, wire.PullAnswer{Epoch: "e", Entries: []json.RawMessage{[]byte(`{"device":"p","seq":1}`)}, Next: 1}))
	f.Add(507, []byte(`{"code":"no_space"}`), []byte(`{"epoch":"e","entries":[{"device":"p","seq":9007199254740992},{"device":"p","seq":2,"x":1}],"next":18446744073709551615,"more":true}`))
	f.Add(200, []byte(`{"epoch":"e","have":{"p":{"seq":9007199254740992}}}`), []byte(`{"epoch":"e","entries":{},"next":-1}`))
	f.Add(200, []byte(`{"epoch":"e","have":{"p":{"seq":1,"chain":""}},"refused":[{"device":"p","seq":1,"code":"fork"},{"device":"p","code":"fork_before"},{"device":"p","code":"gap"}]}`), []byte(`{"epoch":"","entries":[1]}`))
	f.Fuzz(func(t *testing.T, status int, pushed, pulled []byte) {
		p := phonetest.New("p", 2)
		for range 3 {
			p.Write(`"x":1`)
		}
		before := p.Entries()
		asks := 0
		p.Round(clock(1), func(a *sync.Ask) sync.Answered {
			if asks++; asks > 50 { // any answer may come for ever; the machine's own bound is larger
				return sync.Answered{}
			}
			if a.Push != nil {
				if !json.Valid(a.Push) {
					t.Fatalf("push %q", a.Push)
				}
				return sync.Answered{Status: status, Body: pushed}
			}
			return sync.Answered{Status: 200, Body: pulled}
		})
		if p.Renamed > 0 {
			return
		}
		for i, e := range before {
			if !slices.ContainsFunc(p.Entries(), func(have []byte) bool { return string(have) == string(e) }) {
				t.Fatalf("entry %d is gone after %q and %q", i, pushed, pulled)
			}
		}
	})
}
