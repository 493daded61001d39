package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"crypto/rand"

	"portwright/server"
	"portwright/server/backup"
	"portwright/server/disk"
	"portwright/server/journal"
	"portwright/server/memory"
	"portwright/server/wire"
)

// Restored says what a restore brought back.
type Restored struct {
	Entries  uint64
	Digest   string
	Replaced string // folder with what stood here before, "" when there was nothing
	Damage   error  // of the backup, when it was taken all the same
}

// Restore puts a backup in the place of what a folder holds. What stood there
// is kept beside. A new epoch begins: the phones give back what came after the
// backup. A damaged backup is an error, unless damaged says to take what can
// be read of it.
func Restore(o Options, file string, damaged bool) (Restored, error) {
	o.defaults()
	lock, err := o.take()
	if err != nil {
		return Restored{}, err
	}
	defer lock.Release()
	if err := o.finishRestore(); err != nil {
		return Restored{}, err
	}
	r, err := o.unpack(file, damaged)
	if err != nil {
		return Restored{}, errors.Join(err, os.RemoveAll(o.path("restored")))
	}
	r.Replaced, err = o.replace()
	return r, err
}

// unpack makes a journal of a backup in the folder restored, and proves it.
func (o Options) unpack(file string, damaged bool) (Restored, error) {
	dir := o.path("restored")
	if err := os.RemoveAll(dir); err != nil {
		return Restored{}, err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return Restored{}, err
	}
	j, _, err := journal.Open(filepath.Join(dir, "journal"), journal.Options{Now: o.Now})
	if err != nil {
		return Restored{}, err
	}
	w := batch{journal: j}
	_, err = backup.Read(file, w.add)
	var hurt *backup.Damaged
	if errors.As(err, &hurt) && damaged {
		err = nil
	}
	if err == nil {
		err = w.end(server.Epoch{ID: rand.Text(), AtMS: o.Now().UnixMilli(), Why: "restored from " + filepath.Base(file)})
	}
	if err := errors.Join(err, j.Close()); err != nil {
		return Restored{}, err
	}
	r, err := o.prove(file)
	if hurt != nil {
		r.Damage = hurt
	}
	if err != nil {
		return Restored{}, err
	}
	return r, disk.WriteFile(filepath.Join(dir, "ready"), nil)
}

// batch gathers records, so that not each is synced alone.
type batch struct {
	journal *journal.Journal
	records [][]byte
	size    int
}

func (w *batch) add(record []byte) error {
	w.records = append(w.records, record)
	if w.size += len(record); w.size < wire.MaxBatchBytes {
		return nil
	}
	return w.flush()
}

func (w *batch) flush() error {
	err := w.journal.Append(w.records...)
	w.records, w.size = nil, 0
	return err
}

func (w *batch) end(e server.Epoch) error {
	b, err := server.EncodeEpoch(e)
	if err != nil {
		return err
	}
	w.records = append(w.records, b)
	return w.flush()
}

// prove loads what was unpacked as a server would, and compares it with the
// backup.
func (o Options) prove(file string) (Restored, error) {
	want, err := server.TallyOf(func(f func([]byte) error) error {
		_, err := backup.Read(file, f)
		var hurt *backup.Damaged
		if errors.As(err, &hurt) {
			return nil
		}
		return err
	})
	if err != nil {
		return Restored{}, err
	}
	j, found, err := journal.Open(o.path("restored/journal"), journal.Options{Now: o.Now})
	if err != nil {
		return Restored{}, err
	}
	defer j.Close()
	k, report, err := server.Open(j, &memory.Index{}, server.Options{Now: o.Now})
	if err != nil {
		return Restored{}, err
	}
	have := k.Have()
	if have.Entries != want.Entries || have.Digest != want.Digest() || report.Loose != want.Loose || found.Torn != nil || len(found.Damage) > 0 {
		return Restored{}, fmt.Errorf("what was unpacked differs from %s: %d entries with digest %s, want %d with %s", file, have.Entries, have.Digest, want.Entries, want.Digest())
	}
	return Restored{Entries: have.Entries, Digest: have.Digest}, nil
}

// replace sets aside what stands here and moves what was unpacked in. Cut
// anywhere, finishRestore of the next start ends it.
func (o Options) replace() (aside string, err error) {
	for _, name := range []string{"db.seal", "db", "journal"} {
		if _, err := os.Lstat(o.path(name)); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if aside == "" {
			aside = o.path("replaced-" + o.Now().UTC().Format("20060102T150405.000000000"))
			if err := os.Mkdir(aside, 0o700); err != nil {
				return "", err
			}
		}
		if err := disk.Rename(o.path(name), filepath.Join(aside, name)); err != nil {
			return aside, err
		}
	}
	return aside, o.finishRestore()
}

// finishRestore ends a restore that was cut between its steps: when what was
// here is set aside already, what was unpacked takes its place; else it is as if
// the restore had not been asked for.
func (o Options) finishRestore() error {
	_, err := os.Stat(o.path("restored"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	_, here := os.Stat(o.path("journal"))
	_, ready := os.Stat(o.path("restored/ready"))
	if errors.Is(here, fs.ErrNotExist) && ready == nil {
		if err := disk.Rename(o.path("restored/journal"), o.path("journal")); err != nil {
			return err
		}
	}
	return os.RemoveAll(o.path("restored"))
}
