//go:build js && wasm

package browser

import (
	"reflect"
	"slices"
	"time"

	"portwright/engine/book"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// Runner carries out effects and answers with messages.
type Runner struct {
	put    func(app.Msg)
	store  *Store
	aside  aside
	tabs   *tabs
	screen *screen
	page   funcs // listeners that live as long as the page

	syncer *syncer
	jobs   queue // writes, in order
	drafts *latest[draft]
	keys   keys
	frames frames

	picking func() // ends the file chooser in hand; nil when there is none
}

// NewRunner starts to listen to the page and returns the runner. put takes the
// messages and must not block.
func NewRunner(put func(app.Msg), cardOf CardOf) *Runner {
	r := &Runner{put: put, store: NewStore(cardOf), screen: &screen{}}
	r.drafts = newLatest(func(_ string, d draft) { _ = r.store.KeepDraft(d) })
	r.tabs = newTabs(put)
	r.syncer = newSyncer(r)
	r.listen()
	r.start(func() { _ = r.store.Open() }) // by the first use it is there
	return r
}

// Run carries out one effect. It returns at once; what takes time answers
// later.
func (r *Runner) Run(e app.Effect) {
	switch e := e.(type) {
	case app.LoadBook:
		r.start(func() {
			room := storageOf() // asked first: no write waits for the answer
			r.job(func() { r.loadBook(room) })
		})
	case app.LoadBuild:
		r.start(func() { r.loadBuild(e.Build) })
	case app.Append:
		r.append(e)
	case app.Forget:
		r.job(func() { r.aside.forget(e.IDs) })
	case app.MergeEntries:
		r.job(func() { r.merge(e) })
	case app.SaveDraft:
		r.drafts.set(e.Build, draft{build: e.Build, text: e.Draft})
	case app.SaveSettings:
		r.job(func() { _ = r.store.KeepSettings(e.Settings) })
	case app.SaveFile:
		r.start(func() { saveFile(e.Name, e.MIME, e.Data) })
	case app.ExportBook:
		r.start(r.exportBook)
	case app.PickFile:
		r.pickFile()
	case app.AskPersist:
		r.start(r.askPersist)
	case app.Sync:
		r.syncer.wake(e)
	case app.Pair:
		r.start(func() { r.put(pair(e)) })
	case app.After:
		r.after(e)
	default:
		r.onScreen(e)
	}
}

// onScreen carries out what happens at once on the page.
func (r *Runner) onScreen(e app.Effect) {
	switch e := e.(type) {
	case app.GoTo:
		r.goTo(e.Hash)
	case app.FocusOn:
		focusOn(e.ID)
	case app.Frames:
		r.turnFrames(e.On)
	case app.Tidy:
		r.start(tidy)
	case app.Awake:
		r.screen.awake(e.On)
	case app.Buzz:
		perform("buzz")
	case app.Tone:
		perform("tone")
	case app.Say:
		perform("say", e.Text)
	case app.Appear:
		appear(e.Theme, e.Hand)
	case app.Print:
		script().Call("print", e.Style)
	case app.TakeUpdate:
		takeUpdate()
	default:
		panic("no one carries out " + reflect.TypeOf(e).String())
	}
}

// start runs f on its own goroutine; a fault in it ends the app with its reason.
func (r *Runner) start(f func()) {
	go func() {
		defer crashed()
		f()
	}()
}

// job runs f after all earlier jobs.
func (r *Runner) job(f func()) {
	r.jobs.add(func() {
		defer crashed()
		f()
	})
}

func (r *Runner) after(e app.After) {
	r.start(func() {
		time.Sleep(time.Duration(e.MS) * time.Millisecond)
		r.put(e.Msg)
	})
}

// append keeps items. They get their IDs here, so that every further attempt,
// of this tab or of a later start, is known to be the same write.
func (r *Runner) append(e app.Append) {
	items := make([]book.Item, len(e.Items))
	copy(items, e.Items)
	for i := range items {
		if items[i].ID == "" {
			items[i].ID = fresh(now())
		}
	}
	w := write{items: items, card: e.Card}
	r.job(func() { r.keep(e.Token, w) })
}

// keep writes and answers. A draft that waits goes into the same transaction:
// it says which reading is being written, and must not be older than that
// reading when the app starts again.
func (r *Runner) keep(token string, w write) {
	for _, b := range buildsOfItems(w.items) {
		if d, ok := r.drafts.take(b); ok {
			w.drafts = append(w.drafts, d)
		}
	}
	k, err := r.store.Keep(w)
	if err != nil {
		for _, d := range w.drafts {
			r.drafts.back(d.build, d)
		}
		r.aside.keep(w.items)
		r.put(app.NotKept{Token: token, Items: w.items, Name: nameOf(err), Err: plainly(err)})
		return
	}
	r.put(app.Kept{Token: token, Entries: k.entries, AtMS: now(), Total: k.head.Entries})
	r.settle(k)
}

// settle does what follows a write, whose entries are safe by now.
func (r *Runner) settle(k kept) {
	r.aside.clear(k.entries)
	_ = r.store.RefreshCards(k.stale) // made anew at the build's next write otherwise
	r.written(buildsOf(k.entries), k.head)
}

// written tells the other tabs, and renews the marker.
func (r *Runner) written(builds []string, h head) {
	r.tabs.announce(builds)
	r.aside.mark(marker{Device: h.Device, Entries: h.Entries})
}

func (r *Runner) loadBook(room app.Storage) {
	msg := app.BookLoaded{Storage: room}
	var left *app.NotKept
	err := r.store.Open()
	if err == nil {
		msg.Recovered, left = r.replay()
		var l loaded
		l, err = r.store.LoadBook()
		msg.Device, msg.Former, msg.Cards, msg.Settings = l.head.Device, l.head.former(), l.cards, l.settings
		msg.Storage.Entries = l.head.Entries
	}
	switch m := r.aside.marked(); {
	case err != nil:
		msg.Err = "The book can't be opened, and readings can't be kept in this window. " + plainly(err)
	case m.Entries > 0 && m.Device != msg.Device && !slices.Contains(msg.Former, m.Device):
		msg.Err = unit.Sprintf("The browser has thrown away the book that was kept here (%d entries). Put it back from the file you saved last.", m.Entries)
	}
	r.put(msg)
	if left != nil {
		r.put(*left)
	}
}

// replay tries the items again that an earlier start could not keep. What
// still can't be kept is handed to the app.
func (r *Runner) replay() (recovered int, left *app.NotKept) {
	items := r.aside.waiting()
	if len(items) == 0 {
		return 0, nil
	}
	k, err := r.store.Keep(write{items: items})
	if err != nil {
		return 0, &app.NotKept{Items: items, Name: nameOf(err), Err: plainly(err)}
	}
	r.settle(k)
	return len(k.entries), nil
}

func (r *Runner) loadBuild(build string) {
	entries, d, err := r.store.LoadBuild(build)
	msg := app.BuildLoaded{Build: build, Entries: entries, Draft: d}
	if err != nil {
		msg.Err = "This build can't be read. " + plainly(err)
	}
	r.put(msg)
}

func (r *Runner) merge(e app.MergeEntries) {
	t, h, err := r.store.Merge(e.Entries, e.Cards)
	msg := app.Merged{New: t.fresh, Known: t.known, Differ: t.differ, Total: h.Entries}
	if err != nil {
		msg.Err = plainly(err)
	}
	if t.fresh > 0 {
		r.written(buildsOf(e.Entries), h)
	}
	r.put(msg)
}

// buildsOf lists the builds of entries, each once.
func buildsOf(entries []book.Entry) []string {
	return distinct(entries, func(e book.Entry) string { return e.Build })
}

func buildsOfItems(items []book.Item) []string {
	return distinct(items, func(it book.Item) string { return it.Build })
}

// distinct lists the names of things, each once, in the things' order.
func distinct[T any](things []T, name func(T) string) []string {
	var out []string
	seen := map[string]bool{}
	for _, t := range things {
		if n := name(t); !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	return out
}

func nameOf(err error) string {
	if f, ok := err.(*Failure); ok {
		return f.Name
	}
	return ""
}
