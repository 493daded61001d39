package wire

import (
	"encoding/json"
	"strings"
	"testing"
)

const (
	first  = `{"device":"a","seq":1}`
	second = `{"device":"a","seq":2,"b":"é <"}`
)

// Values: independent, Python hashlib and uuid over the bytes that the doc
// comments name.
func TestHashesAsDocumented(t *testing.T) {
	c := Chain{}.Next([]byte(first)).Next([]byte(second))
	tips := Have{"b": {7, Chain{}.String()}, "a": {2, c.String()}, "zero": {}}
	for _, row := range []struct{ what, got, want string }{
		{"chain(1)", Chain{}.Next([]byte(first)).String(), "2927c57feabdaae8bdbdeffb3dda0f0298679481b8c2e531cfd8d1764e34ad2e"},
		{"chain(2)", c.String(), "e81a397bdb7c1ca26af05404141945c8f7c6e3c502f91a0b42f487a5c3bcd7ba"},
		{"digest", Digest(tips), "7c003ca9e32ca7b1ee3ed1faabcac18b0930096d57f5af54b3cb1e52827371fe"},
		{"digest of nothing", Digest(nil), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
		{"mark", Mark("a", 1, []byte(first)), "4131e3e84beb1a59"},
		{"branch", BranchName("a", 1, []byte(first)), "955a0ce4-d29c-8112-b68e-dbc6348dcdf5"},
	} {
		if row.got != row.want {
			t.Errorf("%s is %s, want %s", row.what, row.got, row.want)
		}
	}
}

func TestParseChain(t *testing.T) {
	good := Chain{}.Next([]byte("x"))
	if got, err := ParseChain(good.String()); err != nil || got != good {
		t.Errorf("ParseChain(%s) = %s, %v", good, got, err)
	}
	for _, bad := range []string{"", "00", strings.ToUpper(good.String()), good.String() + "0", strings.Repeat("g", 64), strings.Repeat("0", 63) + " "} {
		if _, err := ParseChain(bad); err == nil {
			t.Errorf("ParseChain(%q) gives no error", bad)
		}
	}
}

func TestAddress(t *testing.T) {
	for _, c := range []struct {
		entry, device string
		seq           uint64
		bad           string // part of the error
	}{
		{entry: first, device: "a", seq: 1},
		{entry: `{"x":[{"device":9,"seq":[]}],"seq":9007199254740992,"device":"0-_.Z"}`, device: "0-_.Z", seq: MaxSeq},
		{entry: "\n{ \"device\" : \"\\u0061\" , \"seq\" : 3 }\t", device: "a", seq: 3},
		{entry: ``, bad: "not JSON"},
		{entry: `{"device":"a","seq":1`, bad: "not JSON"},
		{entry: first + first, bad: "not JSON"},
		{entry: `[1]`, bad: "not a JSON object"},
		{entry: `"device"`, bad: "not a JSON object"},
		{entry: `{}`, bad: "is missing"},
		{entry: `{"device":"a"}`, bad: "is missing"},
		{entry: `{"device":"a","seq":1,"seq":1}`, bad: "twice"},
		{entry: `{"device":"a","seq":1,"Seq":2}`, bad: "another spelling"},
		{entry: `{"device":"a","\u0064evice":"b","seq":1}`, bad: "twice"},
		{entry: `{"device":1,"seq":1}`, bad: "not a text"},
		{entry: `{"device":"","seq":1}`, bad: "1 to 64 characters"},
		{entry: `{"device":"` + strings.Repeat("a", 65) + `","seq":1}`, bad: "1 to 64 characters"},
		{entry: `{"device":"a/b","seq":1}`, bad: "made of"},
		{entry: `{"device":"a","seq":0}`, bad: "counts 1"},
		{entry: `{"device":"a","seq":-1}`, bad: "counts 1"},
		{entry: `{"device":"a","seq":1.0}`, bad: "counts 1"},
		{entry: `{"device":"a","seq":1e3}`, bad: "counts 1"},
		{entry: `{"device":"a","seq":"1"}`, bad: "counts 1"},
		{entry: `{"device":"a","seq":null}`, bad: "counts 1"},
		{entry: `{"device":"a","seq":9007199254740993}`, bad: "counts 1"},
	} {
		device, seq, err := Address([]byte(c.entry))
		switch {
		case c.bad == "" && (err != nil || device != c.device || seq != c.seq):
			t.Errorf("Address(%s) = %q, %d, %v", c.entry, device, seq, err)
		case c.bad != "" && (err == nil || !strings.Contains(err.Error(), c.bad)):
			t.Errorf("Address(%s): error %v, want %q in it", c.entry, err, c.bad)
		}
	}
}

func TestReaddressChangesTwoValuesAlone(t *testing.T) {
	for _, c := range []struct{ entry, want string }{
		{`{"id":"i", "device":"a","seq":7,"new":{"seq":1, "device":"a"}}`, `{"id":"i", "device":"bb","seq":12,"new":{"seq":1, "device":"a"}}`},
		{`{"seq" : 7 , "z":"<é>","device": "a" }`, `{"seq" : 12 , "z":"<é>","device": "bb" }`},
	} {
		got, err := Readdress([]byte(c.entry), "bb", 12)
		if err != nil || string(got) != c.want {
			t.Errorf("Readdress(%s) = %s, %v", c.entry, got, err)
		}
		if device, seq, err := Address(got); device != "bb" || seq != 12 || err != nil {
			t.Errorf("the new address reads %q, %d, %v", device, seq, err)
		}
	}
}

// json.Marshal would compact and escape an entry; its chain would not fit.
func TestEntriesTravelByteForByte(t *testing.T) {
	entries := []json.RawMessage{[]byte(`{ "device":"a", "seq":1, "t":"<&>` + "\u2028" + `" }`), []byte("{\"device\":\"a\",\n\"seq\":2}")}
	sent := Push{Device: "a", App: "x<y\"\\\n\u2028é", Schema: 9, Epoch: "e", NowMS: -5, Runs: []Run{
		{Device: "a", From: 1, Before: Chain{}.String(), Entries: entries}, {Device: "b", From: 4, Before: "00"},
	}}
	data := AppendPush(nil, &sent)
	var got Push
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatalf("%v in %s", err, data)
	}
	if got.Device != "a" || got.App != sent.App || got.Schema != 9 || got.Epoch != "e" || got.NowMS != -5 || len(got.Runs) != 2 || got.Runs[1].From != 4 {
		t.Errorf("came back as %+v", got)
	}
	same(t, got.Runs[0].Entries, entries)

	data = AppendPullAnswer(nil, PullAnswer{Epoch: "e", Entries: entries, Next: 2, Mark: "m", More: true, ServerMS: 3})
	var answer PullAnswer
	if err := json.Unmarshal(data, &answer); err != nil {
		t.Fatalf("%v in %s", err, data)
	}
	if answer.Next != 2 || answer.Mark != "m" || !answer.More || answer.ServerMS != 3 {
		t.Errorf("came back as %+v", answer)
	}
	same(t, answer.Entries, entries)
	for _, empty := range [][]byte{AppendPush(nil, &Push{}), AppendPullAnswer(nil, PullAnswer{})} {
		if !json.Valid(empty) {
			t.Errorf("an empty message is %s", empty)
		}
	}
}

