// Package faulttest is a shop PC's disk on which everything goes wrong that can.
package faulttest

import (
	"bytes"
	"errors"
	"slices"

	"portwright/server"
	"portwright/server/memory"
)

// ErrKilled is what a step on a disk that is dead ends with.
var ErrKilled = errors.New("killed")

// Disk is a shop PC's disk: what is on it outlives the server. The server dies
// at the step at which Fuse burns down.
type Disk struct {
	Records [][]byte
	Index   *memory.Index
	Fuse    int // steps until the server is killed; negative: it is not
	Dead    bool
	Full    bool
	Failing bool // the index can't be written
}

// NewDisk returns an empty disk.
func NewDisk() *Disk { return &Disk{Index: &memory.Index{}, Fuse: -1} }

// Open starts the server on the disk.
func (d *Disk) Open(o server.Options) (*server.Keeper, server.Report, error) {
	return server.Open(journal{d}, index{d.Index, d}, o)
}

// step is a place where the power may go.
func (d *Disk) step() error {
	if d.Dead {
		return ErrKilled
	}
	if d.Fuse == 0 {
		d.Dead = true
		return ErrKilled
	}
	d.Fuse--
	return nil
}

// journal is the journal on the disk. A record that was cut when the server was
// killed is not there at the next start, which journal's own tests hold.
type journal struct{ *Disk }

func (j journal) Append(records ...[]byte) error {
	if err := j.step(); err != nil {
		return err
	}
	if j.Full {
		return server.ErrFull
	}
	for _, r := range records {
		j.Records = append(j.Records, bytes.Clone(r))
		if err := j.step(); err != nil { // written, perhaps in part; not answered
			return err
		}
	}
	return nil
}

func (j journal) Each(f func([]byte) error) error {
	for _, r := range j.Records {
		if err := f(r); err != nil {
			return err
		}
	}
	return nil
}

// index is the index on the disk. A Put may be cut after any of its rows.
type index struct {
	*memory.Index
	d *Disk
}

func (x index) Put(rows []server.Row, seen []server.Seen) error {
	if x.d.Failing {
		return errors.New("the index is not writable")
	}
	for i := range rows {
		if err := x.d.step(); err != nil {
			return err
		}
		if err := x.Index.Put(rows[i:i+1], nil); err != nil {
			return err
		}
	}
	if err := x.d.step(); err != nil {
		return err
	}
	return x.Index.Put(nil, seen)
}

// CopyOf returns the disk as a copy of its folder holds it.
func (d *Disk) CopyOf() *Disk {
	c := NewDisk()
	c.Records = slices.Clone(d.Records)
	rows, _ := d.Index.After(0, 1<<30, 1<<40)
	_ = c.Index.Put(rows, nil)
	return c
}

// Roll takes the index back to its first n rows, as a torn page does.
func (d *Disk) Roll(n int) {
	rows, _ := d.Index.After(0, 1<<30, 1<<40)
	back := &memory.Index{}
	for _, r := range rows[:n] {
		if tip, _ := back.State(); r.Linked && r.Seq > tip.Tips[r.Device].Seq+1 {
			r.Linked, r.Chain = false, [32]byte{} // a later row linked it
		}
		_ = back.Put([]server.Row{r}, nil)
	}
	d.Index = back
}
