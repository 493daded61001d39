package access

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/server"
	"portwright/server/memory"
	"portwright/server/wire"
	"portwright/wasm/sync/phonetest"
)

// desk is a register in a fresh folder with a clock that tests turn.
type desk struct {
	*Register
	clock time.Time
}

func open(t *testing.T) *desk {
	t.Helper()
	d := &desk{clock: time.UnixMilli(1_800_000_000_000)}
	r, notice, err := Open(filepath.Join(t.TempDir(), "access.json"), func() time.Time { return d.clock })
	if err != nil || notice != "" {
		t.Fatal(notice, err)
	}
	d.Register = r
	return d
}

func (d *desk) again(t *testing.T) *desk {
	t.Helper()
	if err := d.Close(); err != nil {
		t.Fatal(err)
	}
	r, notice, err := Open(d.Register.file, d.now)
	if err != nil || notice != "" {
		t.Fatal(notice, err)
	}
	return &desk{Register: r, clock: d.clock}
}

// paired takes a device in and returns its token.
func (d *desk) paired(t *testing.T, device string) string {
	t.Helper()
	a, err := d.Pair(wire.Pair{Code: d.NewCode().Text, Device: device, Name: device}, "192.0.2.9")
	if err != nil {
		t.Fatal(err)
	}
	return a.Token
}

func (d *desk) id(t *testing.T, token string) string {
	t.Helper()
	who, err := d.Who(token)
	if err != nil {
		t.Fatal(err)
	}
	return who.ID
}

func wants(t *testing.T, what string, err error, code string) {
	t.Helper()
	if got := string(server.CodeOf(err)); got != code {
		t.Errorf("%s: %q (%v), want %q", what, got, err, code)
	}
}

func TestPairing(t *testing.T) {
	d := open(t)
	ask := func(code string) error {
		_, err := d.Pair(wire.Pair{Code: code, Device: "phone", Name: "bench phone"}, "192.0.2.9")
		return err
	}
	wants(t, "no code made", ask("00000000"), wire.NoCode)
	code := d.NewCode()
	if len(plain(code.Text)) != 8 || code.TriesLeft != 5 || code.UntilMS != d.clock.Add(10*time.Minute).UnixMilli() {
		t.Errorf("the code is %+v", code)
	}
	wants(t, "too short", ask(code.Text[:5]), wire.BadAsk)
	wants(t, "typed otherwise", ask(" "+strings.ToLower(strings.ReplaceAll(code.Text, "-", " "))+" "), "")
	wants(t, "a second time", ask(code.Text), wire.NoCode)

	d.NewCode()
	for i := range 5 {
		wants(t, fmt.Sprint("wrong ", i), ask(wrong(d.Code())), wire.WrongCode)
	}
	wants(t, "locked", ask("00000000"), wire.NoCode)
	if d.Code() != nil {
		t.Error("the locked code is still shown")
	}
	right := d.NewCode()
	d.NewCode()
	wants(t, "the code before", ask(right.Text), wire.WrongCode)
	if c := d.Code(); c.TriesLeft != 4 || c.WrongFrom != "192.0.2.9" {
		t.Errorf("after a wrong try: %+v", c)
	}
	old := d.NewCode()
	d.clock = d.clock.Add(10 * time.Minute)
	wants(t, "too old", ask(old.Text), wire.NoCode)
}

// wrong returns a code of the right form that is not the one in force.
func wrong(c *Code) string {
	if plain(c.Text) == "00000000" {
		return "11111111"
	}
	return "00000000"
}

// Crockford's base 32: https://www.crockford.com/base32.html (from memory):
// decoding takes i and l for 1, o for 0, and lower case.
func TestLettersThatAreMistaken(t *testing.T) {
	if got := plain("oO-iI lL"); got != "001111" {
		t.Errorf("read as %q", got)
	}
	for _, c := range "ILOU" {
		if strings.ContainsRune(letters, c) {
			t.Errorf("%c can stand in a code", c)
		}
	}
	seen := map[rune]bool{}
	for _, c := range letters {
		seen[c] = true
	}
	if len(seen) != 32 {
		t.Errorf("%d letters, want 32: 8 of them are 40 bits", len(seen))
	}
}

