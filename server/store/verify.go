package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"portwright/server"
	"portwright/server/backup"
	"portwright/server/disk"
	"portwright/server/journal"
)

// Verified is what Verify found. Nothing was changed.
type Verified struct {
	Tally    server.Tally
	Running  bool     // a server has the folder: its index was not looked at
	Notes    []string // worth saying, and no fault
	Problems []string
	Newest   time.Time // backup that is whole; zero: none
	Holds    uint64    // entries in that
}

// Verify reads everything that a folder holds: the journal, the index, the
// nightly backups.
func Verify(o Options) (Verified, error) {
	o.defaults()
	var v Verified
	if _, err := os.Stat(o.path("journal")); errors.Is(err, fs.ErrNotExist) {
		return v, fmt.Errorf("there is no journal in %s. Name the folder that portwright serve keeps its data in with -data", o.Dir)
	}
	lock, err := disk.TakeLock(o.Dir)
	switch {
	case errors.Is(err, disk.ErrLocked):
		v.Running = true
		v.note("Portwright is running with this folder; its index is looked at when it is stopped.")
	case err != nil:
		return v, err
	default:
		defer lock.Release()
	}
	tail := o.verifyJournal(&v)
	if !v.Running {
		bornOut := o.verifyIndex(&v)
		if tail > 0 {
			v.note("The last %d bytes of the journal are no whole record: its end was cut off. %s The next start removes them and keeps a copy.", tail, cutOff(bornOut))
		}
	}
	o.verifyBackups(&v)
	return v, nil
}

func (v *Verified) note(format string, args ...any) {
	v.Notes = append(v.Notes, fmt.Sprintf(format, args...))
}

func (v *Verified) problem(format string, args ...any) {
	v.Problems = append(v.Problems, fmt.Sprintf(format, args...))
}

// cutOff says what a journal whose end was cut off means. bornOut says that the
// index holds just what the journal does: a write is answered for once both
// have it.
func cutOff(bornOut bool) string {
	if bornOut {
		return "The index has nothing more either, so it was a write that was not answered for."
	}
	return "Entries may be missing; the phones give them back when they come by."
}

// verifyJournal counts what a start would read. It returns how many bytes at the
// very end are no record.
func (o Options) verifyJournal(v *Verified) (tail int) {
	var hurt *journal.Unreadable
	tally, err := server.TallyOf(func(f func([]byte) error) (err error) {
		tail, err = journal.Read(o.path("journal"), f)
		if errors.As(err, &hurt) {
			return nil
		}
		return err
	})
	v.Tally = tally
	switch {
	case err != nil:
		v.problem("The journal can't be read: %v.", err)
	case hurt != nil:
		v.problem("The journal is damaged: %v. The next start repairs what can be repaired and keeps a copy.", hurt)
	}
	if tally.Loose > 0 {
		v.note("%d entries stand behind a gap. The phones fill it when they come by.", tally.Loose)
	}
	return tail
}

// verifyIndex compares the index with the journal and says whether they hold
// the same entries.
func (o Options) verifyIndex(v *Verified) (same bool) {
	dir := o.path("db")
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		v.note("There is no index. The next start makes it from the journal.")
		return false
	}
	// On a copy: opening a damaged index may remove what it does not know.
	copied, err := os.MkdirTemp("", "portwright-verify-")
	if err == nil {
		defer os.RemoveAll(copied)
		err = os.CopyFS(copied, os.DirFS(dir))
	}
	if err != nil {
		v.problem("The index can't be copied to be looked at (%v).", err)
		return false
	}
	got, err := o.Check(copied)
	switch {
	case err != nil:
		v.problem("The index is damaged (%v). The next start makes it again from the journal.", err)
	case got.Entries != v.Tally.Entries || got.Digest != v.Tally.Digest():
		v.problem("The index holds %d entries and the journal %d. The next start makes them equal.", got.Entries, v.Tally.Entries)
	default:
		return got.Entries > 0
	}
	return false
}

func (o Options) verifyBackups(v *Verified) {
	dir := o.Backups
	if dir == "" {
		dir = o.path("backups")
	}
	names, err := filepath.Glob(filepath.Join(dir, "*.pwbackup"))
	if err != nil {
		v.problem("backups: %v", err)
	}
	slices.Sort(names)
	for _, name := range names {
		seal, err := backup.Verify(name)
		if err != nil {
			v.problem("%v.", err)
			continue
		}
		if at := time.UnixMilli(seal.AtMS); at.After(v.Newest) {
			v.Newest, v.Holds = at, seal.Entries
		}
	}
	if v.Newest.IsZero() {
		v.note("There is no backup in %s yet. Where portwright serve has another folder for them, name it with -backups.", dir)
	} else if v.Holds == 0 && v.Tally.Entries > 0 {
		v.note("The newest backup is empty. A new one is made within ten minutes while portwright serve runs, or now with portwright backup.")
	}
}

// Backup writes a backup of a folder, beside a server or without one.
func Backup(o Options, name string) (backup.Seal, error) {
	o.defaults()
	if _, err := os.Stat(o.path("journal")); errors.Is(err, fs.ErrNotExist) {
		return backup.Seal{}, fmt.Errorf("there is no journal in %s. Name the folder that portwright serve keeps its data in with -data", o.Dir)
	}
	if _, err := os.Stat(name); !errors.Is(err, fs.ErrNotExist) {
		return backup.Seal{}, fmt.Errorf("%s is there already; a backup is never written over", name)
	}
	return backup.Write(name, func(f func([]byte) error) error {
		_, err := journal.Read(o.path("journal"), f)
		if err != nil {
			err = fmt.Errorf("the journal is damaged: %w. Start portwright serve once, which repairs it, then make the backup", err)
		}
		return err
	}, o.Now())
}

// Nightly returns what makes the nightly backups of an open store, in dir or,
// when that is "", in its own folder.
func (s *Store) Nightly(dir string, tell func(backup.Seal, string, error)) backup.Nightly {
	if dir == "" {
		dir = s.opt.path("backups")
	}
	return backup.Nightly{
		Dir: dir, Each: s.Keeper.Records, Held: func() uint64 { return s.Keeper.Have().Entries }, Now: s.opt.Now, Tell: tell,
		Room: func() error { return s.Keeper.Room(0) },
	}
}
