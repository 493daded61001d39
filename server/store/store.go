// Package store is the folder that a shop PC keeps its entries in, and the one
// place that knows how journal, index and backups lie in it:
//
//	in-use                lock: one program at a time
//	journal/              the entries (package journal)
//	db/                   the index (package badgerdb)
//	db.seal               how the index's files were when it was closed
//	db.bad-TIME/          an index that was damaged
//	backups/              nightly backups (package backup)
//	restored/             a restore that was not finished
//	replaced-TIME/        what stood here before a restore
//
// Open repairs what can be repaired and says what it did.
package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"portwright/server"
	"portwright/server/badgerdb"
	"portwright/server/disk"
	"portwright/server/journal"
	"portwright/server/memory"
)

// Options of a store.
type Options struct {
	Dir     string
	App     string                 // build of the app that is served
	Backups string                 // folder of the nightly backups; "": backups in Dir
	Now     func() time.Time       // nil: time.Now
	Free    func() (uint64, error) // bytes free on the disk; nil: the system is asked
	Reserve uint64                 // bytes that stay free; 0: server.DefaultReserve
	// Check goes through an index that was not closed, or differs from its
	// seal, in a child process: some damage ends a program. nil: such an index
	// is set aside and made again.
	Check func(dir string) (Checked, error)
}

// Checked is what was found in an index.
type Checked struct {
	Entries uint64 `json:"entries"`
	Digest  string `json:"digest"`
}

// CheckIndex goes through the index in a folder. It is for a child process.
func CheckIndex(dir string) (Checked, error) {
	s, err := badgerdb.Check(dir)
	return Checked{s.Head, server.Tally{Tips: s.Tips}.Digest()}, err
}

// Store is an open folder.
type Store struct {
	Keeper  *server.Keeper
	Report  server.Report
	Notices []string // what a person should know, in plain words

	opt     Options
	lock    *disk.Lock
	journal *journal.Journal
	torn    *journal.Damage // the journal's end, as it was found
	index   server.Index
	db      *badgerdb.DB // nil when the index is in memory
}

func (o Options) path(name string) string { return filepath.Join(o.Dir, name) }

func (o *Options) defaults() {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Free == nil {
		o.Free = func() (uint64, error) { return disk.Free(o.Dir) }
	}
	if o.Reserve == 0 {
		o.Reserve = server.DefaultReserve
	}
	if o.Check == nil {
		o.Check = func(string) (Checked, error) { return Checked{}, errors.New("it was not checked") }
	}
}

// take makes the folder and locks it.
func (o Options) take() (*disk.Lock, error) {
	if err := os.MkdirAll(o.Dir, 0o700); err != nil {
		return nil, fmt.Errorf("folder for the shop's data: %w", err)
	}
	lock, err := disk.TakeLock(o.Dir)
	if errors.Is(err, disk.ErrLocked) {
		return nil, fmt.Errorf("portwright is running already with the folder %s. Stop that one first, or name another folder with -data", o.Dir)
	}
	return lock, err
}

// Open opens the store in a folder, which is made when it is not there.
func Open(o Options) (*Store, error) {
	o.defaults()
	lock, err := o.take()
	if err != nil {
		return nil, err
	}
	s := &Store{opt: o, lock: lock}
	if err := s.open(); err != nil {
		return nil, errors.Join(err, s.close())
	}
	return s, nil
}

func (s *Store) notice(format string, args ...any) {
	s.Notices = append(s.Notices, fmt.Sprintf(format, args...))
}

func (s *Store) open() error {
	if err := s.opt.finishRestore(); err != nil {
		return err
	}
	j, found, err := journal.Open(s.opt.path("journal"), journal.Options{Now: s.opt.Now})
	if err != nil {
		return err
	}
	s.journal, s.torn = j, found.Torn
	doubt := ""
	for _, d := range found.Damage {
		doubt = "the journal was damaged"
		s.notice("The journal was damaged: %v. What else holds these entries gives them back.", d)
	}
	s.openIndex()
	if err = s.keep(doubt); err == nil || s.db == nil || errors.Is(err, server.ErrFull) {
		return err
	}
	if _, own := server.TallyOf(j.Each); own != nil { // the journal's fault, not the index's
		return err
	}
	s.notice("The index can't be used (%v).", err)
	s.spoiled(s.db.Close())
	s.fresh()
	return s.keep(doubt)
}

