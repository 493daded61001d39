package authority

import (
	"crypto/tls"
	"fmt"
	"os"
	"sync"
	"time"
)

// Given is a certificate and a key of one's own, in two files that somebody
// else renews.
type Given struct {
	cert, key string
	now       func() time.Time
	log       func(format string, args ...any)

	mu     sync.Mutex
	loaded *tls.Certificate
	state  [2]stamp
	asked  time.Time
}

// stamp tells whether a file was changed.
type stamp struct {
	at   time.Time
	size int64
}

// OpenGiven loads a certificate and its key.
func OpenGiven(cert, key string, now func() time.Time, log func(format string, args ...any)) (*Given, error) {
	if now == nil {
		now = time.Now
	}
	g := &Given{cert: cert, key: key, now: now, log: log}
	return g, g.load()
}

func (g *Given) stamps() (out [2]stamp) {
	for i, file := range []string{g.cert, g.key} {
		if info, err := os.Stat(file); err == nil {
			out[i] = stamp{info.ModTime(), info.Size()}
		}
	}
	return out
}

func (g *Given) load() error {
	state := g.stamps()
	pair, err := tls.LoadX509KeyPair(g.cert, g.key)
	if err != nil {
		return fmt.Errorf("certificate %s with key %s: %w", g.cert, g.key, err)
	}
	g.loaded, g.state = &pair, state
	return nil
}

// refresh loads the files again when they were changed. Of two files that are
// being written, or don't fit, the old ones stay in use.
func (g *Given) refresh() {
	now := g.now()
	if gone := now.Sub(g.asked); gone >= 0 && gone < look {
		return
	}
	g.asked = now
	if g.stamps() == g.state {
		return
	}
	if err := g.load(); err != nil {
		g.log("The changed certificate is not used: %v", err)
		return
	}
	g.log("The changed certificate is in use, until %s.", g.loaded.Leaf.NotAfter.Format(time.DateOnly))
}

// Certificate is for tls.Config.GetCertificate: the current one.
func (g *Given) Certificate(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.refresh()
	return g.loaded, nil
}

// Names for which the certificate is.
func (g *Given) Names() Names {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.refresh()
	return namesOf(g.loaded.Leaf)
}

// Until is when the certificate ends.
func (g *Given) Until() time.Time {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.loaded.Leaf.NotAfter
}
