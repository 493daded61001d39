package syncmodel

import (
	"encoding/json"
	"flag"
	"fmt"
	"runtime"
	"slices"
	"strings"
	gosync "sync"
	"sync/atomic"
	"testing"

	"portwright/server"
	"portwright/server/memory"
	"portwright/server/wire"
	"portwright/wasm/sync/phonetest"
)

var (
	histories = flag.Int("histories", 10_000, "random histories of phones and shop PC")
	oneSeed   = flag.Uint64("history", 0, "the one history to run and print")
)

// Every history ends with all phones and the shop PC holding the same entries,
// and none that any of them held when the faults ended is missing.
func TestEveryHistoryConverges(t *testing.T) {
	if *oneSeed > 0 {
		w := newWorld(*oneSeed)
		err := w.run()
		t.Fatalf("history %d: %v\n%s", *oneSeed, err, strings.Join(w.log, "\n"))
	}
	n := *histories
	if testing.Short() {
		n = min(n, 1_000)
	}
	var next atomic.Uint64
	var all gosync.WaitGroup
	var mu gosync.Mutex
	did := map[string]int{}
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for seed := next.Add(1); seed <= uint64(n) && !t.Failed(); seed = next.Add(1) {
				w := newWorld(seed)
				if err := w.run(); err != nil {
					t.Errorf("history %d (print it: go test ./wasm/e2e/syncmodel -run EveryHistory -history %d): %v\n%s", seed, seed, err, strings.Join(w.log, "\n"))
				}
				mu.Lock()
				for what, times := range w.did {
					did[what] += times
				}
				mu.Unlock()
			}
		})
	}
	all.Wait()
	for _, what := range []string{
		"killed", "killed while starting", "cut", "salvaged", "loose", "pulled again from 0", "renamed", "backup restored", "folder copied back",
		"cloned", "phone restored", "index lost", "index rolled back", "journal cut short", "record lost", "disk full", "index failing", "book merged",
		"refused: no_space", "refused: not_now",
	} {
		if did[what] < n/2000 {
			t.Errorf("%q happened %d times in %d histories; the test does not try it", what, did[what], n)
		}
	}
	t.Logf("%d histories: %v", n, did)
}

// run plays a history with faults, then lets everything settle.
func (w *world) run() error {
	for range 5 + w.rnd.IntN(30) {
		if err := w.act(); err != nil {
			return err
		}
	}
	w.disk.Full, w.disk.Failing, w.disk.Fuse = false, false, -1
	held, err := w.held()
	if err != nil {
		return err
	}
	for i, quiet := 0, 0; quiet < 2; i++ { // one question may also bring what is new
		if i == 100 {
			return fmt.Errorf("does not settle")
		}
		quiet++
		for _, p := range w.phones {
			if err := w.sync(p, false); err != nil {
				return err
			}
			if p.Asks != 1 { // a sync with nothing to do is one question
				quiet = 0
			}
		}
	}
	return w.check(held)
}

// act does one thing.
func (w *world) act() error {
	p := w.phones[w.rnd.IntN(len(w.phones))]
	switch n := w.rnd.IntN(100); {
	case n < 30:
		for range 1 + w.rnd.IntN(4) {
			w.ids++
			p.Write(fmt.Sprintf(`"id":"e%d", "build" : "<b>","body":{"v": %d.50}`, w.ids, w.ids))
		}
	case n < 74:
		if w.rnd.IntN(5) == 0 { // the app is killed at any of its steps
			p.Fuse = w.rnd.IntN(25)
		}
		return w.sync(p, true)
	case n < 81 && len(w.late) > 0:
		i := w.rnd.IntN(len(w.late))
		body := w.late[i]
		w.late = slices.Delete(w.late, i, i+1)
		_, err := w.serve(body)
		return err
	case n < 85:
		w.disk.Fuse = w.rnd.IntN(12)
	case n < 86:
		p.Forget()
	case n < 90:
		return w.harmPhone(p)
	default:
		return w.harmServer()
	}
	return nil
}

func (w *world) harmPhone(p *phonetest.Phone) error {
	i := slices.Index(w.phones, p)
	switch w.rnd.IntN(4) {
	case 0:
		w.saved = append(w.saved, p.Copy())
	case 1:
		if len(w.phones) < 5 {
			w.did["cloned"]++
			w.note("phone %d cloned", i)
			w.phones = append(w.phones, p.Copy())
		}
	case 2:
		if len(w.saved) > 0 {
			w.did["phone restored"]++
			w.note("phone %d replaced by a backup", i)
			w.phones[i] = w.saved[w.rnd.IntN(len(w.saved))].Copy()
		}
	case 3:
		w.did["book merged"]++
		return p.Merge(w.phones[w.rnd.IntN(len(w.phones))].Copy())
	}
	return nil
}

