package phonetest

import (
	"bytes"
	"maps"
	"slices"

	"portwright/server/wire"
)

// line is the entries of one device that a phone holds, some of them perhaps
// behind a gap.
type line struct {
	at     map[uint64][]byte
	chains []wire.Chain // chain(0), chain(1) ... without a gap
}

func newLine() *line {
	return &line{at: map[uint64][]byte{}, chains: make([]wire.Chain, 1)}
}

// tip is how far the entries go without a gap.
func (l *line) tip() uint64 { return uint64(len(l.chains) - 1) }

func (l *line) put(seq uint64, entry []byte) {
	l.at[seq] = entry
	for {
		next, ok := l.at[l.tip()+1]
		if !ok {
			return
		}
		l.chains = append(l.chains, l.chains[l.tip()].Next(next))
	}
}

// cut takes out the entries from seq on and returns them in order.
func (l *line) cut(seq uint64) [][]byte {
	var out [][]byte
	for _, s := range slices.Sorted(maps.Keys(l.at)) {
		if s >= seq {
			out = append(out, l.at[s])
			delete(l.at, s)
		}
	}
	if seq <= l.tip() {
		l.chains = l.chains[:seq]
	}
	return out
}

func (l *line) same(seq uint64, entry []byte) bool { return bytes.Equal(l.at[seq], entry) }

// take brings an entry into the phone's book. Where the phone has another entry
// under that number, its own and what follows become a branch.
func (p *Phone) take(entry []byte) {
	device, seq, err := wire.Address(entry)
	if err != nil {
		p.Fault("took %s: %v", entry, err)
		return
	}
	l := p.line(device)
	if old, ok := l.at[seq]; ok {
		if bytes.Equal(old, entry) {
			return
		}
		p.branch(device, seq)
	}
	l.put(seq, entry)
}

// branch gives the entries of a device from seq on their new name. Every phone
// that holds them gives them the same.
func (p *Phone) branch(device string, seq uint64) {
	l := p.line(device)
	first, ok := l.at[seq]
	if !ok {
		return
	}
	name := wire.BranchName(device, seq, first)
	if device == p.Name {
		p.Name = name
	}
	p.Renamed++
	p.again = true
	delete(p.probes, device)
	delete(p.agreed, device)
	for _, e := range l.cut(seq) {
		_, old, err := wire.Address(e)
		if err != nil {
			p.Fault("%v", err)
			return
		}
		again, err := wire.Readdress(e, name, old-seq+1)
		if err != nil {
			p.Fault("%v", err)
			return
		}
		p.take(again)
	}
}
