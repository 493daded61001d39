package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"time"

	"portwright/cmd/dev/alone"
	"portwright/wasm/e2e/bigbook"
	"portwright/wasm/e2e/served"
	"portwright/wasm/sync"
	"portwright/wasm/sync/phonetest"
)

const synced = 10_000 // entries

// syncTimes measures giving and taking 10,000 entries over HTTP and a sync with
// nothing to do, this program's and PouchDB's one after the other, both with a
// phone that keeps its book in memory.
func syncTimes(root string, r *alone.Runner) []row {
	entries := made(r, synced/50+1, synced)
	app := served.App(r)
	phone := filled(entries)
	ask := asker(app.URL)
	push := timed(r, phone, ask)
	pull := timed(r, phonetest.New("other", 500), ask)
	idle := timed(r, phone, ask)
	asks := phone.Asks
	memory := peakMB(app.PID())
	rows := []row{
		{fmt.Sprintf("a sync with nothing to do, questions (and %.0f ms)", 1000*idle), "1", strconv.Itoa(asks), judge(float64(asks), 1)},
		{"server memory after it, resident at most", "120 MB", fmt.Sprintf("%.0f MB", memory), judge(memory, 120)},
	}
	p, err := pouchTimes(root, r, entries)
	if err != nil {
		ours := fmt.Sprintf("give %.2f s, take %.2f s", push, pull)
		return append(rows, row{fmt.Sprintf("sync of %d entries; beside PouchDB: %v", synced, err), "half of PouchDB's time", ours, broken})
	}
	beside := func(what string, ours, theirs float64) row {
		return row{what, "half of PouchDB's time", fmt.Sprintf("%.3f s against %.3f s", ours, theirs), judge(ours, theirs/2)}
	}
	return append([]row{
		beside(fmt.Sprintf("give %d entries", synced), push, p.Push),
		beside(fmt.Sprintf("take %d entries", synced), pull, p.Pull),
		beside("sync with nothing to do", idle, p.Idle),
		{"memory of PouchDB's server after it", "", fmt.Sprintf("%.0f MB", p.memory), told},
	}, rows...)
}

// made returns the first n entries of a book of builds with 50 readings each,
// without their addresses: what a phone writes after them.
func made(r *alone.Runner, builds, n int) []map[string]json.RawMessage {
	b, err := bigbook.Make(builds, 50)
	r.Must(err)
	if len(b.Entries) < n {
		r.Must(fmt.Errorf("a book of %d builds has %d entries, not %d", builds, len(b.Entries), n))
	}
	out := make([]map[string]json.RawMessage, n)
	for i := range out {
		text, err := json.Marshal(b.Entries[i])
		r.Must(err)
		r.Must(json.Unmarshal(text, &out[i]))
		delete(out[i], "device")
		delete(out[i], "seq")
	}
	return out
}

func filled(entries []map[string]json.RawMessage) *phonetest.Phone {
	p := phonetest.New("giver", 500)
	for _, e := range entries {
		text, _ := json.Marshal(e) // of raw JSON
		p.Write(string(text[1 : len(text)-1]))
	}
	return p
}

// timed is the seconds of one round, until the phone rests.
func timed(r *alone.Runner, p *phonetest.Phone, ask func(*sync.Ask) sync.Answered) float64 {
	begin := time.Now()
	p.Round(func() int64 { return time.Now().UnixMilli() }, ask)
	took := time.Since(begin).Seconds()
	if s := p.Status(); s.Lacks != 0 || s.Code != "" {
		r.Must(fmt.Errorf("the sync did not end well: %+v", s))
	}
	return took
}

// asker asks over HTTP as the app does: compressed, one question at a time.
func asker(url string) func(*sync.Ask) sync.Answered {
	url = strings.TrimSuffix(url, "/") + "/api/v1/"
	return func(a *sync.Ask) sync.Answered {
		var answer *http.Response
		var err error
		if a.Push == nil {
			answer, err = http.Get(url + "pull?" + a.Pull)
		} else {
			var body bytes.Buffer
			zip := gzip.NewWriter(&body)
			_, _ = zip.Write(a.Push) // into memory
			_ = zip.Close()
			ask, _ := http.NewRequest(http.MethodPost, url+"push", &body)
			ask.Header.Set("Content-Type", "application/json")
			ask.Header.Set("Content-Encoding", "gzip")
			answer, err = http.DefaultClient.Do(ask)
		}
		if err != nil {
			return sync.Answered{}
		}
		defer answer.Body.Close()
		body, err := io.ReadAll(answer.Body)
		if err != nil {
			return sync.Answered{}
		}
		return sync.Answered{Status: answer.StatusCode, Body: body}
	}
}

// fullStart measures the start of a server that keeps 1,000 builds with 50,000
// readings, until it says what it has.
func fullStart(_ string, r *alone.Runner) []row {
	app := served.App(r)
	b, err := bigbook.Make(1000, 50)
	r.Must(err)
	timed(r, filled(made(r, 1000, len(b.Entries))), asker(app.URL))
	var took []float64
	for range 5 {
		app.Stop()
		begin := time.Now()
		app.Start()
		answer, err := http.Get(app.URL + "api/v1/have")
		r.Must(err)
		answer.Body.Close()
		took = append(took, time.Since(begin).Seconds())
	}
	memory := peakMB(app.PID())
	return []row{
		{fmt.Sprintf("server start with 1,000 builds, %d entries, median of 5", len(b.Entries)), "0.5 s", fmt.Sprintf("%.2f s (worst %.2f)", middle(took), share(took, 1)), judge(middle(took), 0.5)},
		{"server memory after it, resident at most", "120 MB", fmt.Sprintf("%.0f MB", memory), judge(memory, 120)},
	}
}

// peakMB is the most memory that a process had resident, in MB, where the
// system tells it; else 0.
func peakMB(pid int) float64 {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	_, after, _ := strings.Cut(string(text), "VmHWM:")
	var kB float64
	if _, err := fmt.Sscan(after, &kB); err != nil {
		return 0
	}
	return kB / 1000
}

var errNoNode = errors.New("needs Node.js and npm")

// moreHistories lets ten times as many random histories of phones and shop PC
// converge as the tests do.
func moreHistories(root string, r *alone.Runner) []row {
	const n = 100_000
	begin := time.Now()
	test := exec.Command("go", "test", "-count=1", "-timeout=60m", "./wasm/e2e/syncmodel", "-histories", strconv.Itoa(n))
	test.Dir = root
	said, err := test.CombinedOutput()
	if err != nil {
		r.Must(fmt.Errorf("%w\n%s", err, said))
	}
	return []row{{fmt.Sprintf("%d random histories of phones and shop PC", n), "all converge", fmt.Sprintf("all, in %.0f s", time.Since(begin).Seconds()), held}}
}
