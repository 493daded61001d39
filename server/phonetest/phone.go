// Package phonetest is a phone as the protocol (server/PROTOCOL.md) asks it to
// be, without a screen, a disk or a browser: what tests and measurements of the
// server talk to it with.
package phonetest

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"portwright/server/wire"
)

// Phone is one phone. Everything in it would be on its disk but what is noted
// as forgotten.
type Phone struct {
	Name    string // the device it writes as
	Batch   int    // entries in one push, and in one pull
	Renamed int    // branches it made

	lines  map[string]*line
	epoch  string
	cursor uint64
	mark   string
	again  bool // a branch was made: what the shop PC has in its place may have been pulled before

	// Forgotten when the app ends; any value of these is safe.
	have   wire.Have         // of the last answer; nil: not asked
	head   uint64            // of the last answer
	hmark  string            // of the last answer
	closed map[string]uint64 // by device: the first entry that the shop PC takes from the device alone
	agreed map[string]uint64 // by device: up to there the shop PC said it has the same
	probes map[string]*probe
	faults []string
}

// probe searches for the first entry that differs.
type probe struct{ same, differs uint64 }

// New returns an empty phone.
func New(name string, batch int) *Phone {
	p := &Phone{Name: name, Batch: batch, lines: map[string]*line{}}
	p.Forget()
	return p
}

// Forget ends the app: what is not on its disk is gone.
func (p *Phone) Forget() {
	p.have, p.head, p.hmark = nil, 0, ""
	p.agreed, p.closed, p.probes = map[string]uint64{}, map[string]uint64{}, map[string]*probe{}
}

// Copy returns the phone as a backup of it would hold it, or a clone.
func (p *Phone) Copy() *Phone {
	q := New(p.Name, p.Batch)
	q.epoch, q.cursor, q.mark, q.again = p.epoch, p.cursor, p.mark, p.again
	for device, l := range p.lines {
		q.lines[device] = &line{at: maps.Clone(l.at), chains: slices.Clone(l.chains)}
	}
	return q
}

// Fault remembers what must not happen.
func (p *Phone) Fault(format string, args ...any) {
	p.faults = append(p.faults, fmt.Sprintf(format, args...))
}

// Faults returns what must not have happened.
func (p *Phone) Faults() []string { return p.faults }

func (p *Phone) line(device string) *line {
	if p.lines[device] == nil {
		p.lines[device] = newLine()
	}
	return p.lines[device]
}

// Write keeps a new entry. Rest is what stands in it besides its address.
func (p *Phone) Write(rest string) {
	l := p.line(p.Name)
	seq := l.tip() + 1
	l.put(seq, fmt.Appendf(nil, `{"device":%q,"seq":%d,%s}`, p.Name, seq, rest))
}

// Merge takes in the book of another phone, as from a file.
func (p *Phone) Merge(from *Phone) {
	for _, device := range slices.Sorted(maps.Keys(from.lines)) {
		l := from.lines[device]
		for _, seq := range slices.Sorted(maps.Keys(l.at)) {
			p.take(l.at[seq])
		}
	}
}

// Entries returns everything the phone holds.
func (p *Phone) Entries() [][]byte {
	var out [][]byte
	for _, device := range slices.Sorted(maps.Keys(p.lines)) {
		l := p.lines[device]
		for _, seq := range slices.Sorted(maps.Keys(l.at)) {
			out = append(out, l.at[seq])
		}
	}
	return out
}

// Have is how far each device goes on this phone.
func (p *Phone) Have() wire.Have {
	have := wire.Have{}
	for device, l := range p.lines {
		if t := l.tip(); t > 0 {
			have[device] = wire.Tip{Seq: t, Chain: l.chains[t].String()}
		}
	}
	return have
}

// Push returns the next push: what the shop PC lacks as far as the phone
// knows, and questions where the two may differ. Settled says that there is
// nothing of either.
func (p *Phone) Push(nowMS int64) (push wire.Push, settled bool) {
	push = wire.Push{Device: p.Name, App: "model", Schema: wire.Schema, Epoch: p.epoch, NowMS: nowMS}
	if p.have == nil {
		return push, false
	}
	room := p.Batch
	for _, device := range slices.Sorted(maps.Keys(p.lines)) {
		if len(push.Runs) == wire.MaxRuns {
			break
		}
		l, has := p.lines[device], p.have[device]
		mine := l.tip()
		switch b := p.probes[device]; {
		case mine == 0:
		case b != nil && b.differs > mine:
			delete(p.probes, device)
		case b != nil:
			push.Runs = append(push.Runs, p.ask(device, b))
		case has.Seq <= mine && has.Seq > 0 && l.chains[has.Seq].String() != has.Chain:
			p.probes[device] = &probe{differs: has.Seq}
			push.Runs = append(push.Runs, p.ask(device, p.probes[device]))
		case has.Seq < mine && p.closed[device] == has.Seq+1: // asked again once the shop PC has more
		case has.Seq < mine && room > 0:
			n := min(uint64(room), mine-has.Seq)
			room -= int(n)
			push.Runs = append(push.Runs, l.run(device, has.Seq+1, n))
		case has.Seq > mine && p.agreed[device] < mine:
			push.Runs = append(push.Runs, l.run(device, mine+1, 0))
		}
	}
	return push, len(push.Runs) == 0
}

