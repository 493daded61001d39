package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"portwright/server"
	"portwright/server/journal"
	"portwright/server/wire"
	"portwright/wasm/sync/phonetest"
)

// TestMain is also the children that these tests start.
func TestMain(m *testing.M) {
	if len(os.Args) > 2 {
		switch os.Args[1] {
		case "check":
			c, err := CheckIndex(os.Args[2])
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
			json.NewEncoder(os.Stdout).Encode(c)
			os.Exit(0)
		case "push":
			pushForEver(os.Args[2], os.Args[3])
		}
	}
	os.Exit(m.Run())
}

// child goes through an index as cmd/portwright does.
func child(dir string) (c Checked, err error) {
	cmd := exec.Command(os.Args[0], "check", dir)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		first, _, _ := strings.Cut(said.String(), "\n")
		return c, fmt.Errorf("%w: %.100s", err, first)
	}
	return c, json.Unmarshal(out.Bytes(), &c)
}

func plenty() (uint64, error) { return 1 << 40, nil }

func options(dir string) Options { return Options{Dir: dir, Check: child, Free: plenty} }

func open(t *testing.T, dir string) *Store {
	t.Helper()
	s, err := Open(options(dir))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.lock.Release() })
	return s
}

func shut(t *testing.T, s *Store) {
	t.Helper()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

func sync(t *testing.T, p *phonetest.Phone, s *Store) {
	t.Helper()
	if err := p.Sync(s.Keeper, 1); err != nil {
		t.Fatal(err)
	}
}

func write(p *phonetest.Phone, n int) {
	for i := range n {
		p.Write(fmt.Sprintf(`"body": "<%d %s>"`, i, strings.Repeat("x", 150)))
	}
}

func TestFirstAndNextStart(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "data")
	s := open(t, dir)
	if s.Report.Epoch != "a new store" || len(s.Notices) > 0 {
		t.Errorf("first: %+v, %q", s.Report, s.Notices)
	}
	epoch := s.Keeper.Epoch()
	p := phonetest.New("a", 100)
	write(p, 250)
	sync(t, p, s)
	shut(t, s)
	s = open(t, dir)
	defer shut(t, s)
	if want := (server.Report{Entries: 250}); s.Report != want || len(s.Notices) > 0 || s.Keeper.Epoch() != epoch {
		t.Errorf("next: %+v, %q", s.Report, s.Notices)
	}
	if got := s.Keeper.Have().Digest; got != wire.Digest(p.Have()) {
		t.Errorf("digest %s", got)
	}
	if seen := s.Keeper.Devices(); len(seen) != 1 || seen[0].Device != "a" {
		t.Errorf("seen %+v", seen)
	}
}

func TestSecondOpenerIsTold(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	defer shut(t, s)
	for name, again := range map[string]func() error{
		"open":    func() error { _, err := Open(options(dir)); return err },
		"restore": func() error { _, err := Restore(options(dir), "x", false); return err },
	} {
		if err := again(); err == nil || !strings.Contains(err.Error(), "running already with the folder "+dir) {
			t.Errorf("%s: %v", name, err)
		}
	}
	p := phonetest.New("a", 10)
	write(p, 3)
	sync(t, p, s) // the first goes on
}

