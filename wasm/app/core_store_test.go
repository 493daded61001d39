package app_test

import (
	"encoding/json"
	"fmt"
	"slices"

	"portwright/engine/book"
	"portwright/wasm/app"
)

// disk is what outlives the app: entries, drafts and settings of one device.
// It keeps what the effects say, in the order in which they come.
type disk struct {
	device   string
	seq      uint64
	clock    book.Clock
	entries  []book.Entry
	drafts   map[string]json.RawMessage
	settings app.Settings
	aside    []book.Item // of writes that could not be kept; tried again at the next start
	away     bool        // the shop PC can't be reached
	given    int         // of the entries, from the first, the shop PC has
}

// sync is what a round with the shop PC says when it ends.
func (d *disk) sync(now int64) app.SyncTold {
	told := app.SyncTold{Entries: len(d.entries), Code: "unreached"}
	if !d.away {
		d.given = len(d.entries)
		told.Code, told.SameMS = "", now
	}
	told.Lacks = len(d.entries) - d.given
	return told
}

func newDisk() *disk {
	return &disk{device: "00000000-0000-7000-8000-0000000000d1", drafts: map[string]json.RawMessage{}}
}

// keep writes items as one transaction; an item that is there already is the
// same write tried again.
func (d *disk) keep(items []book.Item, now int64) []book.Entry {
	var out []book.Entry
	for _, it := range items {
		if at := slices.IndexFunc(d.entries, func(e book.Entry) bool { return e.ID == it.ID }); at >= 0 {
			out = append(out, d.entries[at])
			continue
		}
		d.seq++
		if now > d.clock.MS {
			d.clock = book.Clock{MS: now}
		} else {
			d.clock.Ctr++
		}
		e := book.Entry{ID: it.ID, Device: d.device, Seq: d.seq, Clock: d.clock, Build: it.Build, Kind: it.Kind, Body: it.Body}
		d.entries = append(d.entries, e)
		out = append(out, e)
	}
	d.aside = slices.DeleteFunc(d.aside, func(it book.Item) bool {
		return slices.ContainsFunc(items, func(o book.Item) bool { return o.ID == it.ID })
	})
	return out
}

func (d *disk) has(id string) bool {
	return slices.ContainsFunc(d.entries, func(e book.Entry) bool { return e.ID == id })
}

func (d *disk) of(build string) []book.Entry {
	var out []book.Entry
	for _, e := range d.entries {
		if e.Build == build {
			out = append(out, e)
		}
	}
	return out
}

func (d *disk) cards() []book.Card {
	var out []book.Card
	var seen []string
	for _, e := range d.entries {
		if slices.Contains(seen, e.Build) {
			continue
		}
		seen = append(seen, e.Build)
		card, err := app.CardOf(e.Build, d.of(e.Build))
		if err != nil {
			panic(err)
		}
		out = append(out, card)
	}
	return out
}

// phone runs one app on a disk. Answers wait in line and are given in order,
// when the test says so.
type phone struct {
	m    *app.Model
	disk *disk
	now  int64
	n    int
	line []answer
	hash string

	told   map[string]bool // IDs that Kept said are durable
	writes []string        // tokens of Append in the order asked
	did    []app.Effect    // every effect in order
}

type answer struct {
	append *app.Append // decided when it is given: kept or not
	msg    func() app.Msg
}

func newPhone(d *disk) *phone {
	return &phone{m: app.New(), disk: d, now: 1_790_000_000_000, told: map[string]bool{}}
}

// send hands the app one message and carries its effects out.
func (p *phone) send(msg app.Msg) {
	p.n++
	p.now += 300
	in := app.Input{NowMS: p.now, Fresh: fmt.Sprintf("%08x-0000-7000-8000-000000000000", p.n+int(p.disk.seq)<<12)}
	if k, ok := msg.(app.Kept); ok {
		for _, e := range k.Entries {
			p.told[e.ID] = true
		}
	}
	for _, f := range p.m.Update(msg, in) {
		p.did = append(p.did, f)
		p.run(f)
	}
}

