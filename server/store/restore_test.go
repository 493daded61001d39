package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"portwright/server/wire"
	"portwright/wasm/sync/phonetest"
)

// The shop PC goes back to an old backup: phones that hold more give it back,
// phones that knew the old past start again, and all end alike.
func TestRestoreAndPhonesHealIt(t *testing.T) {
	dir, file := t.TempDir(), filepath.Join(t.TempDir(), "old.pwbackup")
	s := open(t, dir)
	a, b := phonetest.New("a", 50), phonetest.New("b", 50)
	write(a, 120)
	sync(t, a, s)
	sync(t, b, s)
	if _, err := Backup(options(dir), file); err != nil { // beside the running server
		t.Fatal(err)
	}
	old := s.Keeper.Have()
	write(a, 30)
	write(b, 40)
	sync(t, a, s)
	sync(t, b, s)
	sync(t, a, s)
	full := s.Keeper.Have()
	shut(t, s)

	r, err := Restore(options(dir), file, false)
	if err != nil {
		t.Fatal(err)
	}
	if r.Entries != 120 || r.Digest != old.Digest || r.Damage != nil {
		t.Errorf("restored %+v", r)
	}
	for _, name := range []string{"journal", "db", "db.seal"} {
		if _, err := os.Stat(filepath.Join(r.Replaced, name)); err != nil {
			t.Errorf("what stood there: %v", err)
		}
	}
	s = open(t, dir)
	defer shut(t, s)
	have := s.Keeper.Have()
	if have.Digest != old.Digest || have.Epoch == full.Epoch || have.Entries != 120 {
		t.Errorf("after the restore: %+v", have)
	}
	for _, p := range []*phonetest.Phone{b, a, b} {
		sync(t, p, s)
	}
	if got := s.Keeper.Have(); got.Digest != full.Digest || wire.Digest(a.Have()) != full.Digest || wire.Digest(b.Have()) != full.Digest {
		t.Errorf("healed to %+v, want %+v", got.Have, full.Have)
	}
	// What was replaced is a whole folder of its own.
	before := open(t, r.Replaced)
	if got := before.Keeper.Have(); got.Digest != full.Digest {
		t.Errorf("what was replaced holds %d entries, want %d", got.Entries, full.Entries)
	}
	shut(t, before)
}

func TestRestoreRefuses(t *testing.T) {
	dir, file := t.TempDir(), filepath.Join(t.TempDir(), "b.pwbackup")
	s := open(t, dir)
	p := phonetest.New("a", 50)
	write(p, 20)
	sync(t, p, s)
	digest := s.Keeper.Have().Digest
	if _, err := Backup(options(dir), file); err != nil {
		t.Fatal(err)
	}
	shut(t, s)
	hurt := filepath.Join(t.TempDir(), "hurt.pwbackup")
	if err := os.WriteFile(hurt, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b[len(b)/2] ^= 1
	if err := os.WriteFile(hurt, b, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, file, says string }{
		{"no file", file + "x", "no such file"},
		{"not a backup", filepath.Join(dir, "db.seal"), "no backup of Portwright"},
		{"damaged", hurt, "19 entries can be read"},
	} {
		if _, err := Restore(options(dir), c.file, false); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.name, err, c.says)
		}
		s := open(t, dir)
		if s.Keeper.Have().Digest != digest || len(s.Notices) > 0 {
			t.Errorf("%s: something was changed: %q", c.name, s.Notices)
		}
		shut(t, s)
	}
	r, err := Restore(options(dir), hurt, true)
	if err != nil || r.Damage == nil || r.Entries != 19 {
		t.Fatalf("taken all the same: %+v, %v", r, err)
	}
	s = open(t, dir)
	defer shut(t, s)
	sync(t, p, s)
	if s.Keeper.Have().Digest != digest {
		t.Error("the phone did not fill the gap")
	}
}

// A restore that is cut between any two of its steps leaves the old state or
// the new one, and never an empty store.
func TestRestoreCutAtEveryStep(t *testing.T) {
	base := t.TempDir()
	dir, file := filepath.Join(base, "data"), filepath.Join(base, "b.pwbackup")
	s := open(t, dir)
	p := phonetest.New("a", 50)
	write(p, 20)
	sync(t, p, s)
	old := s.Keeper.Have().Digest
	if _, err := Backup(options(dir), file); err != nil {
		t.Fatal(err)
	}
	write(p, 5)
	sync(t, p, s)
	now := s.Keeper.Have().Digest
	shut(t, s)
	steps := []struct {
		name string
		do   func(o Options) error
		want string
	}{
		{"begun", func(o Options) error { return os.MkdirAll(o.path("restored/journal"), 0o700) }, now},
		{"unpacked", func(o Options) error {
			_, err := o.unpack(file, false)
			return err
		}, now},
		{"unpacked, not proved", func(o Options) error {
			_, err := o.unpack(file, false)
			return errors.Join(err, os.Remove(o.path("restored/ready")))
		}, now},
		{"index set aside", func(o Options) error {
			_, err := o.unpack(file, false)
			return errors.Join(err, os.Rename(o.path("db"), o.path("db.gone")))
		}, now},
		{"journal set aside", func(o Options) error {
			_, err := o.unpack(file, false)
			return errors.Join(err, os.Rename(o.path("db"), o.path("db.gone")), os.Rename(o.path("journal"), o.path("journal.gone")))
		}, old},
		{"moved in", func(o Options) error {
			_, err := o.unpack(file, false)
			return errors.Join(err, os.Rename(o.path("db"), o.path("db.gone")), os.Rename(o.path("journal"), o.path("journal.gone")),
				os.Rename(o.path("restored/journal"), o.path("journal")))
		}, old},
	}
	for _, step := range steps {
		at := filepath.Join(t.TempDir(), "data")
		if err := os.CopyFS(at, os.DirFS(dir)); err != nil {
			t.Fatal(err)
		}
		o := options(at)
		o.defaults()
		if err := step.do(o); err != nil {
			t.Fatalf("%s: %v", step.name, err)
		}
		s := open(t, at)
		if got := s.Keeper.Have().Digest; got != step.want {
			t.Errorf("%s: digest %.12s, want %.12s", step.name, got, step.want)
		}
		shut(t, s)
		if _, err := os.Stat(filepath.Join(at, "restored")); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: what was unpacked is left", step.name)
		}
	}
}

