package backup

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// Hour and minute of the nightly backup, by the PC's own clock.
const (
	hour   = 2
	minute = 30
)

// soon is how often a store whose newest backup is empty is looked at, and how
// long its first entries then wait for the next.
const soon = 5 * time.Minute

// Nightly makes a backup each night, and soon after the start when the last
// one is older than a day: shop PCs are switched off at night. The first entries
// do not wait for the night when the newest backup is empty.
type Nightly struct {
	Dir  string
	Each Each
	Held func() uint64                              // entries in the store; nil: not asked
	Now  func() time.Time                           // nil: time.Now
	Wait func(ctx context.Context, d time.Duration) // nil: waits; returns early with ctx
	Room func() error                               // nil: not asked; an error puts the backup off
	Tell func(seal Seal, name string, err error)    // what came of it
}

// next returns when the next backup is due.
func next(now, newest time.Time) time.Time {
	if newest.IsZero() || now.Sub(newest) > 24*time.Hour {
		return now.Add(time.Minute)
	}
	at := time.Date(now.Year(), now.Month(), now.Day(), hour, minute, 0, 0, now.Location())
	if !at.After(now) || sameDay(newest, at) {
		at = time.Date(now.Year(), now.Month(), now.Day()+1, hour, minute, 0, 0, now.Location())
	}
	return at
}

func sameDay(a, b time.Time) bool {
	return a.Format("20060102") == b.In(a.Location()).Format("20060102")
}

// Run goes on until the context ends.
func (n Nightly) Run(ctx context.Context) {
	if n.Now == nil {
		n.Now = time.Now
	}
	if n.Wait == nil {
		n.Wait = func(ctx context.Context, d time.Duration) {
			t := time.NewTimer(d)
			defer t.Stop()
			select {
			case <-t.C:
			case <-ctx.Done():
			}
		}
	}
	var tried time.Time // a failure is not repeated before the next night
	failed := false     // for another reason than want of room
	for {
		now := n.Now()
		_, newest, err := list(n.Dir, now.Location())
		if err != nil && !os.IsNotExist(err) {
			n.Tell(Seal{}, n.Dir, err)
		}
		if tried.After(newest) {
			newest = tried
		}
		due := next(now, newest)
		empty := !failed && n.empty(now.Location())
		for ctx.Err() == nil && n.Now().Before(due) {
			step := time.Hour // a PC sleeps, and its clock is set
			if empty {
				step = soon
				if at := n.Now().Add(soon); n.Held() > 0 && n.room() == nil {
					empty = false
					if at.Before(due) {
						due = at
					}
				}
			}
			n.Wait(ctx, min(due.Sub(n.Now()), step))
		}
		if ctx.Err() != nil {
			return
		}
		tried = n.Now()
		seal, name, err := n.Once()
		failed = err != nil && n.room() == nil
		n.Tell(seal, name, err)
	}
}

func (n Nightly) room() error {
	if n.Room == nil {
		return nil
	}
	return n.Room()
}

// empty says whether the newest backup holds nothing, or there is none.
func (n Nightly) empty(in *time.Location) bool {
	at, name := Newest(n.Dir, in)
	if n.Held == nil || at.IsZero() {
		return n.Held != nil
	}
	seal, err := Sealed(name)
	return err == nil && seal.Entries == 0
}

// Once makes a backup now and clears what is spare.
func (n Nightly) Once() (Seal, string, error) {
	if n.Now == nil {
		n.Now = time.Now
	}
	now := n.Now()
	name := filepath.Join(n.Dir, NameAt(now))
	if err := n.room(); err != nil {
		return Seal{}, name, err
	}
	if err := os.MkdirAll(n.Dir, 0o700); err != nil {
		return Seal{}, name, err
	}
	seal, err := Write(name, n.Each, now)
	if err != nil {
		return Seal{}, name, err
	}
	if err := thin(n.Dir, now.Location()); err != nil {
		return seal, name, fmt.Errorf("the backup was made; older ones can't be cleared: %w", err)
	}
	return seal, name, nil
}
