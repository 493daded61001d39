// Package backup copies a journal into one file, proves the copy, and decides
// which copies stay.
//
// A backup is a file of the journal's own format (package journal) with all its
// records, and one record more at the end: the byte c8 and a Seal as JSON. A
// backup without its seal was cut short. It is not compressed: a changed byte
// then costs one record and not all behind it.
package backup

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"portwright/server"
	"portwright/server/disk"
	"portwright/server/journal"
)

// kindSeal is the first byte of the last record. The journal has no such kind.
const kindSeal = 0xc8

// Seal says what a backup holds.
type Seal struct {
	Entries uint64 `json:"entries"`
	Digest  string `json:"digest"`
	Epoch   string `json:"epoch"`
	AtMS    int64  `json:"at_ms"`
}

// Each tells the records of a journal.
type Each func(func(record []byte) error) error

// Write writes a backup of the records, reads it again, and gives it its name
// only when that holds what was written.
func Write(name string, each Each, at time.Time) (Seal, error) {
	part, err := os.CreateTemp(filepath.Dir(name), ".part-*")
	if err != nil {
		return Seal{}, err
	}
	defer os.Remove(part.Name())
	seal, err := write(part, each, at)
	if err := errors.Join(err, part.Sync(), part.Close()); err != nil {
		return Seal{}, fmt.Errorf("backup: %w", err)
	}
	if err := prove(part.Name(), seal); err != nil {
		return Seal{}, err
	}
	return seal, disk.Rename(part.Name(), name)
}

// prove reads a backup that was just written.
func prove(name string, want Seal) error {
	got, err := Verify(name)
	if err == nil && got != want {
		err = fmt.Errorf("it says %+v, and %+v was written", got, want)
	}
	if err != nil {
		return fmt.Errorf("the backup can't be read back, so it is not kept: %w", err)
	}
	return nil
}

func write(f *os.File, each Each, at time.Time) (Seal, error) {
	w := bufio.NewWriterSize(f, 64<<10)
	if _, err := w.Write(journal.Header()); err != nil {
		return Seal{}, err
	}
	var frame []byte
	put := func(record []byte) error {
		frame = journal.AppendFrame(frame[:0], record)
		_, err := w.Write(frame)
		return err
	}
	tally, err := server.TallyOf(func(f func([]byte) error) error {
		return each(func(record []byte) error {
			if err := put(record); err != nil {
				return err
			}
			return f(record)
		})
	})
	if err != nil {
		return Seal{}, err
	}
	seal := sealOf(tally)
	seal.AtMS = at.UnixMilli()
	b, err := json.Marshal(seal)
	if err != nil {
		return Seal{}, err
	}
	return seal, errors.Join(put(append([]byte{kindSeal}, b...)), w.Flush())
}

func sealOf(t server.Tally) Seal {
	return Seal{Entries: t.Entries, Digest: t.Digest(), Epoch: t.Epoch.ID}
}

// Verify reads all of a backup and compares it with its seal.
func Verify(name string) (Seal, error) {
	seal, err := Read(name, func([]byte) error { return nil })
	if err != nil {
		return Seal{}, err
	}
	return seal, nil
}

// tailBytes are enough to have a seal's record in them.
const tailBytes = 1 << 10

// Sealed returns what a backup's seal says, without reading the rest of it.
func Sealed(name string) (Seal, error) {
	f, err := os.Open(name)
	if err != nil {
		return Seal{}, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return Seal{}, err
	}
	at := max(0, info.Size()-tailBytes)
	b, err := io.ReadAll(io.NewSectionReader(f, at, info.Size()-at))
	if err != nil {
		return Seal{}, err
	}
	var last []byte
	if _, _, err := journal.Scan(b, func(record []byte) error { last = record; return nil }); err != nil {
		return Seal{}, err
	}
	if len(last) == 0 || last[0] != kindSeal {
		return Seal{}, fmt.Errorf("%s has no seal at its end", name)
	}
	var seal Seal
	return seal, json.Unmarshal(last[1:], &seal)
}

// Damaged is the error of a backup that is not what it was.
type Damaged struct {
	Name    string
	What    string
	Entries uint64 // that can be read
}

func (d *Damaged) Error() string {
	return fmt.Sprintf("%s is damaged: %s. %d entries can be read", d.Name, d.What, d.Entries)
}

// Read tells the records of a backup, and whether it is what its seal says. Of
// a damaged one, everything that can be read is told before the error, which
// is *Damaged.
func Read(name string, f func(record []byte) error) (Seal, error) {
	b, err := os.ReadFile(name)
	if err != nil {
		return Seal{}, err
	}
	var seal *Seal
	var bad, first int
	tally, err := server.TallyOf(func(tell func([]byte) error) error {
		var err error
		bad, first, err = journal.Scan(b, func(record []byte) error {
			if len(record) > 0 && record[0] == kindSeal {
				seal = &Seal{}
				return json.Unmarshal(record[1:], seal)
			}
			if err := f(record); err != nil {
				return err
			}
			return tell(record)
		})
		return err
	})
	if err != nil {
		return Seal{}, fmt.Errorf("%s: %w", name, err)
	}
	damaged := func(format string, args ...any) (Seal, error) {
		return Seal{}, &Damaged{Name: name, What: fmt.Sprintf(format, args...), Entries: tally.Entries}
	}
	if seal == nil && tally.Entries == 0 && tally.Epoch.ID == "" {
		return Seal{}, fmt.Errorf("%s is no backup of Portwright", name)
	}
	if bad > 0 {
		return damaged("%d bytes can't be read, the first at byte %d", bad, first)
	}
	if seal == nil {
		return damaged("its end is missing")
	}
	got := sealOf(tally)
	got.AtMS = seal.AtMS
	if got != *seal {
		return damaged("it was to hold %d entries with digest %.12s and holds %d with %.12s", seal.Entries, seal.Digest, got.Entries, got.Digest)
	}
	return *seal, nil
}
