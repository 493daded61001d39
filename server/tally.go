package server

import "portwright/server/wire"

// Tally is what a journal, or a copy of one, holds.
type Tally struct {
	Epoch   Epoch
	Entries uint64 // distinct
	Loose   uint64 // of these, behind a gap
	Tips    map[string]Tip
}

// TallyOf goes through the records that each tells.
func TallyOf(each func(func(record []byte) error) error) (Tally, error) {
	var t Tally
	l, err := fold(each, func(e Epoch) { t.Epoch = e }, func(*ledger, []Row) error { return nil })
	if err != nil {
		return t, err
	}
	t.Entries, t.Tips = l.head, map[string]Tip{}
	for device, n := range l.lines {
		if n.tip.Seq > 0 {
			t.Tips[device] = n.tip
		}
		t.Loose += uint64(len(n.loose))
	}
	return t, nil
}

// Digest returns wire.Digest of the tips.
func (t Tally) Digest() string {
	have := wire.Have{}
	for device, tip := range t.Tips {
		have[device] = wire.Tip{Seq: tip.Seq, Chain: tip.Chain.String()}
	}
	return wire.Digest(have)
}