// keep starts the keeper.
func (s *Store) keep(doubt string) (err error) {
	s.Keeper, s.Report, err = server.Open(s.journal, s.index, server.Options{
		App: s.opt.App, Now: s.opt.Now, Free: s.opt.Free, Reserve: s.opt.Reserve, Doubt: doubt,
	})
	if err != nil {
		s.Keeper = nil
		return err
	}
	r := s.Report
	if s.torn != nil {
		same := s.db != nil && r.Entries > 0 && !r.Rebuilt && r.CaughtUp == 0
		s.notice("The end of the journal was cut off: %v. %s", *s.torn, cutOff(same))
	}
	if r.Salvaged > 0 {
		s.notice("The journal lacked %d entries; the index still had them and gave them back.", r.Salvaged)
	}
	if r.Rebuilt && r.Entries > 0 {
		s.notice("The index was made again from the journal: %d entries.", r.Entries)
	}
	if r.Loose > 0 {
		s.notice("%d entries stand behind a gap. The phones fill it when they come by.", r.Loose)
	}
	return nil
}

// little is the room below which the index is not opened on the disk: it maps
// its files, and a disk that ends below one ends the program.
const little = 64 << 20

// openIndex opens the index; a damaged one is set aside.
func (s *Store) openIndex() {
	free, err := s.opt.Free()
	if need := min(little, s.opt.Reserve); err == nil && free < need {
		s.notice("The disk has only %d MB left, so the index is kept in memory and nothing new is kept here. Make room and start again.", free>>20)
		s.index = &memory.Index{}
		return
	}
	dir := s.opt.path("db")
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		s.fresh()
		return
	}
	if unsealed := badgerdb.Unseal(dir, s.opt.path("db.seal")); unsealed != nil {
		if _, err := s.opt.Check(dir); err != nil {
			s.notice("The index is damaged (%v; %v).", unsealed, err)
			s.spoiled(nil)
		}
	}
	s.fresh()
}

// fresh opens the index's folder. Without one, the index lives in memory:
// reading and keeping go on.
func (s *Store) fresh() {
	db, err := badgerdb.Open(s.opt.path("db"))
	if err != nil {
		s.notice("The index can't be opened (%v).", err)
		s.spoiled(nil)
		db, err = badgerdb.Open(s.opt.path("db"))
	}
	if err != nil {
		s.notice("The index can't be made (%v); it is kept in memory until the next start.", err)
		s.db, s.index = nil, &memory.Index{}
		return
	}
	s.db, s.index = db, db
}

// spoiled sets the index's folder aside. Of those set aside the newest two stay.
func (s *Store) spoiled(closing error) {
	s.db = nil
	to := s.opt.path("db.bad-" + s.opt.Now().UTC().Format("20060102T150405.000000000"))
	if err := disk.Rename(s.opt.path("db"), to); err != nil && !errors.Is(err, fs.ErrNotExist) {
		s.notice("The damaged index can't be set aside (%v).", errors.Join(closing, err))
		return
	}
	old, err := filepath.Glob(s.opt.path("db.bad-*"))
	for i := 0; err == nil && i < len(old)-2; i++ {
		err = os.RemoveAll(old[i])
	}
	if err != nil {
		s.notice("An older damaged index can't be removed (%v).", err)
	}
}

// Close brings everything to the disk and gives the folder back.
func (s *Store) Close() error {
	err := s.Keeper.Close()
	return errors.Join(err, s.close())
}

func (s *Store) close() (err error) {
	if s.db != nil {
		if err = s.db.Close(); err == nil {
			err = badgerdb.Seal(s.opt.path("db"), s.opt.path("db.seal"))
		}
	}
	if s.journal != nil {
		err = errors.Join(err, s.journal.Close())
	}
	return errors.Join(err, s.lock.Release())
}
