// Package announce answers the local network's question for the shop PC's name
// (multicast DNS, RFC 6762), for machines whose system does not.
package announce

import (
	"context"
	"errors"
	"fmt"
	"net"
	"sync"
	"time"

	"github.com/pion/mdns/v2"
	"golang.org/x/net/dns/dnsmessage"
	"golang.org/x/net/ipv4"
)

// again is how long after the network failed it is tried again: a shop PC's
// Wi-Fi may come up after the server.
const again = 30 * time.Second

// Announcer answers for one name.
type Announcer struct {
	Name func() string                // shop-pc.local
	Log  func(string, ...any)         // what a person should know
	Open func() (*net.UDPConn, error) // nil: the network's multicast group
	Over []mdns.ServerOption          // how the name is answered besides; tests ask over loopback

	mu   sync.Mutex
	last string // fault that was said last
}

// Run answers until the context ends.
func (a *Announcer) Run(ctx context.Context) {
	if a.Open == nil {
		a.Open = group
	}
	for ctx.Err() == nil {
		a.say(a.serve(ctx))
		select {
		case <-ctx.Done():
		case <-time.After(again):
		}
	}
}

// group listens on the port of multicast DNS; other programs may too. The
// groups of each interface are joined by the responder.
func group() (*net.UDPConn, error) {
	addr, err := net.ResolveUDPAddr("udp4", mdns.DefaultAddressIPv4)
	if err != nil {
		return nil, err
	}
	return net.ListenUDP("udp4", addr)
}

// serve answers for the name until it changes, the network fails or the
// context ends.
func (a *Announcer) serve(ctx context.Context) error {
	conn, err := a.Open()
	if err != nil {
		return fmt.Errorf("the name can't be announced: %w", err)
	}
	name := a.Name()
	server, err := mdns.NewServer(ipv4.NewPacketConn(conn), nil, append([]mdns.ServerOption{mdns.WithLocalNames(name), mdns.WithRecordTypes(dnsmessage.TypeA)}, a.Over...)...)
	if err != nil {
		return errors.Join(fmt.Errorf("the name %s can't be announced: %w", name, err), conn.Close())
	}
	a.say(nil)
	ticker := time.NewTicker(again)
	defer ticker.Stop()
	for ctx.Err() == nil && a.Name() == name {
		select {
		case <-ctx.Done():
		case <-ticker.C:
		}
	}
	return server.Close()
}

// say tells a fault once, not each time.
func (a *Announcer) say(err error) {
	text := ""
	if err != nil {
		text = err.Error()
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	if text != a.last && text != "" {
		a.Log("%s. Phones reach this computer by its address.", text)
	}
	a.last = text
}
