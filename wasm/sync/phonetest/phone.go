// Package phonetest is a phone without a screen, a browser or a network: the
// machine of package sync, and in place of the database a map that outlives it.
// Tests and measurements of either end talk to the other with it.
package phonetest

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"portwright/engine/build"
	"portwright/server/wire"
	"portwright/wasm/sync"
)

// Phone is one phone.
type Phone struct {
	Name    string        // the device it writes as
	Batch   int           // entries in one push, and in one pull
	Renamed int           // branches that got another name
	NewName func() string // for a device whose own entries have a gap
	Random  func() uint64 // for the machine's waits
	Fuse    int           // steps until the app is killed; negative: it is not
	Asks    int           // questions in the last round

	disk
	machine *sync.Machine // gone when the app ends
}

// disk is what outlives the app.
type disk struct {
	rows  map[string]map[uint64][]byte // by device and number
	saved []byte                       // sync.Saved as JSON
	seq   uint64                       // last number that was written as Name
}

// New returns an empty phone.
func New(name string, batch int) *Phone {
	n := 0
	p := &Phone{Name: name, Batch: batch, Fuse: -1, Random: func() uint64 { return 0 }, disk: disk{rows: map[string]map[uint64][]byte{}}}
	p.NewName = func() string { n++; return fmt.Sprintf("%s.%d", name, n) }
	return p
}

// Killed is the code of a phone's status when its app does not run.
const Killed = "killed"

// Forget ends the app: what is not on its disk is gone.
func (p *Phone) Forget() { p.machine = nil }

// Copy returns the phone as a backup of it would hold it, or a clone.
func (p *Phone) Copy() *Phone {
	q := *p
	q.machine, q.Renamed, q.Fuse = nil, 0, -1
	q.rows = map[string]map[uint64][]byte{}
	for device, of := range p.rows {
		q.rows[device] = maps.Clone(of)
	}
	return &q
}

// Write keeps a new entry. Rest is what stands in it besides its address.
func (p *Phone) Write(rest string) {
	p.seq++
	p.put(p.Name, p.seq, fmt.Appendf(nil, `{"device":%q,"seq":%d,%s}`, p.Name, p.seq, rest))
}

func (d *disk) put(device string, seq uint64, text []byte) {
	if d.rows[device] == nil {
		d.rows[device] = map[uint64][]byte{}
	}
	d.rows[device][seq] = text
}

// Entries returns everything the phone holds.
func (p *Phone) Entries() [][]byte {
	var out [][]byte
	for _, device := range slices.Sorted(maps.Keys(p.rows)) {
		for _, row := range p.read(sync.Range{Device: device, From: 1, To: wire.MaxSeq}) {
			out = append(out, row.Text)
		}
	}
	return out
}

// Have is how far each device goes on this phone.
func (p *Phone) Have() wire.Have {
	have := wire.Have{}
	for device, of := range p.rows {
		var c wire.Chain
		n := uint64(0)
		for of[n+1] != nil {
			n++
			c = c.Next(of[n])
		}
		if n > 0 {
			have[device] = wire.Tip{Seq: n, Chain: c.String()}
		}
	}
	return have
}

// Merge takes in the book of another phone, as from a file.
func (p *Phone) Merge(from *Phone) error {
	_, err := p.take(&sync.Take{Entries: from.Entries(), Saved: p.readSaved()}, func(a, b []byte) bool { return idOf(a) == idOf(b) })
	return err
}

func idOf(entry []byte) string {
	var e struct{ ID string }
	if err := json.Unmarshal(entry, &e); err != nil {
		return string(entry)
	}
	return e.ID
}

// Status is what the phone says of the sync.
func (p *Phone) Status() sync.Status {
	if p.machine == nil {
		return sync.Status{Code: Killed}
	}
	return p.machine.Status()
}

