package access

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/server"
	"portwright/server/wire"
)

// A revocation that can't be written holds at once, says that it ends with the
// server, and is written as soon as it can be.
func TestRevokedWithoutAList(t *testing.T) {
	d := open(t)
	a, b := d.paired(t, "a"), d.paired(t, "b")
	id := d.id(t, a)
	good := d.file
	d.file = filepath.Join(t.TempDir(), "absent", "access.json")
	err := d.Revoke(id)
	wants(t, "revoking", err, wire.NotNow)
	if said := server.MessageOf(err); !strings.Contains(said, "refused from now on") || !strings.Contains(said, "after a restart it would be let in again") {
		t.Errorf("said %q", said)
	}
	_, err = d.Who(a)
	wants(t, "refused", err, wire.Revoked)
	if got := d.Unwritten(); len(got) != 1 || got[0] != id {
		t.Errorf("unwritten %v", got)
	}
	err = d.Forget(d.id(t, b))
	wants(t, "forgetting", err, wire.NotNow)
	if !strings.Contains(server.MessageOf(err), "b is still on the list") || len(d.Devices()) != 2 {
		t.Errorf("%v, %v", err, d.Devices())
	}
	d.file = good
	if got := d.Unwritten(); len(got) != 0 {
		t.Errorf("with room again: %v", got)
	}
	if data, err := os.ReadFile(good); err != nil || !strings.Contains(string(data), "revoked_ms") {
		t.Errorf("the file lacks it: %v", err)
	}
	d.file = filepath.Join(t.TempDir(), "absent", "access.json")
	if err := d.Revoke(id); err != nil {
		t.Errorf("revoked and written already: %v", err)
	}
}

func TestNamesAreNumbered(t *testing.T) {
	d := open(t)
	long := strings.Repeat("é", 40)
	for i, name := range []string{"Bench phone", " bench Phone ", "Bench phone", long, long} {
		if _, err := d.Pair(wire.Pair{Code: d.NewCode().Text, Device: string(rune('a' + i)), Name: name}, ""); err != nil {
			t.Fatal(err)
		}
		d.clock = d.clock.Add(time.Minute)
	}
	want := []string{"Bench phone", "bench Phone 2", "Bench phone 3", long, strings.Repeat("é", 38) + " 2"}
	for i, got := range d.Devices() {
		if got.Name != want[i] || CheckName(got.Name) != nil || i > 0 && got.PairedMS <= d.Devices()[i-1].PairedMS {
			t.Errorf("row %d is %q, want %q", i, got.Name, want[i])
		}
	}
	// The same phone again, once it was revoked, is no second one.
	if err := d.Revoke(d.Devices()[0].ID); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Pair(wire.Pair{Code: d.NewCode().Text, Device: "a", Name: "Bench phone"}, ""); err != nil || d.Devices()[5].Name != "Bench phone" {
		t.Errorf("paired again: %v, %q", err, d.Devices()[5].Name)
	}
}

func TestWhatBecameOfACode(t *testing.T) {
	d := open(t)
	says := func(want string) {
		t.Helper()
		if got := d.CodeEnded(); got != want {
			t.Errorf("said %q, want %q", got, want)
		}
	}
	says("")
	d.paired(t, "a")
	says("The code was used by a.")
	d.NewCode()
	says("")
	for _, want := range []string{"4 more tries.", "3 more tries.", "2 more tries.", "1 more try.", "no tries left: make a new code"} {
		_, err := d.Pair(wire.Pair{Code: wrong(d.Code()), Device: "b", Name: "b"}, "192.0.2.9")
		if said := server.MessageOf(err); !strings.Contains(said, want) {
			t.Errorf("said %q, want %q", said, want)
		}
	}
	says("The code ended after 5 wrong tries, the last from 192.0.2.9.")
	d.NewCode()
	d.clock = d.clock.Add(CodeFor)
	says("The code ended after 10 minutes.")
}

// A browser that comes by another link has one row, and other browsers keep theirs.
func TestAnotherLinkInOneBrowser(t *testing.T) {
	d := open(t)
	enter := func(old string) string {
		t.Helper()
		token, err := d.Enter(d.Link(), old)
		if err != nil {
			t.Fatal(err)
		}
		return token
	}
	phone, first := d.paired(t, "phone"), enter("")
	other := enter("")
	second := enter(first)
	_, err := d.Who(first)
	wants(t, "the old token", err, wire.NoToken)
	enter(phone) // no browser's: its row stays
	for _, token := range []string{phone, other, second} {
		d.id(t, token)
	}
	if got := d.Devices(); len(got) != 4 || got[1].Name != "Browser on the shop PC 2" || got[2].Name != "Browser on the shop PC" {
		t.Errorf("%+v", got)
	}
	d.file = filepath.Join(t.TempDir(), "absent", "access.json")
	_, err = d.Enter(d.Link(), second)
	wants(t, "without a list", err, wire.NotNow)
	d.id(t, second)
}