func same(t *testing.T, got, want []json.RawMessage) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d entries, want %d", len(got), len(want))
	}
	for i := range want {
		if string(got[i]) != string(want[i]) {
			t.Errorf("entry %d came as %s, want %s", i, got[i], want[i])
		}
	}
}

// Each code has its status and the way back leads to it, or to the one that the
// status alone means.
func TestCodesBothWays(t *testing.T) {
	seen := map[string]bool{}
	for code, alone := range map[string]string{
		BadAsk: BadAsk, NoToken: NoToken, Revoked: NoToken, CrossSite: CrossSite, WrongCode: CrossSite, NotYours: CrossSite, NotFound: NotFound,
		Method: Method, NameTaken: NameTaken, NoCode: NoCode, TooLarge: TooLarge, WrongType: WrongType, WrongHost: WrongHost, TooMany: TooMany,
		Internal: Internal, NotNow: NotNow, NoSpace: NoSpace,
	} {
		status := Status(code)
		if CodeOf(status) != alone || status < 400 || status == 500 && code != Internal {
			t.Errorf("%s has status %d, which stands for %s", code, status, CodeOf(status))
		}
		seen[code] = true
	}
	if len(seen) != len(statuses) {
		t.Errorf("%d codes are tried, the table has %d", len(seen), len(statuses))
	}
	if Status("new") != 500 || CodeOf(418) != Internal {
		t.Error("what is not known must be internal")
	}
}

func FuzzAddress(f *testing.F) {
	for _, s := range []string{first, second, `{"seq":1,"device":"a"}`, `{"device":"a","device":"b","seq":1}`, `{"a":{"b":[1,2,{"seq":0}]},"device":"a","seq":5}`, "{\"device\":\"\xff\",\"seq\":1}"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, entry []byte) {
		device, seq, err := Address(entry)
		if err != nil {
			return
		}
		if !json.Valid(entry) || CheckDevice(device) != nil || seq == 0 || seq > MaxSeq {
			t.Fatalf("%q is taken as %q, %d", entry, device, seq)
		}
		back, err := Readdress(entry, device, seq)
		if err != nil {
			t.Fatal(err)
		}
		again, n, err := Address(back)
		if err != nil || again != device || n != seq {
			t.Fatalf("%q became %q: %q, %d, %v", entry, back, again, n, err)
		}
	})
}
