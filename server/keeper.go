package server

import (
	"sync"
	"time"

	"portwright/server/wire"
)

// DefaultReserve is how much of the disk is left free: room for what else
// the PC does, and for the index, which may die where the disk ends.
const DefaultReserve = 512 << 20

// Options of a Keeper.
type Options struct {
	App      string                 // build of the app that the shop PC serves
	Now      func() time.Time       // nil: time.Now
	NewEpoch func() string          // a name that was never used; nil: random
	Free     func() (uint64, error) // bytes free on the disk; nil: not asked
	Reserve  uint64                 // bytes that stay free; 0: DefaultReserve
	Doubt    string                 // why the journal may lack what it once held, "" when it is known to be whole
}

// Keeper keeps the entries of all devices. One push is written at a time; what
// reads goes on beside it.
type Keeper struct {
	journal Journal
	index   Index
	opt     Options
	epoch   Epoch

	writing sync.Mutex // one writer; held over the disk
	pending *staged    // in the journal, not yet in the index; under writing

	mu     sync.RWMutex // what follows is what readers see
	ledger *ledger
	mark   string // of the entry at ledger.head
	seen   map[string]Seen
	unseen bool // seen differs from the index's
}

// staged is a push that was checked: what to write, and what then holds.
type staged struct {
	ledger  *ledger
	records [][]byte
	rows    []Row
	bytes   int // of entries
}

func (k *Keeper) nowMS() int64 { return k.opt.Now().UnixMilli() }

// Epoch returns the store's epoch.
func (k *Keeper) Epoch() Epoch { return k.epoch }

// Have answers how things stand.
func (k *Keeper) Have() wire.HaveAnswer {
	k.mu.RLock()
	defer k.mu.RUnlock()
	have := k.ledger.have()
	return wire.HaveAnswer{
		Epoch: k.epoch.ID, Have: have, Head: k.ledger.head, Entries: k.ledger.head,
		Digest: wire.Digest(have), ServerMS: k.nowMS(),
	}
}

// Devices returns what each device that has entries here said of itself last.
func (k *Keeper) Devices() []Seen {
	k.mu.RLock()
	defer k.mu.RUnlock()
	out := make([]Seen, 0, len(k.seen))
	for _, s := range k.seen {
		out = append(out, s)
	}
	return out
}

// note remembers what a device said of itself. Names of which nothing is kept
// are not remembered: anybody can send any number of them.
func (k *Keeper) note(p wire.Push, nowMS int64) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.ledger.lines[p.Device] == nil {
		return
	}
	k.seen[p.Device] = Seen{Device: p.Device, App: clip(p.App), Schema: p.Schema, AtMS: nowMS, OffsetMS: nowMS - p.NowMS}
	k.unseen = true
}

// Records tells the records of the journal while nothing is written, for a
// backup.
func (k *Keeper) Records(f func(record []byte) error) error {
	k.writing.Lock()
	defer k.writing.Unlock()
	return k.journal.Each(f)
}

// Room says whether there is room for so many bytes and what grows with them.
func (k *Keeper) Room(bytes int) error { return k.room(bytes) }

// clip bounds what a stranger's text may take.
func clip(s string) string { return s[:min(len(s), 64)] }

// Close writes what is not yet in the index. The journal and the index are
// their owner's to close.
func (k *Keeper) Close() error {
	k.writing.Lock()
	defer k.writing.Unlock()
	if err := k.settle(); err != nil {
		return err
	}
	k.mu.RLock()
	unseen := k.unseen
	k.mu.RUnlock()
	if !unseen {
		return nil
	}
	return k.index.Put(nil, k.Devices())
}

// settle brings into the index what only the journal has, after an index that
// failed. The caller holds writing.
func (k *Keeper) settle() error {
	if k.pending == nil {
		return nil
	}
	if err := k.index.Put(k.pending.rows, nil); err != nil {
		return &Error{Code: NotNow, Message: "The shop PC can't write its index at the moment; nothing is lost. Try again.", Err: err}
	}
	k.publish(k.pending)
	k.pending = nil
	return nil
}

// publish lets readers see what was written.
func (k *Keeper) publish(s *staged) {
	mark := ""
	for _, r := range s.rows {
		if r.Cursor == s.ledger.head {
			mark = wire.Mark(r.Device, r.Seq, r.Entry)
		}
	}
	k.mu.Lock()
	k.ledger, k.mark = s.ledger, mark
	k.mu.Unlock()
}
