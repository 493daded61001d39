package server_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"portwright/server"
	"portwright/server/memory"
	"portwright/server/phonetest"
	"portwright/server/wire"
)

// world is a shop PC, up to five phones and the air between them.
type world struct {
	rnd    *rand.Rand
	disk   *disk
	keeper *server.Keeper
	phones []*phonetest.Phone
	saved  []*phonetest.Phone // backups of phones
	copies []*disk            // copies of the shop PC's folder, and backups
	late   [][]byte           // pushes that arrive again, or late
	ids    int
	ms     int64
	log    []string
	epochs int
	did    map[string]int

	acked                  uint64 // entries that were answered for
	journalHurt, indexHurt bool   // since the last start; both at once may lose entries
}

func newWorld(seed uint64) *world {
	w := &world{rnd: rand.New(rand.NewPCG(seed, 7)), did: map[string]int{}, ms: 1_700_000_000_000}
	w.disk = &disk{index: &memory.Index{}, fuse: -1}
	for i := range 1 + w.rnd.IntN(5) {
		w.phones = append(w.phones, phonetest.New(fmt.Sprintf("phone-%d", i), 1+w.rnd.IntN(5)))
	}
	return w
}

func (w *world) note(format string, args ...any) { w.log = append(w.log, fmt.Sprintf(format, args...)) }

func (w *world) now() time.Time { w.ms += 7; return time.UnixMilli(w.ms) }

// start starts the server, and again when it is killed on the way.
func (w *world) start() error {
	for w.keeper == nil {
		w.disk.dead = false
		k, report, err := server.Open(journal{w.disk}, index{w.disk.index, w.disk}, server.Options{
			Now:      w.now,
			NewEpoch: func() string { w.epochs++; return fmt.Sprintf("epoch-%d", w.epochs) },
		})
		w.disk.fuse = -1
		if errors.Is(err, errKilled) {
			w.note("killed while starting")
			w.did["killed while starting"]++
			continue
		}
		if err != nil && w.disk.failing { // cmd/portwright goes on with an index in memory
			w.disk.failing = false
			continue
		}
		if errors.Is(err, server.ErrFull) { // what the index alone holds needs room in the journal; a person makes it
			w.did["no start on a full disk"]++
			w.disk.full = false
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
	if w.disk.dead {
		w.note("killed")
		w.did["killed"]++
		w.keeper = nil
	}
}

// serve answers a push as it arrived; nil: no answer.
func (w *world) serve(body []byte) (answer *wire.PushAnswer, err error) {
	var p wire.Push
	if json.Unmarshal(body, &p) != nil {
		w.did["cut"]++
		return nil, nil // 400
	}
	if err := w.start(); err != nil {
		return nil, err
	}
	a, err := w.keeper.Push(p)
	w.dies()
	if err != nil {
		return nil, w.allowed(err)
	}
	w.acked = a.Head
	return &a, nil
}

// allowed returns the error unless a fault that was made explains it.
func (w *world) allowed(err error) error {
	switch code := server.CodeOf(err); {
	case errors.Is(err, errKilled), code == server.NoSpace && w.disk.full, code == server.NotNow && w.disk.failing:
		w.did["refused: "+string(code)]++
		return nil
	}
	return err
}

// push lets a phone push once over air that harms messages; lossy false: a
// clean line.
func (w *world) push(p *phonetest.Phone, lossy bool) (settled bool, err error) {
	push, settled := p.Push(w.now().UnixMilli())
	if settled && lossy && w.rnd.IntN(3) > 0 {
		return true, nil
	}
	body, err := wire.AppendPush(nil, push)
	if err != nil {
		return false, err
	}
	fault := 0
	if lossy {
		fault = w.rnd.IntN(9)
	}
	switch fault {
	case 1: // lost, or later
		w.late = append(w.late, body)
		return false, nil
	case 2: // twice
		if _, err := w.serve(body); err != nil {
			return false, err
		}
	case 3: // cut
		body = body[:w.rnd.IntN(len(body))]
	case 4: // and again later
		w.late = append(w.late, body)
	}
	a, err := w.serve(body)
	if err != nil || a == nil {
		return false, err
	}
	switch fault {
	case 5: // the answer is lost
		return false, nil
	case 6, 7: // the answer is cut, perhaps behind its last byte
		data, err := json.Marshal(a)
		if err != nil {
			return false, err
		}
		var got wire.PushAnswer
		if json.Unmarshal(data[:w.rnd.IntN(len(data)+1)], &got) != nil {
			return false, nil
		}
		a = &got
	}
	p.Pushed(push, *a)
	_, still := p.Push(0) // what the answer said may be news
	return settled && still, nil
}

func (w *world) pull(p *phonetest.Phone, lossy bool) error {
	if err := w.start(); err != nil {
		return err
	}
	epoch, cursor, mark, limit := p.Pull()
	a, err := w.keeper.Pull(epoch, cursor, mark, limit)
	if err != nil {
		return err
	}
	if a.Reset {
		w.did["pulled again from 0"]++
	}
	if lossy && w.rnd.IntN(3) == 0 {
		data, err := wire.AppendPullAnswer(nil, a)
		if err != nil {
			return err
		}
		a = wire.PullAnswer{}
		if json.Unmarshal(data[:w.rnd.IntN(len(data)+1)], &a) != nil {
			return nil
		}
	}
	p.Pulled(a)
	return nil
}
