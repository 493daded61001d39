package server

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"portwright/server/wire"
)

// Push takes in what a phone sends. What of it can't be taken is told run by
// run; an error means that nothing was taken. When it returns without one, the
// entries are on the disk.
func (k *Keeper) Push(p wire.Push) (wire.PushAnswer, error) {
	runs, err := checkPush(p)
	if err != nil {
		return wire.PushAnswer{}, err
	}
	k.writing.Lock()
	defer k.writing.Unlock()
	if err := k.settle(); err != nil {
		return wire.PushAnswer{}, err
	}
	answer := wire.PushAnswer{App: k.opt.App}
	s := &staged{ledger: k.ledger.copy()}
	for i, r := range runs {
		known, refusal, err := k.stage(s, r)
		if err != nil {
			return wire.PushAnswer{}, fmt.Errorf("run %d: %w", i, err)
		}
		answer.Known += known
		if refusal != nil {
			answer.Refused = append(answer.Refused, *refusal)
		}
	}
	if len(s.records) > 0 {
		if err := k.write(s); err != nil {
			return wire.PushAnswer{}, err
		}
	}
	answer.Taken = len(s.records)
	answer.ServerMS = k.nowMS()
	k.note(p, answer.ServerMS)
	k.mu.RLock()
	defer k.mu.RUnlock()
	answer.Epoch, answer.Have, answer.Head, answer.Mark = k.epoch.ID, k.ledger.have(), k.ledger.head, k.mark
	return answer, nil
}

// run is a wire.Run whose form was checked.
type run struct {
	device  string
	from    uint64
	before  wire.Chain
	entries []json.RawMessage // up to the first bad one
	bad     *wire.Refusal     // what is wrong with that
}

// checkPush checks form and bounds, without looking at what is held.
func checkPush(p wire.Push) ([]run, error) {
	if err := wire.CheckDevice(p.Device); err != nil {
		return nil, &Error{Code: BadAsk, Field: "device", Message: "device: " + err.Error() + "."}
	}
	if len(p.Runs) > wire.MaxRuns {
		return nil, &Error{Code: TooLarge, Field: "runs", Message: fmt.Sprintf("runs: %d are given; one push has up to %d. Send the rest with the next.", len(p.Runs), wire.MaxRuns)}
	}
	count, size := 0, 0
	named := map[string]bool{}
	runs := make([]run, len(p.Runs))
	for i, r := range p.Runs {
		field := fmt.Sprintf("runs[%d]", i)
		bad := func(name, format string, args ...any) ([]run, error) {
			return nil, &Error{Code: BadAsk, Field: field + "." + name, Message: field + "." + name + ": " + fmt.Sprintf(format, args...) + "."}
		}
		if err := wire.CheckDevice(r.Device); err != nil {
			return bad("device", "%v", err)
		}
		if named[r.Device] {
			return bad("device", "%s stands in two runs of one push; join them, or send one after the other", r.Device)
		}
		named[r.Device] = true
		if r.From == 0 || r.From > wire.MaxSeq {
			return bad("from", "is %d; sequence numbers count from 1 up to 2^53", r.From)
		}
		before, err := wire.ParseChain(r.Before)
		if err != nil {
			return bad("before", "%v", err)
		}
		count += len(r.Entries)
		for j, e := range r.Entries {
			if len(e) > wire.MaxEntryBytes {
				return nil, &Error{Code: TooLarge, Field: field, Message: fmt.Sprintf("%s: entry %d of %s has %d bytes; one entry has up to %d.", field, r.From+uint64(j), r.Device, len(e), wire.MaxEntryBytes)}
			}
			size += len(e)
		}
		runs[i] = run{device: r.Device, from: r.From, before: before, entries: r.Entries}
		runs[i].check()
	}
	if count > wire.MaxEntries {
		return nil, &Error{Code: TooLarge, Field: "runs", Message: fmt.Sprintf("runs: %d entries are given; one push has up to %d. Send the rest with the next.", count, wire.MaxEntries)}
	}
	if size > wire.MaxBatchBytes {
		return nil, &Error{Code: TooLarge, Field: "runs", Message: fmt.Sprintf("runs: the entries have %d bytes; one push has up to %d. Send the rest with the next.", size, wire.MaxBatchBytes)}
	}
	return runs, nil
}

// check ends the run before its first bad entry.
func (r *run) check() {
	for i, e := range r.entries {
		seq := r.from + uint64(i)
		device, number, err := wire.Address(e)
		switch {
		case err != nil:
		case device != r.device:
			err = fmt.Errorf("the entry is of device %s", device)
		case number != seq:
			err = fmt.Errorf("the entry has sequence number %d", number)
		default:
			continue
		}
		r.entries = r.entries[:i]
		r.bad = &wire.Refusal{Device: r.device, Seq: seq, Code: wire.BadEntry, Message: fmt.Sprintf("Entry %d of device %s is not kept: %v.", seq, r.device, err)}
		return
	}
}

func (r *run) refuse(seq uint64, code, format string, args ...any) *wire.Refusal {
	return &wire.Refusal{Device: r.device, Seq: seq, Code: code, Message: fmt.Sprintf(format, args...)}
}

