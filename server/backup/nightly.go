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

// Nightly makes a backup each night, and soon after the start when the last
// one is older than a day: shop PCs are switched off at night.
type Nightly struct {
	Dir  string
	Each Each
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
		for ctx.Err() == nil && n.Now().Before(due) {
			n.Wait(ctx, min(due.Sub(n.Now()), time.Hour)) // in steps: a PC sleeps, and its clock is set
		}
		if ctx.Err() != nil {
			return
		}
		tried = n.Now()
		n.Tell(n.Once())
	}
}

// Once makes a backup now and clears what is spare.
func (n Nightly) Once() (Seal, string, error) {
	if n.Now == nil {
		n.Now = time.Now
	}
	now := n.Now()
	name := filepath.Join(n.Dir, NameAt(now))
	if n.Room != nil {
		if err := n.Room(); err != nil {
			return Seal{}, name, err
		}
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
