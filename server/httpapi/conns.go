package httpapi

import (
	"net"
	"sync"
)

// Connections that are held at one time. A browser opens six to one server.
const (
	maxConns        = 512
	maxConnsAddress = 64
)

// bounded closes connections beyond the bounds as soon as they come, so that
// one address can't use up what the others need.
type bounded struct {
	net.Listener
	total, each int

	mu   sync.Mutex
	open map[string]int // by address
	sum  int
}

func bound(ln net.Listener, total, each int) *bounded {
	return &bounded{Listener: ln, total: total, each: each, open: map[string]int{}}
}

// Accept returns the next connection within the bounds.
func (b *bounded) Accept() (net.Conn, error) {
	for {
		conn, err := b.Listener.Accept()
		if err != nil {
			return nil, err
		}
		host, _, err := net.SplitHostPort(conn.RemoteAddr().String())
		if err != nil {
			host = conn.RemoteAddr().String()
		}
		if from := network(host); b.enter(from) {
			return &counted{Conn: conn, leave: func() { b.leave(from) }}, nil
		}
		conn.Close()
	}
}

func (b *bounded) enter(from string) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.sum >= b.total || b.open[from] >= b.each {
		return false
	}
	b.sum++
	b.open[from]++
	return true
}

func (b *bounded) leave(from string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.sum--
	if b.open[from]--; b.open[from] == 0 {
		delete(b.open, from)
	}
}

// counted is a connection that is counted until it is closed.
type counted struct {
	net.Conn
	once  sync.Once
	leave func()
}

func (c *counted) Close() error {
	c.once.Do(c.leave)
	return c.Conn.Close()
}
