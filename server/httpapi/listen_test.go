package httpapi

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

func start(t *testing.T, h http.Handler) (addr string, stop func() error) {
	t.Helper()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- Run(ctx, ln, h, nil) }()
	t.Cleanup(cancel)
	return ln.Addr().String(), func() error {
		cancel()
		select {
		case err := <-done:
			return err
		case <-time.After(10 * time.Second):
			return fmt.Errorf("the server did not stop")
		}
	}
}

func TestRunServesAndStops(t *testing.T) {
	addr, stop := start(t, handler(t, Config{Dist: buildA()}))
	answer, err := http.Get("http://" + addr + "/b/" + idA + "/boot.js")
	if err != nil {
		t.Fatal(err)
	}
	body, _ := io.ReadAll(answer.Body)
	answer.Body.Close()
	if string(body) != "boot" {
		t.Errorf("body %q", body)
	}
	if err := stop(); err != nil {
		t.Errorf("stop: %v", err)
	}
	if _, err := http.Get("http://" + addr + "/"); err == nil {
		t.Error("the server still answers after it was stopped")
	}
}

func TestAnswerUnderWayIsFinished(t *testing.T) {
	begun := make(chan bool)
	addr, stop := start(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		close(begun)
		time.Sleep(200 * time.Millisecond)
		fmt.Fprint(w, "finished")
	}))
	got := make(chan string, 1)
	go func() {
		answer, err := http.Get("http://" + addr + "/")
		if err != nil {
			got <- err.Error()
			return
		}
		body, _ := io.ReadAll(answer.Body)
		answer.Body.Close()
		got <- string(body)
	}()
	<-begun
	if err := stop(); err != nil {
		t.Errorf("stop: %v", err)
	}
	if body := <-got; body != "finished" {
		t.Errorf("the answer under way became %q", body)
	}
}

// A client that sends its header one byte at a time, or a huge one, is let go.
func TestSlowAndHugeHeaders(t *testing.T) {
	addr, _ := start(t, handler(t, Config{Dist: buildA()}))
	for _, c := range []struct{ name, send, want string }{
		{"never ends its header", "GET / HTTP/1.1\r\nHost: localhost\r\n", ""},
		{"huge header", "GET / HTTP/1.1\r\nHost: localhost\r\nX: " + strings.Repeat("x", 64<<10) + "\r\n\r\n", "431"},
	} {
		conn, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		_ = conn.SetDeadline(time.Now().Add(10 * time.Second))
		_, _ = io.WriteString(conn, c.send) // the server may hang up before all is sent
		line, err := bufio.NewReader(conn).ReadString('\n')
		if ne, ok := err.(net.Error); ok && ne.Timeout() {
			t.Errorf("%s: still connected after 10 s", c.name)
		}
		if !strings.Contains(line, c.want) {
			t.Errorf("%s: answered %q, want %q", c.name, line, c.want)
		}
	}
}