func TestNamesOfDevices(t *testing.T) {
	for name, good := range map[string]bool{
		"bench phone": true, "Zoë's phone (2)": true, strings.Repeat("é", 40): true, "手机": true,
		"": false, "   ": false, strings.Repeat("é", 41): false, "a\r\nSet-Cookie: x": false, "a\x00b": false, "a\u202egnp.exe": false, "a\xff": false, "\x1b[2J": false,
	} {
		if err := CheckName(name); (err == nil) != good {
			t.Errorf("%q: %v", name, err)
		}
	}
	d := open(t)
	_, err := d.Pair(wire.Pair{Code: d.NewCode().Text, Device: "a", Name: "a\r\nX: y"}, "")
	if wants(t, "a name with a line in it", err, wire.BadAsk); d.Code() == nil || d.Code().TriesLeft != 5 {
		t.Error("a bad name cost a try")
	}
}

func TestTokens(t *testing.T) {
	d := open(t)
	a, b := d.paired(t, "a"), d.paired(t, "b")
	if a == b || len(a) != 43 { // 256 bits in base 64, RFC 4648: ceil(256/6)
		t.Errorf("tokens %q and %q", a, b)
	}
	for _, bad := range []string{"", "x", a[:42], a + "A", strings.ToUpper(a), sum(a)} {
		_, err := d.Who(bad)
		wants(t, bad, err, wire.NoToken)
	}
	data, err := os.ReadFile(d.Register.file)
	if err != nil || strings.Contains(string(data), a) || !strings.Contains(string(data), sum(a)) {
		t.Errorf("the file must hold the hash and not the token (%v)", err)
	}
	if info, err := os.Stat(d.Register.file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the file may be read by others: %v, %v", info.Mode(), err)
	}
	d = d.again(t)
	id := d.id(t, a)
	if err := d.Revoke(id); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		_, err = d.Who(a)
		wants(t, "revoked", err, wire.Revoked)
		d = d.again(t)
	}
	d.id(t, b)
	if err := d.Forget(id); err != nil {
		t.Fatal(err)
	}
	_, err = d.Who(a)
	wants(t, "forgotten", err, wire.NoToken)
	wants(t, "revoking nobody", d.Revoke(id), wire.NotFound)
	if out, err := json.Marshal(d.Devices()); err != nil || strings.Contains(string(out), sum(b)) {
		t.Errorf("the list shows hashes: %s", out)
	}
}

func TestOneTimeLink(t *testing.T) {
	d := open(t)
	key := d.Link()
	_, err := d.Enter("x", "")
	wants(t, "a wrong key", err, wire.WrongCode)
	token, err := d.Enter(key, "")
	if err != nil {
		t.Fatal(err)
	}
	if who, err := d.Who(token); err != nil || !who.Shop {
		t.Errorf("%+v, %v", who, err)
	}
	_, err = d.Enter(key, "")
	wants(t, "used", err, wire.WrongCode)
	if _, err := d.Enter(d.Link(), ""); err != nil || d.Link() == key {
		t.Errorf("the next link: %v", err)
	}
	if who, err := d.Who(d.paired(t, "phone")); err != nil || who.Shop {
		t.Errorf("a phone may see the Shop: %v", err)
	}
}

func TestDamagedListIsSetAside(t *testing.T) {
	for _, bad := range []string{"", "{", `{"version":2}`, `{"version":1,"devices":[null]}`} {
		dir := t.TempDir()
		file := filepath.Join(dir, "access.json")
		if err := os.WriteFile(file, []byte(bad), 0o600); err != nil {
			t.Fatal(err)
		}
		r, notice, err := Open(file, nil)
		if err != nil || !strings.Contains(notice, "paired again") || len(r.Devices()) != 0 {
			t.Errorf("%q: %q, %v", bad, notice, err)
		}
		if kept, err := filepath.Glob(file + ".bad-*"); err != nil || len(kept) != 1 {
			t.Errorf("%q: set aside as %v", bad, kept)
		}
	}
}

// A list that can't be written pairs nobody and leaves the code good.
func TestUnwritableList(t *testing.T) {
	d := open(t)
	d.Register.file = filepath.Join(t.TempDir(), "absent", "access.json")
	code := d.NewCode()
	_, err := d.Pair(wire.Pair{Code: code.Text, Device: "a", Name: "a"}, "")
	wants(t, "pairing", err, wire.NotNow)
	if d.Code() == nil || len(d.Devices()) != 0 {
		t.Errorf("code %v, devices %v", d.Code(), d.Devices())
	}
}

