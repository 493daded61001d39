package server

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"time"

	"portwright/server/wire"
)

// Report says what Open found and did.
type Report struct {
	Entries  uint64 // held
	Loose    uint64 // of these, behind a gap that only the phones can fill
	CaughtUp uint64 // were in the journal alone
	Salvaged uint64 // were in the index alone
	Rebuilt  bool   // the index was made anew
	Epoch    string // why a new epoch began, "" when none did
}

// Open returns a keeper of what a journal and an index hold, and makes the
// index equal to the journal.
func Open(j Journal, x Index, o Options) (*Keeper, Report, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.NewEpoch == nil {
		o.NewEpoch = rand.Text
	}
	if o.Reserve == 0 {
		o.Reserve = DefaultReserve
	}
	k := &Keeper{journal: j, index: x, opt: o, seen: map[string]Seen{}}
	report, err := k.start()
	if err != nil {
		return nil, report, err
	}
	seen, err := x.Seen()
	if err != nil {
		return nil, report, err
	}
	for _, s := range seen {
		k.seen[s.Device] = s
	}
	return k, report, nil
}

func (k *Keeper) start() (r Report, err error) {
	state, err := k.index.State()
	if err != nil {
		return r, err
	}
	agreed := state.Head == 0 && len(state.Tips) == 0
	k.ledger, err = k.read(func(l *ledger, _ []Row) error {
		agreed = agreed || l.agrees(state)
		return nil
	})
	if err != nil {
		return r, err
	}
	switch why := k.opt.Doubt; {
	case k.epoch.ID == "" && k.ledger.head == 0 && state.Head == 0:
		err = k.begin(&r, "a new store")
	case agreed && state.Head > 0 || k.ledger.head == 0 && state.Head == 0: // the index bears the journal out
		if why != "" || k.epoch.ID == "" {
			err = k.begin(&r, why)
		}
	case agreed:
		r.Rebuilt = true
		err = k.begin(&r, "the index was lost")
	default:
		r.Rebuilt = true
		err = k.rebuild(&r)
	}
	if err != nil {
		return r, err
	}
	if err := k.catchUp(&r); err != nil {
		return r, err
	}
	return r, k.count(&r)
}

// read goes through the journal, remembers the last epoch and returns the
// ledger of it all.
func (k *Keeper) read(each func(*ledger, []Row) error) (*ledger, error) {
	return fold(k.journal.Each, func(e Epoch) { k.epoch = e }, each)
}

// fold returns the ledger of all records. each is told of every entry that was
// new, and the rows that follow from it.
func fold(records func(func([]byte) error) error, epoch func(Epoch), each func(*ledger, []Row) error) (*ledger, error) {
	l := newLedger()
	err := records(func(b []byte) error {
		rec, err := ParseRecord(b)
		if err != nil {
			return fmt.Errorf("journal: %w", err)
		}
		if rec.Epoch != nil {
			epoch(*rec.Epoch)
			return nil
		}
		n := l.lines[rec.Device]
		if n == nil {
			n = l.own(rec.Device)
		}
		if rows := l.admit(n, rec.Device, rec.Seq, rec.Entry); rows != nil {
			return each(l, rows)
		}
		return nil
	})
	return l, err
}

// begin writes a new epoch.
func (k *Keeper) begin(r *Report, why string) error {
	e := Epoch{ID: k.opt.NewEpoch(), AtMS: k.nowMS(), Why: why}
	b, err := EncodeEpoch(e)
	if err != nil {
		return err
	}
	// On a full disk the name holds until the next start; reading goes on.
	if err := k.journal.Append(b); err != nil && !errors.Is(err, ErrFull) {
		return err
	}
	k.epoch, r.Epoch = e, why
	return nil
}

// rebuild gives the journal what only the index holds, and empties the index.
func (k *Keeper) rebuild(r *Report) error {
	var batch [][]byte
	size := 0
	flush := func() error {
		if len(batch) == 0 {
			return nil
		}
		err := k.journal.Append(batch...)
		batch, size = nil, 0
		return err
	}
	for cursor := uint64(0); ; {
		rows, err := k.index.After(cursor, wire.MaxEntries, wire.MaxBatchBytes)
		if err != nil {
			return err
		}
		if len(rows) == 0 {
			break
		}
		for _, row := range rows {
			cursor = row.Cursor
			if !k.ledger.holds(row.Device, row.Seq) {
				batch = append(batch, EncodeEntry(row.Device, row.Seq, row.Entry))
				size += len(row.Entry)
				r.Salvaged++
			}
		}
		if size >= wire.MaxBatchBytes {
			if err := flush(); err != nil {
				return err
			}
		}
	}
	if err := flush(); err != nil {
		return err
	}
	why := "the index did not fit the journal"
	if r.Salvaged > 0 {
		why = fmt.Sprintf("the journal had lost %d entries, which the index still held", r.Salvaged)
	}
	if err := k.begin(r, why); err != nil {
		return err
	}
	return k.index.Reset()
}

// catchUp puts what the index lacks into it.
func (k *Keeper) catchUp(r *Report) error {
	state, err := k.index.State()
	if err != nil {
		return err
	}
	if !r.Rebuilt && k.ledger.agrees(state) {
		return nil
	}
	var rows []Row
	size := 0
	flush := func() error {
		if len(rows) == 0 {
			return nil
		}
		err := k.index.Put(rows, nil)
		rows, size = nil, 0
		return err
	}
	l, err := k.read(func(l *ledger, more []Row) error {
		if l.head <= state.Head {
			return nil
		}
		r.CaughtUp++
		for _, row := range more {
			row.Entry = bytes.Clone(row.Entry)
			rows = append(rows, row)
			size += len(row.Entry)
		}
		if len(rows) >= wire.MaxEntries || size >= wire.MaxBatchBytes {
			return flush()
		}
		return nil
	})
	if err != nil {
		return err
	}
	k.ledger = l
	return flush()
}

// count compares the index with the ledger a last time and fills in the report.
func (k *Keeper) count(r *Report) error {
	state, err := k.index.State()
	if err != nil {
		return err
	}
	if !k.ledger.agrees(state) {
		return errors.New("the index differs from the journal after it was made equal")
	}
	r.Entries = k.ledger.head
	for _, n := range k.ledger.lines {
		r.Loose += uint64(len(n.loose))
	}
	if k.ledger.head == 0 {
		return nil
	}
	rows, err := k.index.After(k.ledger.head-1, 1, 1)
	if err != nil || len(rows) != 1 {
		return fmt.Errorf("the index lacks its newest entry: %w", err)
	}
	k.mark = wire.Mark(rows[0].Device, rows[0].Seq, rows[0].Entry)
	return nil
}