func (p *phone) run(f app.Effect) {
	later := func(make func() app.Msg) { p.line = append(p.line, answer{msg: make}) }
	switch f := f.(type) {
	case app.LoadBook:
		later(func() app.Msg {
			return app.BookLoaded{Device: p.disk.device, Cards: p.disk.cards(), Settings: p.disk.settings, Storage: app.Storage{Entries: len(p.disk.entries)}}
		})
	case app.LoadBuild:
		later(func() app.Msg {
			return app.BuildLoaded{Build: f.Build, Entries: p.disk.of(f.Build), Draft: p.disk.drafts[f.Build]}
		})
	case app.Append:
		p.writes = append(p.writes, f.Token)
		p.line = append(p.line, answer{append: &f})
	case app.Forget:
		p.disk.aside = slices.DeleteFunc(p.disk.aside, func(it book.Item) bool { return slices.Contains(f.IDs, it.ID) })
	case app.Sync:
		later(func() app.Msg { return p.disk.sync(p.now) })
	case app.SaveDraft:
		p.disk.drafts[f.Build] = f.Draft
	case app.SaveSettings:
		p.disk.settings = f.Settings
	case app.GoTo:
		p.hash = f.Hash
		later(func() app.Msg { return app.Navigated(f) })
	}
}

// next gives the oldest answer; a write is kept when ok says so.
func (p *phone) next(ok bool) {
	if len(p.line) == 0 {
		return
	}
	a := p.line[0]
	p.line = p.line[1:]
	if a.append == nil {
		p.send(a.msg())
		return
	}
	if !ok {
		p.disk.aside = append(p.disk.aside, a.append.Items...)
		p.send(app.NotKept{Token: a.append.Token, Items: a.append.Items, Name: "QuotaExceededError", Err: "no room"})
		return
	}
	p.send(app.Kept{Token: a.append.Token, Entries: p.disk.keep(a.append.Items, p.now), AtMS: p.now, Total: len(p.disk.entries)})
}

// settle gives every answer, all of them good.
func (p *phone) settle() {
	for range 1000 {
		if len(p.line) == 0 {
			return
		}
		p.next(true)
	}
}

// start opens the app at an address, as after a kill.
func (p *phone) start(hash string) {
	p.hash = hash
	p.send(app.Started{Hash: hash})
	p.settle()
}

// Build that the tests work on.
const buildID = "00000000-0000-7000-8000-00000000b001"

func benchHash() string { return app.Route{Station: app.AtBench, Build: buildID}.Hash() }

// newBench is a phone at the bench of a build with four windows.
func newBench() *phone {
	d := newDisk()
	set := func(id, path, value string) book.Item {
		body, err := json.Marshal(book.SetBody{Path: path, Value: json.RawMessage(value)})
		if err != nil {
			panic(err)
		}
		return book.Item{ID: "00000000-0000-7000-8000-0000000000" + id, Build: buildID, Kind: book.KindSet, Body: body}
	}
	items := []book.Item{set("01", "name", `"Pond pump 49"`)}
	for i, w := range []struct{ name, kind string }{
		{"exhaust", "exhaust"}, {"transfer left", "transfer"}, {"transfer right", "transfer"}, {"intake", "intake"},
	} {
		path := fmt.Sprintf("windows/w%d.", i+1)
		items = append(items, set(fmt.Sprintf("1%d", i), path+"name", `"`+w.name+`"`), set(fmt.Sprintf("2%d", i), path+"kind", `"`+w.kind+`"`))
	}
	d.keep(items, 1_780_000_000_000)
	p := newPhone(d)
	p.start(benchHash())
	return p
}

// types taps each value and Keep, and lets the disk keep it.
func (p *phone) types(values ...string) {
	for _, v := range values {
		for _, r := range v {
			p.send(app.BenchType{Key: string(r)})
		}
		p.send(app.BenchKeep{})
		p.settle()
	}
}

// newFresh is a UUID that no message of the phone gets.
func newFresh(p *phone) string {
	return fmt.Sprintf("%08x-0000-7000-8001-000000000000", p.n+int(p.disk.seq)<<12)
}
