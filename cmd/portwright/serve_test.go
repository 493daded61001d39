package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"portwright/static/release"
	"portwright/static/release/releasetest"
)

// packed writes a small build into a folder.
func packed(t *testing.T, digit string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, releasetest.Build(releasetest.ID(digit), nil)); err != nil {
		t.Fatal(err)
	}
	return dir
}

// heard collects what the server prints while it runs.
type heard struct {
	mu sync.Mutex
	b  strings.Builder
}

func (h *heard) Write(p []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.b.Write(p)
}

func (h *heard) address(t *testing.T) string {
	t.Helper()
	for range 200 {
		h.mu.Lock()
		text := h.b.String()
		h.mu.Unlock()
		if _, rest, ok := strings.Cut(text, " is at "); ok && strings.Contains(rest, "\n") {
			return strings.TrimSpace(strings.SplitN(rest, "\n", 2)[0])
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("the server printed no address")
	return ""
}

// eventually waits for a while for something to be so.
func eventually(is func() bool) bool {
	for range 500 {
		if is() {
			return true
		}
		time.Sleep(10 * time.Millisecond)
	}
	return false
}

func running(t *testing.T, f serveFlags) (where string, stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	out, done := &heard{}, make(chan error, 1)
	go func() { done <- serve(ctx, f, out) }()
	where = out.address(t)
	return where, func() {
		cancel()
		if err := <-done; err != nil {
			t.Errorf("serve ended with %v", err)
		}
	}
}

func fetch(t *testing.T, url string) (int, string) {
	t.Helper()
	answer, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(body)
}

func TestServeKeepsTheEarlierBuild(t *testing.T) {
	data := t.TempDir()
	a, b := releasetest.ID("a"), releasetest.ID("b")
	for _, run := range []struct{ digit, own, earlier string }{{"a", a, ""}, {"b", b, a}, {"a", a, b}} {
		where, stop := running(t, serveFlags{addr: "localhost:0", data: data, dist: packed(t, run.digit)})
		if _, body := fetch(t, where); !strings.Contains(body, run.own) {
			t.Errorf("build %s serves %q", run.own, body)
		}
		if run.earlier != "" {
			if status, _ := fetch(t, where+"b/"+run.earlier+"/index.html"); status != 200 {
				t.Errorf("build %s in use: a file of the earlier build answers %d", run.own, status)
			}
		}
		stop()
	}
}

func TestServeWithdrawn(t *testing.T) {
	where, stop := running(t, serveFlags{addr: "localhost:0", data: t.TempDir(), dist: packed(t, "a"), withdraw: true})
	defer stop()
	if _, body := fetch(t, where+release.Worker); body != "// withdrawn" {
		t.Errorf("sw.js is %q", body)
	}
}

func TestServeSaysWhatIsWrong(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	addr := fmt.Sprintf("127.0.0.1:%d", taken.Addr().(*net.TCPAddr).Port)
	good, data := packed(t, "a"), t.TempDir()
	for _, c := range []struct {
		args   []string
		status int
		want   string
	}{
		{[]string{"-addr", addr, "-data", data, "-dist", good}, exitFailed, "-addr localhost:8082"},
		{[]string{"-addr", "nonsense", "-data", data, "-dist", good}, exitFailed, "-addr names host and port"},
		{[]string{"-addr", "localhost:0", "-data", data, "-dist", t.TempDir()}, exitFailed, "go run ./cmd/dev build"},
		{[]string{"-addr", "localhost:0", "-data", file, "-dist", good}, exitFailed, "-data"},
		{[]string{"-port", "80"}, exitInput, "-port"},
		{[]string{"now"}, exitInput, `"now" is too much`},
		{[]string{"-h"}, exitOK, "-withdraw"},
	} {
		var out, msg strings.Builder
		status := run(append([]string{"serve", "-alone"}, c.args...), strings.NewReader(""), &out, &msg)
		if status != c.status || !strings.Contains(msg.String(), c.want) || out.Len() > 0 {
			t.Errorf("serve %v: status %d, said %q and %q; want %d and %q", c.args, status, msg.String(), out.String(), c.status, c.want)
		}
	}
}
