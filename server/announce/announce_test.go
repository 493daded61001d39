package announce

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pion/mdns/v2"
	"golang.org/x/net/dns/dnsmessage"
)

// loopback is an announcer that is asked over this machine alone.
func loopback(t *testing.T) (a *Announcer, ask *net.UDPConn, said func() string) {
	t.Helper()
	listens, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	var over net.Interface
	all, err := net.Interfaces()
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range all {
		if one.Flags&net.FlagLoopback != 0 {
			over = one
		}
	}
	var mu sync.Mutex
	var lines []string
	a = &Announcer{
		Name: func() string { return "shop-pc.local" }, Open: func() (*net.UDPConn, error) { return listens, nil },
		Log: func(format string, args ...any) {
			mu.Lock()
			lines = append(lines, fmt.Sprintf(format, args...))
			mu.Unlock()
		},
		Over: []mdns.ServerOption{mdns.WithIncludeLoopback(true), mdns.WithInterfaces(over), mdns.WithLocalAddress(net.IPv4(127, 0, 0, 1))},
	}
	ask, err = net.DialUDP("udp4", nil, listens.LocalAddr().(*net.UDPAddr))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ask.Close(); listens.Close() })
	return a, ask, func() string { mu.Lock(); defer mu.Unlock(); return strings.Join(lines, "\n") }
}

// question asks for the address of a name (RFC 1035, 4; RFC 6762, 5.1).
func question(t *testing.T, ask *net.UDPConn, name string, wait time.Duration) (answer string) {
	t.Helper()
	m := dnsmessage.Message{
		Header:    dnsmessage.Header{ID: 7},
		Questions: []dnsmessage.Question{{Name: dnsmessage.MustNewName(name), Type: dnsmessage.TypeA, Class: dnsmessage.ClassINET}},
	}
	packet, err := m.Pack()
	if err != nil {
		t.Fatal(err)
	}
	for until := time.Now().Add(wait); time.Now().Before(until); {
		if _, err := ask.Write(packet); err != nil {
			t.Fatal(err)
		}
		_ = ask.SetReadDeadline(time.Now().Add(200 * time.Millisecond))
		buffer := make([]byte, 1500)
		n, err := ask.Read(buffer)
		if err != nil {
			continue
		}
		var got dnsmessage.Message
		if err := got.Unpack(buffer[:n]); err != nil {
			t.Fatal(err)
		}
		for _, r := range got.Answers {
			if a, ok := r.Body.(*dnsmessage.AResource); ok && got.Response {
				return r.Header.Name.String() + " " + net.IP(a.A[:]).String()
			}
		}
	}
	return ""
}

func TestAnswersForItsName(t *testing.T) {
	a, ask, said := loopback(t)
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { a.Run(ctx); close(done) }()
	if got := question(t, ask, "shop-pc.local.", 10*time.Second); got != "shop-pc.local. 127.0.0.1" {
		t.Errorf("answered %q; said %s", got, said())
	}
	if got := question(t, ask, "bank.local.", time.Second); got != "" {
		t.Errorf("it answers for another name: %q", got)
	}
	stop()
	select {
	case <-done:
	case <-time.After(10 * time.Second):
		t.Fatal("it goes on")
	}
}

// Without a network it is said once, and the rest of the server goes on.
func TestNoNetwork(t *testing.T) {
	var lines []string
	a := &Announcer{Name: func() string { return "x.local" }, Open: func() (*net.UDPConn, error) { return nil, errors.New("no network") },
		Log: func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }}
	for range 3 {
		a.say(a.serve(t.Context()))
	}
	if len(lines) != 1 || !strings.Contains(lines[0], "no network. Phones reach") {
		t.Errorf("said %q", lines)
	}
}
