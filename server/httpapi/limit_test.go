package httpapi

import (
	"fmt"
	"net"
	"testing"
)

// Who is told to wait is one address, or one device; the books on them are
// bounded.
func TestBuckets(t *testing.T) {
	b := newBuckets(1, 3)
	for i := range 5 {
		if got := b.allow("a"); got != (i < 3) {
			t.Errorf("question %d: %v", i, got)
		}
	}
	if !b.allow("b") {
		t.Error("another pays for the first")
	}
	for i := range 3 * maxBuckets {
		b.allow(fmt.Sprint(i))
	}
	if len(b.all) > maxBuckets {
		t.Errorf("%d addresses are remembered", len(b.all))
	}
	for text, want := range map[string]string{
		"192.168.1.7": "192.168.1.7", "::ffff:192.168.1.7": "192.168.1.7", "fe80::1%eth0": "fe80::/64", "2001:db8:1:2:3::4": "2001:db8:1:2::/64", "pipe": "pipe",
	} {
		if got := network(text); got != want {
			t.Errorf("%s counts as %s, want %s", text, got, want)
		}
	}
}

// fakeListener hands out connections of given addresses.
type fakeListener struct {
	net.Listener
	from []string
}

type fakeConn struct {
	net.Conn
	from   string
	closed bool
}

func (c *fakeConn) RemoteAddr() net.Addr { return addr(c.from) }
func (c *fakeConn) Close() error         { c.closed = true; return nil }

type addr string

func (a addr) Network() string { return "tcp" }
func (a addr) String() string  { return string(a) }

func (l *fakeListener) Accept() (net.Conn, error) {
	if len(l.from) == 0 {
		return nil, net.ErrClosed
	}
	c := &fakeConn{from: l.from[0]}
	l.from = l.from[1:]
	return c, nil
}

func TestConnectionsAreBounded(t *testing.T) {
	l := &fakeListener{from: []string{"10.0.0.1:1", "10.0.0.1:2", "10.0.0.1:3", "10.0.0.2:1", "10.0.0.3:1"}}
	b := bound(l, 3, 2)
	var got []net.Conn
	for {
		c, err := b.Accept()
		if err != nil {
			break
		}
		got = append(got, c)
	}
	if len(got) != 3 || got[2].RemoteAddr().String() != "10.0.0.2:1" {
		t.Errorf("%d connections are held; the third of one address and the fourth of all must be closed", len(got))
	}
	for range 2 { // closing twice gives one place back
		got[0].Close()
	}
	l.from = []string{"10.0.0.1:4", "10.0.0.1:5"}
	if c, err := b.Accept(); err != nil || c.RemoteAddr().String() != "10.0.0.1:4" {
		t.Error("the place of a closed connection is not given on")
	}
	if _, err := b.Accept(); err == nil {
		t.Error("one place was given twice")
	}
	for _, c := range got[1:] {
		c.Close()
	}
	if b.open["10.0.0.2"] != 0 || len(b.open) != 1 {
		t.Errorf("after closing: %v", b.open)
	}
}