// ask halves the stretch in which the first differing entry stands; when that
// is one entry, it is sent, so that the shop PC itself says that it differs.
func (p *Phone) ask(device string, b *probe) wire.Run {
	if b.differs == b.same+1 {
		return p.lines[device].run(device, b.differs, 1)
	}
	return p.lines[device].run(device, (b.same+b.differs)/2+1, 0)
}

func (l *line) run(device string, from, n uint64) wire.Run {
	r := wire.Run{Device: device, From: from, Before: l.chains[from-1].String()}
	for s := from; s < from+n; s++ {
		r.Entries = append(r.Entries, json.RawMessage(l.at[s]))
	}
	return r
}

// Pushed takes the answer to a push in.
func (p *Phone) Pushed(sent wire.Push, a wire.PushAnswer) {
	if a.Epoch != p.epoch {
		p.epoch, p.cursor, p.mark = a.Epoch, 0, ""
		p.agreed = map[string]uint64{}
	}
	p.have, p.head, p.hmark = a.Have, a.Head, a.Mark
	refused := map[string]wire.Refusal{}
	for _, r := range a.Refused {
		refused[r.Device] = r
	}
	for _, run := range sent.Runs {
		no, is := refused[run.Device]
		p.ran(run, no, is)
	}
}

// ran draws what follows from the answer to one run.
func (p *Phone) ran(run wire.Run, no wire.Refusal, refused bool) {
	b := p.probes[run.Device]
	switch {
	case !refused && len(run.Entries) == 0:
		p.agreed[run.Device] = max(p.agreed[run.Device], run.From-1)
		if b != nil {
			b.same = max(b.same, run.From-1)
		}
	case !refused:
		delete(p.probes, run.Device)
	case no.Code == wire.Fork:
		if l := p.line(run.Device); no.Seq >= run.From && no.Seq < run.From+uint64(len(run.Entries)) && l.same(no.Seq, run.Entries[no.Seq-run.From]) {
			p.branch(run.Device, no.Seq)
		}
	case no.Code == wire.ForkBefore:
		if b == nil {
			b = &probe{}
			p.probes[run.Device] = b
		}
		if b.differs = run.From - 1; b.same >= b.differs {
			b.same = 0
		}
	case no.Code == wire.NotYours:
		p.closed[run.Device] = no.Seq
	case no.Code == wire.Gap:
		delete(p.probes, run.Device) // the shop PC lost some since it was asked; Have says from where
	default:
		p.Fault("refused: %+v", no)
	}
}

// Behind says whether there is something to pull.
func (p *Phone) Behind() bool {
	return p.have == nil || p.again || p.cursor != p.head || p.mark != p.hmark
}

// Pull returns the next question.
func (p *Phone) Pull() (epoch string, cursor uint64, mark string, limit int) {
	if p.again {
		p.cursor, p.mark, p.again = 0, "", false
	}
	return p.epoch, p.cursor, p.mark, p.Batch
}

// Pulled takes the answer to a pull in.
func (p *Phone) Pulled(a wire.PullAnswer) {
	if a.Epoch != p.epoch {
		p.agreed = map[string]uint64{}
	}
	for _, e := range a.Entries {
		p.take(e)
	}
	p.epoch, p.cursor, p.mark = a.Epoch, a.Next, a.Mark
	if a.Next > p.head || !a.More {
		p.head, p.hmark = a.Next, a.Mark
	}
}

// Server is what a phone talks to.
type Server interface {
	Push(wire.Push) (wire.PushAnswer, error)
	Pull(epoch string, cursor uint64, mark string, limit int) (wire.PullAnswer, error)
}

// Sync pushes and pulls until nothing is left on either side.
func (p *Phone) Sync(s Server, nowMS int64) error {
	for quiet := 0; quiet < 2; {
		push, settled := p.Push(nowMS)
		answer, err := s.Push(push)
		if err != nil {
			return err
		}
		p.Pushed(push, answer)
		if p.Behind() {
			settled = false
			got, err := s.Pull(p.Pull())
			if err != nil {
				return err
			}
			p.Pulled(got)
		}
		if quiet++; !settled {
			quiet = 0
		}
	}
	return nil
}