// Into an empty folder, as on a new PC.
func TestRestoreOnANewPC(t *testing.T) {
	old, fresh, file := t.TempDir(), filepath.Join(t.TempDir(), "new"), filepath.Join(t.TempDir(), "b.pwbackup")
	s := open(t, old)
	p := phonetest.New("a", 50)
	write(p, 20)
	sync(t, p, s)
	shut(t, s)
	if _, err := Backup(options(old), file); err != nil {
		t.Fatal(err)
	}
	if r, err := Restore(options(fresh), file, false); err != nil || r.Replaced != "" || r.Entries != 20 {
		t.Fatalf("%+v, %v", r, err)
	}
	s = open(t, fresh)
	defer shut(t, s)
	if s.Keeper.Have().Digest != wire.Digest(p.Have()) {
		t.Error("something else was restored")
	}
}

func TestVerifyAndBackupSay(t *testing.T) {
	base := t.TempDir()
	if _, err := Verify(options(base)); err == nil || !strings.Contains(err.Error(), "there is no journal in "+base) {
		t.Errorf("nothing there: %v", err)
	}
	if _, err := Backup(options(base), filepath.Join(base, "b")); err == nil || !strings.Contains(err.Error(), "there is no journal in "+base) {
		t.Errorf("nothing there: %v", err)
	}
	dir := filepath.Join(base, "data")
	s := open(t, dir)
	p := phonetest.New("a", 50)
	write(p, 20)
	sync(t, p, s)
	v, err := Verify(options(dir))
	if err != nil || !v.Running || v.Tally.Entries != 20 || len(v.Problems) > 0 || !strings.Contains(strings.Join(v.Notes, " "), "is running with this folder") {
		t.Errorf("beside a server: %+v, %v", v, err)
	}
	n := s.Nightly("", nil)
	seal, name, err := n.Once()
	if err != nil || seal.Entries != 20 {
		t.Fatal(err)
	}
	if _, err := Backup(options(dir), name); err == nil || !strings.Contains(err.Error(), "never written over") {
		t.Errorf("over another: %v", err)
	}
	shut(t, s)
	if v, err := Verify(options(dir)); err != nil || v.Running || len(v.Problems)+len(v.Notes) > 0 || v.Newest.UnixMilli() != seal.AtMS {
		t.Errorf("whole: %+v, %v", v, err)
	}
	s = open(t, dir) // the seal is still good: no child has to look
	if len(s.Notices) > 0 {
		t.Errorf("after verify: %q", s.Notices)
	}
	shut(t, s)
	for _, c := range []struct {
		name, pattern string
		change        func([]byte) []byte
		says          string
	}{
		{"index", "db/*.sst", flip(0.3), "The index is damaged"},
		{"index without its list", "db/MANIFEST", cut(0.5), "The index holds 0 entries and the journal 20"},
		{"journal", "journal/*.log", flip(0.5), "The journal is damaged"},
		{"journal shorter", "journal/*.log", cut(0.5), "The index holds 20 entries and the journal"},
		{"backup", "backups/*.pwbackup", flip(0.5), "is damaged: "},
	} {
		at := filepath.Join(t.TempDir(), "data")
		if err := os.CopyFS(at, os.DirFS(dir)); err != nil {
			t.Fatal(err)
		}
		edit(t, at, c.pattern, c.change)
		v, err := Verify(options(at))
		if said := strings.Join(v.Problems, "\n"); err != nil || !strings.Contains(said, c.says) {
			t.Errorf("%s: %q, %v; want %q", c.name, said, err, c.says)
		}
		if again, err := Verify(options(at)); err != nil || len(again.Problems) != len(v.Problems) {
			t.Errorf("%s: verify changed something: %q, then %q", c.name, v.Problems, again.Problems)
		}
		if _, err := Backup(options(at), filepath.Join(base, c.name)); (err != nil) != (c.name == "journal") {
			t.Errorf("%s: a backup of it: %v", c.name, err)
		}
	}
}
