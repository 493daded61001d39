// Package memory is an index that lives in memory: for verifying a backup, for
// a shop PC whose disk has no room left for one, and for tests.
package memory

import (
	"bytes"
	"fmt"
	"maps"
	"sync"

	"portwright/server"
)

// Index is a server.Index in memory. The zero Index is empty.
type Index struct {
	mu    sync.RWMutex
	rows  []server.Row // by cursor
	at    map[place]int
	tips  map[string]server.Tip
	about map[string]server.Seen
}

type place struct {
	device string
	seq    uint64
}

// Put implements server.Index.
func (x *Index) Put(rows []server.Row, seen []server.Seen) error {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.at == nil {
		x.at, x.tips, x.about = map[place]int{}, map[string]server.Tip{}, map[string]server.Seen{}
	}
	for _, r := range rows {
		r.Entry = bytes.Clone(r.Entry)
		switch n := uint64(len(x.rows)); {
		case r.Cursor == n+1:
			x.rows = append(x.rows, r)
		case r.Cursor > 0 && r.Cursor <= n:
			x.rows[r.Cursor-1] = r
		default:
			return fmt.Errorf("entry %d comes after %d", r.Cursor, n)
		}
		x.at[place{r.Device, r.Seq}] = int(r.Cursor - 1)
		if r.Linked && r.Seq > x.tips[r.Device].Seq {
			x.tips[r.Device] = server.Tip{Seq: r.Seq, Chain: r.Chain}
		}
	}
	for _, s := range seen {
		x.about[s.Device] = s
	}
	return nil
}

// At implements server.Index.
func (x *Index) At(device string, seq uint64) (server.Row, bool, error) {
	x.mu.RLock()
	defer x.mu.RUnlock()
	i, ok := x.at[place{device, seq}]
	if !ok {
		return server.Row{}, false, nil
	}
	return x.rows[i], true, nil
}

// After implements server.Index.
func (x *Index) After(cursor uint64, limit, size int) ([]server.Row, error) {
	x.mu.RLock()
	defer x.mu.RUnlock()
	if cursor >= uint64(len(x.rows)) {
		return nil, nil
	}
	var out []server.Row
	for _, r := range x.rows[cursor:] {
		if len(out) == limit || (len(out) > 0 && size < len(r.Entry)) {
			break
		}
		size -= len(r.Entry)
		out = append(out, r)
	}
	return out, nil
}

// State implements server.Index.
func (x *Index) State() (server.State, error) {
	x.mu.RLock()
	defer x.mu.RUnlock()
	return server.State{Head: uint64(len(x.rows)), Tips: maps.Clone(x.tips)}, nil
}

// Seen implements server.Index.
func (x *Index) Seen() ([]server.Seen, error) {
	x.mu.RLock()
	defer x.mu.RUnlock()
	var out []server.Seen
	for _, s := range x.about {
		out = append(out, s)
	}
	return out, nil
}

// Reset implements server.Index.
func (x *Index) Reset() error {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.rows, x.at, x.tips, x.about = nil, nil, nil, nil
	return nil
}
