//go:build js && wasm

package browser

import (
	"reflect"
	"syscall/js"
	"time"

	"portwright/wasm/app"
	"portwright/wasm/sync"
)

// syncer carries out what the machine of package sync wants done, one round at
// a time, and of all windows of this browser in one at a time.
type syncer struct {
	r       *Runner
	machine sync.Machine
	kicked  chan struct{} // one token while a round is wanted
	wanted  app.Sync      // as the next round is wanted
	started bool
	was     string // what the sync kept, as this window knows it
}

func newSyncer(r *Runner) *syncer {
	return &syncer{r: r, machine: sync.Machine{App: buildOfPage()}, kicked: make(chan struct{}, 1)}
}

// wake asks for a round: at once, or when the one under way is over.
func (y *syncer) wake(e app.Sync) {
	e.Eager = e.Eager || y.wanted.Eager
	y.wanted = e
	if !y.started {
		y.started = true
		y.r.start(y.run)
	}
	select {
	case y.kicked <- struct{}{}:
	default:
	}
}

// run lives as long as the page. A page that nobody looks at asks only while
// something of it is not on the shop PC.
func (y *syncer) run() {
	rest := time.NewTimer(time.Hour) // the first round is asked for
	for {
		select {
		case <-y.kicked:
		case <-rest.C:
			if !shown() && y.machine.Status().Lacks == 0 {
				continue // it asks when it is shown again
			}
		}
		release := oneWindow()
		ms := y.round()
		release()
		rest.Reset(time.Duration(ms) * time.Millisecond)
	}
}

// round plays one round and returns for how long to rest.
func (y *syncer) round() (restMS int64) {
	wanted := y.wanted
	y.wanted.Eager = false
	var event sync.Event = &sync.Wake{Addresses: wanted.Addresses, Eager: wanted.Eager}
	var came []string
	for {
		effect := y.machine.Next(event, &sync.In{NowMS: now(), Random: uint64(global.Get("Math").Call("random").Float() * maxSafe)})
		switch e := effect.(type) {
		case *sync.Rest:
			y.tell()
			y.cameIn(came)
			return e.ForMS
		case *sync.Look:
			event = y.look()
		case *sync.Read:
			y.calm(e.Ranges)
			rows, err := y.r.store.Rows(e.Ranges)
			event = &sync.Rows{Rows: rows}
			if err != nil {
				event = failed(err)
			}
		case *sync.Ask:
			y.tell() // first: what came in is not taken for unsent
			if len(came) > 20 {
				y.cameIn(came)
				came = nil
			}
			event = ask(e, wanted.Token)
		case *sync.Take:
			var builds []string
			event, builds = y.take(e)
			came = append(came, builds...)
		default:
			panic("no one carries out " + reflect.TypeOf(e).String())
		}
	}
}

// A batch waits until the hand has rested, so that no key waits for the batch,
// but not for ever; and batches are small while somebody works.
const (
	rested    = 1500 * time.Millisecond
	batchWait = 15 * time.Second
	working   = 20 * time.Second
	workBatch = 50 // entries
	few       = 10 // entries: no batch
)

func (y *syncer) calm(ranges []sync.Range) {
	var n uint64
	for _, r := range ranges {
		n += r.To - r.From + 1
	}
	for end := now() + batchWait.Milliseconds(); n > few; {
		wait := min(y.r.keys.at+rested.Milliseconds(), end) - now()
		if wait <= 0 {
			break
		}
		time.Sleep(time.Duration(wait) * time.Millisecond)
	}
	y.machine.Batch = 0
	if now()-y.r.keys.at < working.Milliseconds() {
		y.machine.Batch = workBatch
	}
}

func (y *syncer) look() sync.Event {
	l, was, err := y.r.store.Look()
	if err != nil {
		return failed(err)
	}
	y.was = was
	return l
}

func (y *syncer) take(e *sync.Take) (sync.Event, []string) {
	got, err := y.r.store.TakeIn(intake{entries: e.Entries, branch: e.Branch, saved: e.Saved, was: y.was})
	switch {
	case err == errChanged:
		return &sync.Changed{}, nil
	case err != nil:
		return failed(err), nil
	}
	y.was = got.saved
	if len(e.Entries) > 0 || len(got.renames) > 0 {
		y.r.aside.mark(marker{Device: got.head.Device, Entries: got.head.Entries})
	}
	return &sync.Took{Entries: got.head.Entries, Renames: got.renames}, got.builds
}

// cameIn shows what came in, here and in the other windows.
func (y *syncer) cameIn(builds []string) {
	builds = distinct(builds, func(b string) string { return b })
	if len(builds) == 0 {
		return
	}
	_ = y.r.store.RefreshStale() // tried again with the next
	y.r.tabs.announce(builds)
	if len(builds) > manyBuilds {
		builds = []string{""}
	}
	for _, b := range builds {
		y.r.put(app.CameIn{Build: b})
	}
}

func failed(err error) sync.Event { return &sync.Failed{Reason: plainly(err)} }

// tell hands the status to the app.
func (y *syncer) tell() { y.r.put(app.SyncTold(y.machine.Status())) }

// lockPatience is how long another window may hold the sync. Two that sync at
// once do no harm: what one keeps, the other notices.
const lockPatience = 45 * time.Second

// askPatience ends a question: longer than the shop PC itself waits for one.
const askPatience = 20 * time.Second

// oneWindow waits until no other window of this browser syncs.
func oneWindow() (release func()) {
	let, err := await(script().Call("alone", lockPatience.Milliseconds()))
	if err != nil {
		return func() {}
	}
	return func() { let.Invoke() }
}

// pair asks the shop PC to let this device in.
func pair(e app.Pair) app.Paired {
	got, err := await(script().Call("pair", e.Code, e.Device, e.Name, askPatience.Milliseconds()))
	if err != nil {
		return app.Paired{Said: plainly(err)}
	}
	return app.Paired{Token: got.Get("token").String(), Said: got.Get("message").String()}
}

// ask asks the shop PC. Whatever goes wrong on the way is status 0.
func ask(e *sync.Ask, token string) *sync.Answered {
	a := &sync.Answered{SentMS: now()}
	path, push := "/api/v1/pull?"+e.Pull, js.Null()
	if e.Push != nil {
		path, push = "/api/v1/push", arrayOf(e.Push)
	}
	if got, err := await(script().Call("ask", e.Address, path, push, token, askPatience.Milliseconds())); err == nil {
		a.Status, a.Body = got.Get("status").Int(), bytesIn(got.Get("body"))
	}
	return a
}