// harmServer does to the shop PC what people and disks do.
func (w *world) harmServer() error {
	harm := w.rnd.IntN(11)
	if harm == 10 { // copies twice as often
		harm = 0
	}
	if harm < 7 { // these happen while it is off
		w.keeper, w.disk.Dead = nil, false
	}
	d := w.disk
	switch harm {
	case 0:
		w.copies = append(w.copies, d.CopyOf())
	case 1:
		if len(w.copies) > 0 {
			w.did["folder copied back"]++
			w.note("folder copied back")
			w.disk, w.acked = w.copies[w.rnd.IntN(len(w.copies))].CopyOf(), 0
		}
	case 2:
		if len(w.copies) > 0 {
			w.did["backup restored"]++
			w.note("backup restored")
			w.disk, w.acked = w.copies[w.rnd.IntN(len(w.copies))].CopyOf(), 0
			w.disk.Index = &memory.Index{}
			w.epochs++
			rec, err := server.EncodeEpoch(server.Epoch{ID: fmt.Sprintf("restored-%d", w.epochs), Why: "restored"})
			if err != nil {
				return err
			}
			w.disk.Records = append(w.disk.Records, rec)
		}
	case 3:
		w.did["index lost"]++
		w.note("index lost")
		d.Index, w.indexHurt = &memory.Index{}, true
	case 4:
		if s, _ := d.Index.State(); s.Head > 0 {
			w.did["index rolled back"]++
			w.note("index rolled back")
			d.Roll(w.rnd.IntN(int(s.Head)))
			w.indexHurt = true
		}
	case 5:
		if len(d.Records) > 1 {
			w.did["journal cut short"]++
			w.note("journal cut short")
			d.Records = d.Records[:1+w.rnd.IntN(len(d.Records)-1)]
			w.journalHurt = true
		}
	case 6:
		if len(d.Records) > 1 {
			w.did["record lost"]++
			w.note("a record lost")
			i := 1 + w.rnd.IntN(len(d.Records)-1)
			d.Records = slices.Delete(slices.Clone(d.Records), i, i+1)
			w.journalHurt = true
			if w.rnd.IntN(2) == 0 {
				w.did["index lost"]++
				d.Index, w.indexHurt = &memory.Index{}, true
			}
		}
	case 7:
		w.did["disk full"]++
		d.Full = !d.Full
	case 8:
		w.did["index failing"]++
		d.Failing = !d.Failing
	case 9:
		if w.keeper != nil && !d.Failing {
			err := w.keeper.Close()
			w.dies()
			w.keeper = nil
			if err != nil {
				return w.allowed(err)
			}
		}
	}
	return nil
}

func idOf(entry []byte) string {
	var e struct{ ID string }
	_ = json.Unmarshal(entry, &e)
	return e.ID
}

// held returns the IDs of the entries that the phones and the shop PC hold.
func (w *world) held() (map[string]bool, error) {
	ids := map[string]bool{}
	for _, p := range w.phones {
		for _, e := range p.Entries() {
			ids[idOf(e)] = true
		}
	}
	if err := w.start(); err != nil {
		return nil, err
	}
	for _, e := range w.stored() {
		ids[idOf(e)] = true
	}
	return ids, nil
}

func (w *world) stored() [][]byte {
	rows, _ := w.disk.Index.After(0, 1<<30, 1<<40)
	var out [][]byte
	for _, r := range rows {
		out = append(out, r.Entry)
	}
	return out
}

// check compares all ends.
func (w *world) check(held map[string]bool) error {
	want := w.keeper.Have()
	ends := map[string][][]byte{"shop PC": w.stored()}
	for i, p := range w.phones {
		name := fmt.Sprintf("phone %d", i)
		ends[name] = p.Entries()
		if got := wire.Digest(p.Have()); got != want.Digest {
			return fmt.Errorf("%s holds\n%v, the shop PC\n%v", name, p.Have(), want.Have)
		}
		if s := p.Status(); s.Lacks != 0 || s.Entries != len(ends[name]) {
			return fmt.Errorf("%s says that %d of %d entries are not on the shop PC", name, s.Lacks, s.Entries)
		}
		w.did["renamed"] += p.Renamed
	}
	for name, entries := range ends {
		got := map[string]bool{}
		for _, e := range entries {
			got[idOf(e)] = true
		}
		for id := range held {
			if !got[id] {
				return fmt.Errorf("%s lacks %s", name, id)
			}
		}
	}
	return nil
}
