package browser

import (
	"sync"

	"portwright/wasm/app"
)

// Inbox is the queue of messages between everything that happens and the model.
// Put never blocks, so it may be called from a JavaScript callback.
type Inbox struct {
	mu      sync.Mutex
	waiting []app.Msg
	ready   chan struct{} // one token while something may be waiting
}

// NewInbox returns an empty inbox.
func NewInbox() *Inbox { return &Inbox{ready: make(chan struct{}, 1)} }

// Put adds a message at the end.
func (b *Inbox) Put(m app.Msg) {
	b.mu.Lock()
	b.waiting = append(b.waiting, m)
	b.mu.Unlock()
	select {
	case b.ready <- struct{}{}:
	default:
	}
}

// Drain returns every message that waits, in the order in which they were put.
func (b *Inbox) Drain() []app.Msg {
	b.mu.Lock()
	defer b.mu.Unlock()
	got := b.waiting
	b.waiting = nil
	return got
}

// Take waits until there is at least one message and returns all of them.
func (b *Inbox) Take() []app.Msg {
	for {
		if got := b.Drain(); len(got) > 0 {
			return got
		}
		<-b.ready
	}
}