// edit changes the newest file that fits the pattern.
func edit(t *testing.T, dir, pattern string, change func([]byte) []byte) {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(dir, pattern))
	if err != nil || len(all) == 0 {
		t.Fatalf("no %s (%v)", pattern, err)
	}
	b, err := os.ReadFile(all[len(all)-1])
	if err == nil {
		err = os.WriteFile(all[len(all)-1], change(b), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func flip(part float64) func([]byte) []byte {
	return func(b []byte) []byte {
		n := len(bytes.TrimRight(b, "\x00"))
		b[int(float64(n)*part)] ^= 0x20
		return b
	}
}

func cut(part float64) func([]byte) []byte {
	return func(b []byte) []byte { return b[:int(float64(len(bytes.TrimRight(b, "\x00")))*part)] }
}

// Each kind of damage to journal or index is mended by a start: no crash, no
// entry missing, a plain notice where something was damaged; and the start after
// that has nothing to tell.
func TestDamageIsMended(t *testing.T) {
	base := t.TempDir()
	closed, killed := filepath.Join(base, "closed"), filepath.Join(base, "killed")
	n := 3000
	if testing.Short() {
		n = 600
	}
	s := open(t, closed)
	p := phonetest.New("phone", 60)
	write(p, n)
	sync(t, p, s)
	if err := os.CopyFS(killed, os.DirFS(closed)); err != nil { // what a program that dies leaves
		t.Fatal(err)
	}
	shut(t, s)
	digest := wire.Digest(p.Have())
	remove := func(pattern string) func(*testing.T, string) {
		return func(t *testing.T, dir string) {
			all, _ := filepath.Glob(filepath.Join(dir, pattern))
			if len(all) == 0 {
				t.Fatalf("no %s", pattern)
			}
			for _, f := range all {
				if err := os.RemoveAll(f); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	change := func(pattern string, f func([]byte) []byte) func(*testing.T, string) {
		return func(t *testing.T, dir string) { edit(t, dir, pattern, f) }
	}
	for _, c := range []struct {
		name   string
		of     string
		harm   func(*testing.T, string)
		notice string // part of the notices; "": none
		needs  bool   // both copies were hurt: the phone brings what is missing
	}{
		{"untouched", closed, func(*testing.T, string) {}, "", false},
		{"killed", killed, func(*testing.T, string) {}, "", false},
		{"torn page in the memtable", killed, change("db/*.mem", func(b []byte) []byte {
			at := len(bytes.TrimRight(b, "\x00")) / 2 &^ 4095
			clear(b[at : at+4096])
			return b
		}), "", false},
		{"memtable cut", killed, change("db/*.mem", cut(0.4)), "", false},
		{"memtable bit", killed, change("db/*.mem", flip(0.5)), "", false},
		{"memtable gone", killed, remove("db/*.mem"), "made again from the journal: ", false},
		{"table cut", closed, change("db/*.sst", cut(0.5)), "index is damaged", false},
		{"table bit", closed, change("db/*.sst", flip(0.3)), "index is damaged", false},
		{"table emptied", closed, change("db/*.sst", cut(0)), "index is damaged", false},
		{"table gone", closed, remove("db/*.sst"), "index is damaged", false},
		{"manifest cut", closed, change("db/MANIFEST", cut(0.9)), "index is damaged", false},
		{"manifest bit", closed, change("db/MANIFEST", flip(0.5)), "index is damaged", false},
		{"manifest gone", closed, remove("db/MANIFEST"), "made again from the journal: ", false},
		{"index gone", closed, remove("db"), "made again from the journal: ", false},
		{"seal gone", closed, remove("db.seal"), "", false},
		{"seal rotten", closed, change("db.seal", flip(0.5)), "", false},
		{"journal's end cut", closed, change("journal/*.log", func(b []byte) []byte { return b[:len(b)-7] }), "lacked 1 entries; the index still had them", false},
		{"journal's half cut", closed, change("journal/*.log", cut(0.5)), "the index still had them", false},
		{"journal bit", closed, change("journal/*.log", flip(0.5)), "lacked 1 entries; the index still had them", false},
		{"journal page zeroed", closed, change("journal/*.log", func(b []byte) []byte { clear(b[8192 : 8192+4096]); return b }), "The journal was damaged: ", false},
		{"journal gone", closed, remove("journal"), fmt.Sprintf("lacked %d entries", n), false},
		{"journal bit, killed", killed, change("journal/*.log", flip(0.4)), "lacked 1 entries", false},
		{"journal bit and index gone", closed, func(t *testing.T, dir string) {
			edit(t, dir, "journal/*.log", flip(0.5))
			remove("db")(t, dir)
		}, "entries stand behind a gap", true},
		{"all gone", closed, func(t *testing.T, dir string) { remove("journal")(t, dir); remove("db")(t, dir) }, "", true},
	} {
		dir := filepath.Join(t.TempDir(), "data")
		if err := os.CopyFS(dir, os.DirFS(c.of)); err != nil {
			t.Fatal(err)
		}
		c.harm(t, dir)
		s, err := Open(options(dir))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		said := strings.Join(s.Notices, "\n")
		if (c.notice == "") != (said == "") || !strings.Contains(said, c.notice) {
			t.Errorf("%s: notices %q, want %q", c.name, s.Notices, c.notice)
		}
		if c.needs {
			if s.Keeper.Have().Digest == digest {
				t.Errorf("%s: nothing was missing", c.name)
			}
			sync(t, p, s) // nobody asked the phone to
		}
		if have := s.Keeper.Have(); have.Digest != digest || have.Entries != uint64(n) {
			t.Errorf("%s: %d entries, digest %.12s; want %d, %.12s", c.name, have.Entries, have.Digest, n, digest)
		}
		q := phonetest.New("other", 500)
		sync(t, q, s)
		if got := wire.Digest(q.Have()); got != digest {
			t.Errorf("%s: a fresh phone pulls digest %.12s", c.name, got)
		}
		shut(t, s)
		again := open(t, dir)
		if len(again.Notices) > 0 || again.Report.Rebuilt || again.Report.Epoch != "" || again.Keeper.Have().Digest != digest {
			t.Errorf("%s, the start after: %+v, %q", c.name, again.Report, again.Notices)
		}
		shut(t, again)
		if v, err := Verify(options(dir)); err != nil || len(v.Problems) > 0 {
			t.Errorf("%s, verified: %v, %q", c.name, err, v.Problems)
		}
	}
}

// A damaged index is set aside and not thrown away; only the newest two stay.
func TestDamagedIndexIsSetAside(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	p := phonetest.New("a", 10)
	write(p, 10)
	sync(t, p, s)
	shut(t, s)
	for i := range 4 {
		edit(t, dir, "db/MANIFEST", flip(0.5))
		s := open(t, dir)
		if s.Keeper.Have().Entries != 10 {
			t.Errorf("%d entries", s.Keeper.Have().Entries)
		}
		shut(t, s)
		aside, _ := filepath.Glob(filepath.Join(dir, "db.bad-*"))
		if len(aside) != min(i+1, 2) {
			t.Errorf("%d damaged indexes are kept after %d", len(aside), i+1)
		}
	}
}

// Without a child to look through it, an index that was not closed is not
// trusted.
func TestWithoutACheckTheIndexIsMadeAgain(t *testing.T) {
	base := t.TempDir()
	s := open(t, filepath.Join(base, "a"))
	p := phonetest.New("a", 10)
	write(p, 10)
	sync(t, p, s)
	if err := os.CopyFS(filepath.Join(base, "b"), os.DirFS(filepath.Join(base, "a"))); err != nil {
		t.Fatal(err)
	}
	shut(t, s)
	s, err := Open(Options{Dir: filepath.Join(base, "b"), Free: plenty})
	if err != nil {
		t.Fatal(err)
	}
	defer shut(t, s)
	if !s.Report.Rebuilt || s.Keeper.Have().Entries != 10 {
		t.Errorf("%+v", s.Report)
	}
}

// A journal of a newer program is left as it is, and so is its index.
func TestNewerJournal(t *testing.T) {
	dir := t.TempDir()
	shut(t, open(t, dir))
	j, _, err := journal.Open(filepath.Join(dir, "journal"), journal.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(j.Append([]byte{77}), j.Close()); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(options(dir)); err == nil || !strings.Contains(err.Error(), "newer Portwright") {
		t.Errorf("%v", err)
	}
	names, _ := filepath.Glob(filepath.Join(dir, "*"))
	if slices.ContainsFunc(names, func(s string) bool { return strings.Contains(s, "bad") }) {
		t.Errorf("the index was set aside: %v", names)
	}
}
