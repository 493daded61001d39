package syncmodel

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"portwright/server"
	"portwright/server/faulttest"
	"portwright/server/wire"
	"portwright/wasm/sync"
	"portwright/wasm/sync/phonetest"
)

// world is a shop PC, up to five phones and the air between them.
type world struct {
	rnd    *rand.Rand
	disk   *faulttest.Disk
	keeper *server.Keeper
	phones []*phonetest.Phone
	saved  []*phonetest.Phone // backups of phones
	copies []*faulttest.Disk  // copies of the shop PC's folder, and backups
	late   [][]byte           // pushes that arrive again, or late
	ids    int
	names  int
	ms     int64
	log    []string
	epochs int
	did    map[string]int

	acked                  uint64 // entries that were answered for
	journalHurt, indexHurt bool   // since the last start; both at once may lose entries
}

func newWorld(seed uint64) *world {
	w := &world{rnd: rand.New(rand.NewPCG(seed, 7)), did: map[string]int{}, ms: 1_700_000_000_000}
	w.disk = faulttest.NewDisk()
	for i := range 1 + w.rnd.IntN(5) {
		p := phonetest.New(fmt.Sprintf("phone-%d", i), 1+w.rnd.IntN(5))
		p.NewName = func() string { w.names++; return fmt.Sprintf("new-%d", w.names) }
		p.Random = w.rnd.Uint64
		w.phones = append(w.phones, p)
	}
	return w
}

func (w *world) note(format string, args ...any) { w.log = append(w.log, fmt.Sprintf(format, args...)) }

func (w *world) now() time.Time { w.ms += 7; return time.UnixMilli(w.ms) }

// start starts the server, and again when it is killed on the way.
func (w *world) start() error {
	for w.keeper == nil {
		w.disk.Dead = false
		k, report, err := w.disk.Open(server.Options{
			Now:      w.now,
			NewEpoch: func() string { w.epochs++; return fmt.Sprintf("epoch-%d", w.epochs) },
		})
		w.disk.Fuse = -1
		if errors.Is(err, faulttest.ErrKilled) {
			w.note("killed while starting")
			w.did["killed while starting"]++
			continue
		}
		if err != nil && w.disk.Failing { // cmd/portwright goes on with an index in memory
			w.disk.Failing = false
			continue
		}
		if errors.Is(err, server.ErrFull) { // what the index alone holds needs room in the journal; a person makes it
			w.did["no start on a full disk"]++
			w.disk.Full = false
			continue
		}
		if err != nil {
			return err
		}
		w.note("started: %+v", report)
		if report.Entries < w.acked && !(w.journalHurt && w.indexHurt) {
			return fmt.Errorf("%d entries were acknowledged, %d are there", w.acked, report.Entries)
		}
		w.acked, w.journalHurt, w.indexHurt = report.Entries, false, false
		if report.Salvaged > 0 {
			w.did["salvaged"]++
		}
		if report.Loose > 0 {
			w.did["loose"]++
		}
		w.keeper = k
	}
	return nil
}

// dies is asked after every call of the keeper.
func (w *world) dies() {
	if w.disk.Dead {
		w.note("killed")
		w.did["killed"]++
		w.keeper = nil
	}
}

// serve answers a push as it arrived.
func (w *world) serve(body []byte) (answer sync.Answered, err error) {
	var p wire.Push
	if json.Unmarshal(body, &p) != nil {
		w.did["cut"]++
		return sync.Answered{Status: wire.Status(wire.BadAsk)}, nil
	}
	if err := w.start(); err != nil {
		return answer, err
	}
	a, err := w.keeper.Push(p)
	w.dies()
	if errors.Is(err, faulttest.ErrKilled) {
		return answer, w.allowed(err)
	}
	if err != nil {
		code := string(server.CodeOf(err))
		b, _ := json.Marshal(wire.Error{Code: code, Message: err.Error()})
		return sync.Answered{Status: wire.Status(code), Body: b}, w.allowed(err)
	}
	w.acked = a.Head
	b, err := json.Marshal(a)
	return sync.Answered{Status: 200, Body: b}, err
}