// Round syncs once. It returns when the machine rests, with how long, or when
// the app is killed.
func (p *Phone) Round(nowMS func() int64, ask func(*sync.Ask) sync.Answered, addresses ...string) (restMS int64) {
	if p.machine == nil {
		p.machine = &sync.Machine{App: "model", Batch: p.Batch}
	}
	if len(addresses) == 0 {
		addresses = []string{""}
	}
	p.Asks = 0
	var event sync.Event = &sync.Wake{Addresses: addresses}
	for {
		effect := p.machine.Next(event, &sync.In{NowMS: nowMS(), Random: p.Random()})
		if p.killed() {
			return 0
		}
		switch e := effect.(type) {
		case *sync.Rest:
			return e.ForMS
		case *sync.Ask:
			p.Asks++
			sent := nowMS()
			answer := ask(e)
			answer.SentMS = sent
			event = &answer
		case *sync.Look:
			event = p.look()
		case *sync.Read:
			rows := &sync.Rows{}
			for _, r := range e.Ranges {
				rows.Rows = append(rows.Rows, p.read(r)...)
			}
			event = rows
		case *sync.Take:
			took, err := p.take(e, nil)
			event = &took
			if err != nil {
				event = &sync.Failed{Reason: err.Error()}
			}
		default:
			panic(fmt.Sprintf("no one carries out %T", e))
		}
		if p.killed() {
			return 0
		}
	}
}

// killed is a place where the app may end.
func (p *Phone) killed() bool {
	if p.Fuse == 0 {
		p.Forget()
	}
	p.Fuse = max(p.Fuse-1, -1)
	return p.machine == nil
}

func (p *Phone) look() *sync.Looked {
	l := &sync.Looked{Device: p.Name, Saved: *p.readSaved()}
	for device, of := range p.rows {
		if len(of) > 0 {
			l.Entries += len(of)
			l.Held = append(l.Held, sync.Held{Device: device, Last: slices.Max(slices.Collect(maps.Keys(of))), Count: len(of)})
		}
	}
	return l
}

func (p *Phone) readSaved() *sync.Saved {
	s := &sync.Saved{}
	if len(p.saved) > 0 {
		if err := build.ReadRecord(json.RawMessage(p.saved), s); err != nil {
			panic(err)
		}
	}
	return s
}

func (d *disk) read(r sync.Range) (rows []sync.Row) {
	of := d.rows[r.Device]
	for _, seq := range slices.Sorted(maps.Keys(of)) {
		if seq >= r.From && seq <= r.To {
			rows = append(rows, sync.Row{Device: r.Device, Seq: seq, Text: of[seq]})
		}
	}
	return rows
}

// take is one transaction, as package browser carries it out.
func (p *Phone) take(e *sync.Take, same func(a, b []byte) bool) (sync.Took, error) {
	s := sync.NewShelf(same)
	ask := func() []sync.Range { return s.Take(e.Entries) }
	if e.Branch != nil {
		ask = func() []sync.Range { return s.Branch(e.Branch) }
	}
	for need := ask(); len(need) > 0; need = ask() {
		for _, r := range need {
			s.Saw(r, p.read(r))
		}
	}
	if s.Err != nil {
		return sync.Took{}, s.Err
	}
	gone, rows := s.Changes()
	for _, r := range gone {
		delete(p.rows[r.Device], r.Seq)
	}
	for _, r := range rows {
		p.put(r.Device, r.Seq, r.Text)
	}
	for _, r := range s.Renames {
		p.Renamed++
		if r.Device == p.Name {
			p.Name = r.Name
		}
	}
	of := p.rows[p.Name]
	if p.seq = 0; len(of) > 0 {
		p.seq = slices.Max(slices.Collect(maps.Keys(of)))
	}
	if p.seq != uint64(len(of)) {
		p.Name, p.seq = p.NewName(), 0
	}
	e.Saved.Renamed(s.Renames)
	p.saved = build.WriteRecord(e.Saved)
	return sync.Took{Entries: p.look().Entries, Renames: s.Renames}, nil
}
