package ui

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/vugu/vugu"
	"github.com/vugu/vugu/staticrender"

	"portwright/engine/book"
	"portwright/wasm/app"
	"portwright/wasm/view"
)

var update = flag.Bool("update", false, "write the golden pages anew")

// desk is a bench with a disk that keeps everything at once.
type desk struct {
	m   *app.Model
	seq uint64
	now int64
	ids int
}

// newDesk opens a build with the usual windows at the bench.
func newDesk(t *testing.T) *desk {
	t.Helper()
	d := &desk{m: app.New(), now: 1_790_000_000_000}
	const id = "00000000-0000-7000-8000-00000000b001"
	d.send(app.Started{Hash: "b/" + id + "/bench"})
	d.send(app.BookLoaded{Device: "00000000-0000-7000-8000-0000000000d1"})
	d.seq++
	d.send(app.BuildLoaded{Build: id, Entries: []book.Entry{{
		ID: "00000000-0000-7000-8000-00000000e001", Device: d.m.Device, Seq: d.seq,
		Clock: book.Clock{MS: d.now}, Build: id, Kind: book.KindSet, Body: json.RawMessage(`{"path":"name","value":"Pond pump 49"}`),
	}}})
	return d
}

// send is one message and everything that follows from it at once.
func (d *desk) send(msgs ...app.Msg) {
	for _, msg := range msgs {
		d.now += 1000
		d.ids++
		fx := d.m.Update(msg, app.Input{NowMS: d.now, Fresh: fmt.Sprintf("00000000-0000-7000-8000-%08x0000", d.ids)})
		for _, f := range fx {
			if a, ok := f.(app.Append); ok {
				d.send(d.keep(a))
			}
		}
	}
}

func (d *desk) keep(a app.Append) app.Kept {
	k := app.Kept{Token: a.Token, AtMS: d.now}
	for i, it := range a.Items {
		d.seq++
		k.Entries = append(k.Entries, book.Entry{
			ID: it.ID, Device: d.m.Device, Seq: d.seq, Clock: book.Clock{MS: d.now, Ctr: uint32(i)},
			Build: it.Build, Kind: it.Kind, Body: it.Body,
		})
	}
	return k
}

// types taps a number and, with a trailing "!", Keep.
func (d *desk) types(values ...string) {
	for _, v := range values {
		for _, r := range strings.TrimSuffix(v, "!") {
			d.send(app.BenchType{Key: string(r)})
		}
		if strings.HasSuffix(v, "!") {
			d.send(app.BenchKeep{})
		}
	}
}

func page(t *testing.T, m *app.Model) string {
	t.Helper()
	env, err := vugu.NewBuildEnv()
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	root := &Root{Screen: view.Of(m), Send: func(app.Msg) {}}
	if err := staticrender.New(&out).Render(env.RunBuild(root)); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// benchStates are the states whose pages are held.
func benchStates() map[string]func(*desk) {
	windows := app.BenchWindows{Set: "2"}
	return map[string]func(*desk){
		"windows": func(*desk) {},
		"stop":    func(d *desk) { d.send(windows) },
		"reading": func(d *desk) {
			d.send(windows)
			d.types("341!", "23!", "104.5!", "104!", "104.5!", "259.5!", "259.5!", "260!", "122!", "12")
		},
		"refused": func(d *desk) { d.send(windows); d.types("361") },
		"odd":     func(d *desk) { d.send(windows, app.BenchSkip{}); d.types("104!", "134!") },
		"strike": func(d *desk) {
			d.send(windows, app.BenchSkip{})
			d.types("104!", "104.5!")
			d.send(app.BenchChip{ID: d.m.Open.Tally.Readings[0].ID})
		},
		"struck": func(d *desk) {
			d.send(windows, app.BenchSkip{})
			d.types("104!", "104.5!")
			d.send(app.BenchStrike{ID: d.m.Open.Tally.Readings[0].ID, Reason: app.ReasonMisread})
		},
		"undone": func(d *desk) {
			d.send(windows, app.BenchSkip{})
			d.types("104!", "104.5!", "104!")
			d.send(app.TakeBack{})
		},
		"quarter": func(d *desk) {
			d.send(windows, app.EngineChoose{Path: "wheel.numbering", Value: "0-90-0-90"}, app.BenchSkip{})
			d.types("88!")
		},
		"method": func(d *desk) {
			d.send(windows, app.BenchSkip{}, app.BenchMethod{Method: app.MethodFeeler, FeelerMM: 0.05}, app.BenchPanel{Panel: app.PanelMethod})
		},
		"help": func(d *desk) { d.send(windows, app.BenchPanel{Panel: app.PanelHelp}) },
		"list": func(d *desk) {
			d.send(windows)
			d.types("341!", "23!", "104.5!")
			d.send(app.BenchPanel{Panel: app.PanelList})
		},
		"notsaved": func(d *desk) {
			d.send(windows, app.BenchSkip{})
			d.types("104.5")
			fx := d.m.Update(app.BenchKeep{}, app.Input{NowMS: d.now + 1000, Fresh: "00000000-0000-7000-8000-00000000ffff"})
			d.send(app.NotKept{Token: fx[0].(app.Append).Token, Name: "QuotaExceededError", Err: "The browser has no room left for this page."})
		},
		"done": func(d *desk) {
			d.send(windows, app.BenchMode{Mode: app.FirstLook})
			d.types("104!", "120!", "121!", "287!")
		},
		"depth": func(d *desk) {
			d.send(windows, app.BenchHabit{Habit: "depth"}, app.BenchUnit{Unit: "in"})
			d.types("1.145!", "1.15")
		},
	}
}

func TestMain(m *testing.M) {
	time.Local = time.UTC // the strip shows the time of day of the device
	os.Exit(m.Run())
}

func TestBenchPages(t *testing.T) {
	for name, make := range benchStates() {
		t.Run(name, func(t *testing.T) {
			d := newDesk(t)
			make(d)
			got := page(t, d.m)
			if dir := os.Getenv("PAGES"); dir != "" {
				writePage(t, dir, name, got)
			}
			golden(t, filepath.Join("testdata", "bench_"+name+".html"), got)
		})
	}
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; look at it and run with -update\n got %s\nwant %s", path, got, want)
	}
}

// writePage writes a page with the style sheets, for a look in a browser.
func writePage(t *testing.T, dir, name, body string) {
	t.Helper()
	css, err := filepath.Glob("../../static/css/*.css")
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString(`<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">`)
	for _, f := range css {
		abs, err := filepath.Abs(f)
		if err != nil {
			t.Fatal(err)
		}
		b.WriteString(`<link rel="stylesheet" href="file://` + abs + `">`)
	}
	b.WriteString("<body>" + body)
	if err := os.WriteFile(filepath.Join(dir, name+".html"), []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
