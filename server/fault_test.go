package server_test

import (
	"bytes"
	"errors"
	"slices"

	"portwright/server"
	"portwright/server/memory"
)

var errKilled = errors.New("killed")

// disk is a shop PC's disk: what is on it outlives the server. The server dies
// at the step at which fuse burns down.
type disk struct {
	records [][]byte
	index   *memory.Index
	fuse    int // steps until the server is killed; negative: it is not
	dead    bool
	full    bool
	failing bool // the index can't be written
}

// step is a place where the power may go.
func (d *disk) step() error {
	if d.dead {
		return errKilled
	}
	if d.fuse == 0 {
		d.dead = true
		return errKilled
	}
	d.fuse--
	return nil
}

// journal is the journal on the disk. A record that was cut when the server was
// killed is not there at the next start, which journal's own tests hold.
type journal struct{ *disk }

func (j journal) Append(records ...[]byte) error {
	if err := j.step(); err != nil {
		return err
	}
	if j.full {
		return server.ErrFull
	}
	for _, r := range records {
		j.records = append(j.records, bytes.Clone(r))
		if err := j.step(); err != nil { // written, perhaps in part; not answered
			return err
		}
	}
	return nil
}

func (j journal) Each(f func([]byte) error) error {
	for _, r := range j.records {
		if err := f(r); err != nil {
			return err
		}
	}
	return nil
}

// index is the index on the disk. A Put may be cut after any of its rows.
type index struct {
	*memory.Index
	d *disk
}

func (x index) Put(rows []server.Row, seen []server.Seen) error {
	if x.d.failing {
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

// copyOf returns the disk as a copy of its folder holds it.
func (d *disk) copyOf() *disk {
	c := &disk{records: slices.Clone(d.records), index: &memory.Index{}, fuse: -1}
	rows, _ := d.index.After(0, 1<<30, 1<<40)
	_ = c.index.Put(rows, nil)
	return c
}

// roll takes the index back to its first n rows, as a torn page does.
func (d *disk) roll(n int) {
	rows, _ := d.index.After(0, 1<<30, 1<<40)
	back := &memory.Index{}
	for _, r := range rows[:n] {
		if tip, _ := back.State(); r.Linked && r.Seq > tip.Tips[r.Device].Seq+1 {
			r.Linked, r.Chain = false, [32]byte{} // a later row linked it
		}
		_ = back.Put([]server.Row{r}, nil)
	}
	d.index = back
}