func keeper(t *testing.T) *server.Keeper {
	t.Helper()
	k, _, err := server.Open(&memory.Journal{}, &memory.Index{}, server.Options{NewEpoch: func() string { return "e1" }, Now: func() time.Time { return time.UnixMilli(5000) }})
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// as is the shop PC as one paired device sees it.
type as struct {
	*desk
	k     *server.Keeper
	token string
}

func (a as) Push(p wire.Push) (wire.PushAnswer, error) {
	who, err := a.Who(a.token)
	if err != nil {
		return wire.PushAnswer{}, err
	}
	return a.Register.Push(who.ID, p, a.k.Push)
}

func (a as) Pull(epoch string, cursor uint64, mark string, limit int) (wire.PullAnswer, error) {
	return a.k.Pull(epoch, cursor, mark, limit)
}

func write(p *phonetest.Phone, n int) {
	for range n {
		p.Write(`"x":1`)
	}
}

func merge(t *testing.T, into, from *phonetest.Phone) {
	t.Helper()
	if err := into.Merge(from); err != nil {
		t.Fatal(err)
	}
}

func settle(t *testing.T, p *phonetest.Phone, s phonetest.Server) {
	t.Helper()
	if err := p.Sync(s, 1); err != nil {
		t.Fatal(err)
	}
}

// What each device may give: its own without bound, another's to heal.
func TestAnothersEntries(t *testing.T) {
	d, k := open(t), keeper(t)
	a, b := phonetest.New("a", 3), phonetest.New("b", 3)
	sa, sb := as{d, k, d.paired(t, "a")}, as{d, k, d.paired(t, "b")}
	write(a, 5)
	settle(t, a, sa)
	settle(t, b, sb)

	write(a, 4) // reaches b as a book file, not the shop PC
	merge(t, b, a)
	settle(t, b, sb)
	if got := k.Have().Have["a"].Seq; got != 5 {
		t.Errorf("b continued a's line: %d entries, want 5", got)
	}
	settle(t, a, sa)
	settle(t, b, sb)
	if got := k.Have().Have["a"].Seq; got != 9 {
		t.Errorf("a itself brought %d, want 9", got)
	}

	k = keeper(t) // the disk is lost, the list is not
	sb.k = k
	b.Forget()
	settle(t, b, sb)
	if got := k.Have().Have["a"].Seq; got != 9 {
		t.Errorf("b healed %d of a's entries, want 9", got)
	}

	// The push that names another as its sender is refused whole.
	_, err := sb.Push(wire.Push{Device: "a"})
	wants(t, "as another", err, wire.NotYours)

	// A lost phone's last entries come from others once it is forgotten.
	write(a, 2)
	merge(t, b, a)
	id := d.id(t, sa.token)
	if err := d.Revoke(id); err != nil {
		t.Fatal(err)
	}
	wants(t, "the revoked phone", a.Sync(sa, 1), wire.Revoked)
	b.Forget()
	settle(t, b, sb)
	if got := k.Have().Have["a"].Seq; got != 9 {
		t.Errorf("revoked: %d, want 9", got)
	}
	if err := d.Forget(id); err != nil {
		t.Fatal(err)
	}
	b.Forget()
	settle(t, b, sb)
	if got := k.Have().Have["a"].Seq; got != 11 {
		t.Errorf("forgotten: %d, want 11", got)
	}
}

// A paired device is told what the devices that wrote are called, under every
// name they write under, and nothing of those that did not.
func TestDevicesAreCalledByName(t *testing.T) {
	d, k := open(t), keeper(t)
	pair := func(device, name string) as {
		got, err := d.Pair(wire.Pair{Code: d.NewCode().Text, Device: device, Name: name}, "192.0.2.9")
		if err != nil {
			t.Fatal(err)
		}
		return as{d, k, got.Token}
	}
	a, b := phonetest.New("a", 3), phonetest.New("b", 3)
	sa, sb := pair("a", "bench phone"), pair("b", "office")
	write(a, 2)
	settle(t, a, sa)
	write(b, 1)
	settle(t, b, sb)
	pair("c", "never wrote")
	if _, err := k.Push(wire.Push{Device: "stray", Runs: []wire.Run{{Device: "stray", From: 1, Before: wire.Chain{}.String(), Entries: []json.RawMessage{[]byte(`{"device":"stray","seq":1}`)}}}}); err != nil {
		t.Fatal(err)
	}
	fork := phonetest.New("a-2", 3) // with the token of a
	write(fork, 1)
	settle(t, fork, sa)
	got, err := sb.Push(wire.Push{Device: "b"})
	if want := map[string]string{"a": "bench phone", "a-2": "bench phone", "b": "office"}; err != nil || !maps.Equal(got.Names, want) {
		t.Errorf("%v, %v", got.Names, err)
	}
}

// A device whose line forked goes on under its new name with the same token;
// its entries under that name are its own.
func TestForkKeepsItsToken(t *testing.T) {
	d, k := open(t), keeper(t)
	a := phonetest.New("a", 500)
	s := as{d, k, d.paired(t, "a")}
	write(a, 3)
	settle(t, a, s)
	clone := a.Copy()
	write(a, 2)
	settle(t, a, s)
	clone.Write(`"other":1`)
	settle(t, clone, s)
	if clone.Name == "a" || k.Have().Have[clone.Name].Seq != 1 {
		t.Fatalf("the clone writes as %s: %v", clone.Name, k.Have().Have)
	}
	b := as{d, k, d.paired(t, "b")}
	_, err := b.Push(wire.Push{Device: clone.Name})
	wants(t, "another under the new name", err, wire.NotYours)
	d = d.again(t)
	if got := d.Devices()[0].Names; len(got) != 2 || got[0] != (server.Mark{Device: "a", Seq: 5}) || got[1] != (server.Mark{Device: clone.Name, Seq: 1, SinceMS: d.clock.UnixMilli()}) {
		t.Errorf("names %v", got)
	}
}

func TestNamesAreBounded(t *testing.T) {
	d, k := open(t), keeper(t)
	s := as{d, k, d.paired(t, "a")}
	for i := range maxNames {
		_, err := s.Push(wire.Push{Device: fmt.Sprint("n", i)})
		code := ""
		if i == maxNames-1 {
			code = wire.NotYours
		}
		wants(t, fmt.Sprint("name ", i), err, code)
	}
	for i := len(d.Devices()); i < maxDevices; i++ {
		d.rows = append(d.rows, &row{})
	}
	_, err := d.Pair(wire.Pair{Code: d.NewCode().Text, Device: "last", Name: "last"}, "")
	wants(t, "one device too many", err, wire.TooMany)
}

// The same phone paired again after it was revoked keeps its line.
func TestPairedAgain(t *testing.T) {
	d, k := open(t), keeper(t)
	a := phonetest.New("a", 500)
	first := as{d, k, d.paired(t, "a")}
	write(a, 3)
	settle(t, a, first)
	_, err := d.Pair(wire.Pair{Code: d.NewCode().Text, Device: "a", Name: "thief"}, "")
	wants(t, "a name in use", err, wire.NameTaken)
	if d.Code() == nil {
		t.Error("it cost the code")
	}
	if err := d.Revoke(d.id(t, first.token)); err != nil {
		t.Fatal(err)
	}
	second := as{d, k, d.paired(t, "a")}
	write(a, 2)
	settle(t, a, second)
	if got := d.Devices()[1].Names; len(got) != 1 || got[0] != (server.Mark{Device: "a", Seq: 5}) {
		t.Errorf("names %v", got)
	}
	_, err = d.Who(first.token)
	wants(t, "the old token", err, wire.Revoked)
}

// An error of the keeper reaches the phone as it is.
func TestKeepersErrors(t *testing.T) {
	d := open(t)
	id := d.id(t, d.paired(t, "a"))
	fault := errors.New("fault")
	if _, err := d.Push(id, wire.Push{Device: "a"}, func(wire.Push) (wire.PushAnswer, error) { return wire.PushAnswer{}, fault }); !errors.Is(err, fault) {
		t.Error(err)
	}
	_, err := d.Push(id, wire.Push{Device: "a/b"}, keeper(t).Push)
	wants(t, "a bad name", err, wire.BadAsk)
}