// stage compares a run with what is held and adds what is new to s.
func (k *Keeper) stage(s *staged, r run) (known int, refusal *wire.Refusal, err error) {
	tip := k.ledger.line(r.device).tip
	if r.from > tip.Seq+1 {
		return 0, r.refuse(r.from, wire.Gap, "Entries %d to %d of device %s are missing here.", tip.Seq+1, r.from-1, r.device), nil
	}
	chain, err := k.chainAt(r.device, r.from-1, tip)
	if err != nil {
		return 0, nil, err
	}
	if chain != r.before {
		return 0, r.refuse(r.from, wire.ForkBefore, "Device %s has other entries here before number %d.", r.device, r.from), nil
	}
	known, differs, err := k.overlap(r, tip)
	if err != nil {
		return 0, nil, err
	}
	if differs > 0 {
		return known, r.fork(differs), nil
	}
	if known == len(r.entries) {
		return known, r.bad, nil
	}
	more, refusal := s.take(r, known)
	if refusal == nil {
		refusal = r.bad
	}
	return known + more, refusal, nil
}

func (r *run) fork(seq uint64) *wire.Refusal {
	return r.refuse(seq, wire.Fork, "Device %s has another entry %d here: it was copied or restored from a backup. Its entries from there on are sent again under a new name.", r.device, seq)
}

// take adds the entries of a run from its n-th on, which come right after what
// is held. An entry that was loose must be the same.
func (s *staged) take(r run, n int) (known int, refusal *wire.Refusal) {
	own := s.ledger.own(r.device)
	for i := n; i < len(r.entries); i++ {
		e, seq := []byte(r.entries[i]), r.from+uint64(i)
		if seq <= own.tip.Seq { // was loose until an entry of this run linked it
			if !bytes.Equal(s.linked(r.device, seq), e) {
				return known, r.fork(seq)
			}
			known++
			continue
		}
		s.rows = append(s.rows, s.ledger.admit(own, r.device, seq, e)...)
		s.records = append(s.records, EncodeEntry(r.device, seq, e))
		s.bytes += len(e)
	}
	return known, nil
}

// linked returns the entry of a row that is staged.
func (s *staged) linked(device string, seq uint64) []byte {
	for i := range s.rows {
		if s.rows[i].Device == device && s.rows[i].Seq == seq {
			return s.rows[i].Entry
		}
	}
	return nil
}

// chainAt returns chain(seq) of a device, seq being up to its tip.
func (k *Keeper) chainAt(device string, seq uint64, tip Tip) (wire.Chain, error) {
	switch seq {
	case 0:
		return wire.Chain{}, nil
	case tip.Seq:
		return tip.Chain, nil
	}
	row, err := k.row(device, seq)
	return row.Chain, err
}

// row returns a row that must be there.
func (k *Keeper) row(device string, seq uint64) (Row, error) {
	row, ok, err := k.index.At(device, seq)
	if err == nil && (!ok || !row.Linked) {
		err = fmt.Errorf("the index lacks entry %d of device %s", seq, device)
	}
	return row, err
}

// overlap compares the first entries of a run with those held. It returns how
// many are the same and the first sequence number that differs, 0 if none.
func (k *Keeper) overlap(r run, tip Tip) (same int, differs uint64, err error) {
	n := int(min(uint64(len(r.entries)), tip.Seq+1-r.from))
	if n == 0 {
		return 0, 0, nil
	}
	chain := r.before
	for _, e := range r.entries[:n] {
		chain = chain.Next(e)
	}
	held, err := k.chainAt(r.device, r.from+uint64(n)-1, tip)
	if err != nil || chain == held {
		return n, 0, err
	}
	for i, e := range r.entries[:n] {
		seq := r.from + uint64(i)
		row, err := k.row(r.device, seq)
		if err != nil {
			return 0, 0, err
		}
		if !bytes.Equal(row.Entry, e) {
			return i, seq, nil
		}
	}
	return 0, 0, fmt.Errorf("the index has chain %s for entry %d of device %s, which its entries don't give", held, r.from+uint64(n)-1, r.device)
}

// write brings a staged push to the disk: the journal, then the index.
func (k *Keeper) write(s *staged) error {
	if err := k.room(s.bytes); err != nil {
		return err
	}
	if err := k.journal.Append(s.records...); err != nil {
		if errors.Is(err, ErrFull) {
			return k.noSpace(k.opt.Reserve, err)
		}
		return &Error{Code: NotNow, Message: "The shop PC can't write its journal; nothing new is kept there until it is started again. What the phone keeps is safe.", Err: err}
	}
	k.pending = s
	return k.settle()
}

// noSpace is the error of a disk with too little room; wanted in bytes.
func (k *Keeper) noSpace(wanted uint64, err error) error {
	room := fmt.Sprintf("%d MiB are to be free", (wanted+1<<20-1)>>20)
	if free, _, err := k.Space(); err == nil {
		room += fmt.Sprintf(" and %d MiB are", free>>20)
	}
	return &Error{Code: NoSpace, Err: err, Message: "The shop PC's disk is nearly full (" + room + "): nothing new is kept there until there is room. What the phone keeps is safe, and reading goes on."}
}

// Space returns how many bytes the disk has free, and how many it must have for
// anything new to be kept.
func (k *Keeper) Space() (free, wanted uint64, err error) {
	if k.opt.Free == nil {
		return 0, 0, nil
	}
	free, err = k.opt.Free()
	return free, k.opt.Reserve, err
}

// room says whether the disk has room for a batch and what grows with it.
func (k *Keeper) room(batch int) error {
	free, wanted, err := k.Space()
	if err != nil {
		return &Error{Code: NotNow, Message: "The shop PC can't tell how much room its disk has; nothing new is kept until it can.", Err: err}
	}
	if need := max(wanted, 3*uint64(batch)); free < need && k.opt.Free != nil {
		return k.noSpace(need, fmt.Errorf("%d bytes free, %d wanted", free, need))
	}
	return nil
}