// allowed returns the error unless a fault that was made explains it.
func (w *world) allowed(err error) error {
	switch code := server.CodeOf(err); {
	case errors.Is(err, faulttest.ErrKilled), code == server.NoSpace && w.disk.Full, code == server.NotNow && w.disk.Failing:
		w.did["refused: "+string(code)]++
		return nil
	}
	return err
}

// sync lets a phone sync once over air that harms messages; lossy false: a
// clean line.
func (w *world) sync(p *phonetest.Phone, lossy bool) (err error) {
	p.Round(func() int64 { return w.now().UnixMilli() }, func(a *sync.Ask) sync.Answered {
		if err != nil || a.Address == away {
			return sync.Answered{}
		}
		answer, fault := w.travel(a, lossy)
		err = fault
		return answer
	}, w.addresses(lossy)...)
	if p.Fuse = -1; err != nil {
		return err
	}
	if code := p.Status().Code; code != "" {
		w.did["round ended: "+code]++
		w.note("round ended: %s %s", code, p.Status().Said)
		if !lossy {
			return fmt.Errorf("a round on a clean line ended with %s: %s", code, p.Status().Said)
		}
	}
	return w.truth(p)
}

// away is an address at which nobody answers.
const away = "https://192.0.2.1:8443"

func (w *world) addresses(lossy bool) []string {
	if lossy && w.rnd.IntN(4) == 0 {
		return []string{away, ""}
	}
	return []string{""}
}

// truth holds what the phone says of the sync against what is so: it may take
// more for lacking than is, never less.
func (w *world) truth(p *phonetest.Phone) error {
	s := p.Status()
	if s.Asking || s.Code != "" || w.keeper == nil {
		return nil
	}
	have, lacks := w.keeper.Have().Have, 0
	for device, t := range p.Have() {
		lacks += max(0, int(t.Seq)-int(have[device].Seq))
	}
	if s.Lacks < lacks || s.Entries != len(p.Entries()) {
		return fmt.Errorf("the phone says that %d of %d entries are not on the shop PC; at least %d of %d are not", s.Lacks, s.Entries, lacks, len(p.Entries()))
	}
	return nil
}

// travel carries a question and its answer.
func (w *world) travel(a *sync.Ask, lossy bool) (answer sync.Answered, err error) {
	fault := 0
	if lossy {
		fault = w.rnd.IntN(9)
	}
	if a.Push == nil {
		body, err := w.pull(a)
		if body == nil || err != nil {
			return sync.Answered{}, err
		}
		if fault > 5 { // cut, perhaps behind its last byte
			body = body[:w.rnd.IntN(len(body)+1)]
		}
		return sync.Answered{Status: 200, Body: body}, nil
	}
	body := bytes.Clone(a.Push)
	switch fault {
	case 1: // lost, or later
		w.late = append(w.late, body)
		return sync.Answered{}, nil
	case 2: // twice
		if _, err := w.serve(body); err != nil {
			return answer, err
		}
	case 3: // cut
		body = body[:w.rnd.IntN(len(body))]
	case 4: // and again later
		w.late = append(w.late, body)
	}
	answer, err = w.serve(body)
	switch fault {
	case 5: // the answer is lost
		return sync.Answered{}, err
	case 6, 7: // the answer is cut, perhaps behind its last byte
		answer.Body = answer.Body[:w.rnd.IntN(len(answer.Body)+1)]
	}
	return answer, err
}

func (w *world) pull(a *sync.Ask) ([]byte, error) {
	if err := w.start(); err != nil {
		return nil, err
	}
	return phonetest.Serve(pulling{w}, a)
}

// pulling answers pulls and notes those that begin again.
type pulling struct{ w *world }

func (p pulling) Push(wire.Push) (wire.PushAnswer, error) { panic("a push") }

func (p pulling) Pull(epoch string, cursor uint64, mark string, limit int) (wire.PullAnswer, error) {
	a, err := p.w.keeper.Pull(epoch, cursor, mark, limit)
	if a.Reset || cursor == 0 {
		p.w.did["pulled again from 0"]++
	}
	return a, err
}
