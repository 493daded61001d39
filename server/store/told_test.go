package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"portwright/server"
	"portwright/server/journal"
	"portwright/wasm/sync/phonetest"
)

// Verify counts what the next start reads, and neither says more of a journal's
// cut end than the index bears out.
func TestVerifyTellsWhatAStartReads(t *testing.T) {
	base := filepath.Join(t.TempDir(), "data")
	s := open(t, base)
	p := phonetest.New("a", 50)
	write(p, 47)
	sync(t, p, s)
	shut(t, s)
	torn := func(b []byte) []byte { // a write that was cut
		return append(b, journal.AppendFrame(nil, []byte("never whole"))[:9]...)
	}
	const missing, unanswered = "Entries may be missing", "not answered for"
	for _, c := range []struct {
		name    string
		change  func([]byte) []byte
		noIndex bool
		entries uint64
		says    string // of the journal's end; "" for a journal whose end is whole
	}{
		{"one byte", flip(0.5), false, 46, ""},
		{"cut short", cut(0.3), false, 13, missing},
		{"cut short, index gone", cut(0.3), true, 13, missing},
		{"write cut off", torn, false, 47, unanswered},
		{"write cut off, index gone", torn, true, 47, missing},
	} {
		dir := filepath.Join(t.TempDir(), "data")
		if err := os.CopyFS(dir, os.DirFS(base)); err != nil {
			t.Fatal(err)
		}
		edit(t, dir, "journal/*.log", c.change)
		if c.noIndex {
			if err := os.RemoveAll(filepath.Join(dir, "db")); err != nil {
				t.Fatal(err)
			}
		}
		v, err := Verify(options(dir))
		if err != nil {
			t.Fatal(err)
		}
		j, _, err := journal.Open(filepath.Join(dir, "journal"), journal.Options{})
		if err != nil {
			t.Fatal(err)
		}
		read, err := server.TallyOf(j.Each)
		if err != nil || v.Tally.Entries != read.Entries || v.Tally.Digest() != read.Digest() || read.Entries != c.entries {
			t.Errorf("%s: verify counts %d entries, a repaired journal has %d (%v), want %d", c.name, v.Tally.Entries, read.Entries, err, c.entries)
		}
		if err := j.Close(); err != nil {
			t.Fatal(err)
		}
		said := strings.Join(v.Notes, "\n")
		for _, words := range []string{missing, unanswered} {
			if strings.Contains(said, words) != (c.says == words) {
				t.Errorf("%s: verify says %q, want %q", c.name, said, c.says)
			}
		}
		fresh := filepath.Join(t.TempDir(), "data")
		if err := os.CopyFS(fresh, os.DirFS(base)); err != nil {
			t.Fatal(err)
		}
		edit(t, fresh, "journal/*.log", c.change)
		if c.noIndex {
			if err := os.RemoveAll(filepath.Join(fresh, "db")); err != nil {
				t.Fatal(err)
			}
		}
		s := open(t, fresh)
		said = strings.Join(s.Notices, "\n")
		for _, words := range []string{missing, unanswered} {
			if strings.Contains(said, words) != (c.says == words) {
				t.Errorf("%s: the start says %q, want %q", c.name, said, c.says)
			}
		}
		shut(t, s)
	}
}

// An empty backup beside entries is told.
func TestVerifyTellsOfAnEmptyBackup(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := open(t, dir)
	n := s.Nightly("", nil)
	if _, _, err := n.Once(); err != nil || n.Held() != 0 {
		t.Fatal(n.Held(), err)
	}
	p := phonetest.New("a", 50)
	write(p, 6)
	sync(t, p, s)
	if n.Held() != 6 {
		t.Errorf("it asks for %d entries", n.Held())
	}
	shut(t, s)
	v, err := Verify(options(dir))
	if err != nil || v.Newest.IsZero() || v.Holds != 0 || !strings.Contains(strings.Join(v.Notes, "\n"), "The newest backup is empty") {
		t.Errorf("%+v, %v", v, err)
	}
}

// A refusal for want of room says how much is free and how much is wanted.
func TestNoSpaceSaysHowMuch(t *testing.T) {
	o := options(t.TempDir())
	free := uint64(1 << 30)
	o.Free = func() (uint64, error) { return free, nil }
	s, err := Open(o)
	if err != nil {
		t.Fatal(err)
	}
	defer shut(t, s)
	free = 511<<20 + 9
	p := phonetest.New("a", 50)
	write(p, 1)
	err = p.Sync(s.Keeper, 1)
	if said := server.MessageOf(err); server.CodeOf(err) != server.NoSpace || !strings.Contains(said, "512 MiB are to be free and 511 MiB are") {
		t.Errorf("refused with %v: %q", server.CodeOf(err), said)
	}
	if got, wanted, err := s.Keeper.Space(); err != nil || got != free || wanted != 512<<20 {
		t.Errorf("%d free, %d wanted, %v", got, wanted, err)
	}
}
