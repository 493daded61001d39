package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"portwright/server/wire"
	"portwright/wasm/sync/phonetest"
)

// overHTTP is a running server as a phone sees it.
type overHTTP string

func (where overHTTP) Push(p wire.Push) (a wire.PushAnswer, err error) {
	body := wire.AppendPush(nil, &p)
	return a, where.ask(&a, func() (*http.Response, error) {
		return http.Post(string(where)+"api/v1/push", "application/json", bytes.NewReader(body))
	})
}

func (where overHTTP) Pull(epoch string, cursor uint64, mark string, limit int) (a wire.PullAnswer, err error) {
	return a, where.ask(&a, func() (*http.Response, error) {
		return http.Get(fmt.Sprintf("%sapi/v1/pull?epoch=%s&cursor=%d&mark=%s&limit=%d", where, epoch, cursor, mark, limit))
	})
}

func (where overHTTP) ask(to any, send func() (*http.Response, error)) error {
	r, err := send()
	if err != nil {
		return err
	}
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err == nil && r.StatusCode != http.StatusOK {
		err = fmt.Errorf("%d: %s", r.StatusCode, b)
	}
	if err != nil {
		return err
	}
	return json.Unmarshal(b, to)
}

// Entries outlive the server; a second one on the same folder is told.
func TestServeKeepsEntries(t *testing.T) {
	data, dist := t.TempDir(), packed(t, "a")
	p := phonetest.New("phone", 100)
	for range 3 {
		where, stop := running(t, serveFlags{addr: "localhost:0", data: data, dist: dist})
		for range 50 {
			p.Write(`"id":"x"`)
		}
		if err := p.Sync(overHTTP(where), 1); err != nil {
			t.Fatal(err)
		}
		err := serve(t.Context(), serveFlags{addr: "localhost:0", data: data, dist: dist}, io.Discard)
		if err == nil || !strings.Contains(err.Error(), "running already with the folder "+data) {
			t.Errorf("a second server: %v", err)
		}
		stop()
	}
	where, stop := running(t, serveFlags{addr: "localhost:0", data: data, dist: dist})
	defer stop()
	q := phonetest.New("other", 100)
	if err := q.Sync(overHTTP(where), 1); err != nil || wire.Digest(q.Have()) != wire.Digest(p.Have()) || len(q.Entries()) != 150 {
		t.Errorf("another phone has %d entries, %v", len(q.Entries()), err)
	}
}

// A signal ends the program in order: status 0, and the next start finds the
// index closed.
func TestSignalsStopTheServer(t *testing.T) {
	for _, sig := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		data := t.TempDir()
		cmd := exec.Command(os.Args[0], "serve", "-alone", "-addr", "localhost:0", "-data", data, "-dist", packed(t, "a"))
		said := &heard{}
		cmd.Stdout, cmd.Stderr = said, said
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		p := phonetest.New("phone", 100)
		p.Write(`"id":"x"`)
		err := p.Sync(overHTTP(said.address(t)), 1)
		if err := cmd.Process.Signal(sig); err != nil {
			t.Fatal(err)
		}
		done := make(chan error, 1)
		go func() { done <- cmd.Wait() }()
		select {
		case ended := <-done:
			if ended != nil || err != nil {
				t.Errorf("%v: %v, %v", sig, ended, err)
			}
		case <-time.After(20 * time.Second):
			_ = cmd.Process.Kill()
			t.Fatalf("%v: it goes on", sig)
		}
		if _, err := os.Stat(filepath.Join(data, "db.seal")); err != nil {
			t.Errorf("%v: the index was not closed: %v", sig, err)
		}
	}
}

// What is wrong with a flag is said before anything is served.
func TestServeRefusesFlags(t *testing.T) {
	data, out := t.TempDir(), &heard{}
	_, stop := running(t, serveFlags{addr: "localhost:0", data: data, dist: packed(t, "a"), origins: "https://192.0.2.7:8443"})
	stop()
	for _, c := range []struct {
		f    serveFlags
		want string
	}{
		{serveFlags{addr: "localhost:0", data: data, dist: packed(t, "a"), origins: "192.0.2.7"}, `-origin "192.0.2.7"`},
		{serveFlags{addr: "localhost:0", data: filepath.Join(data, "db.seal"), dist: packed(t, "a")}, "-data"},
	} {
		if err := serve(t.Context(), c.f, out); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.f, err, c.want)
		}
	}
}
