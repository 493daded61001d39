//go:build js && wasm

package browser

import (
	"slices"
	"syscall/js"
	"time"
)

// transaction is one transaction in hand. Requests are issued when it is made
// and in the callbacks of its own requests, nowhere else: an engine ends a
// transaction that waits for anything but itself.
type transaction struct {
	tx    js.Value
	own   funcs
	fault error // our own reason for giving it up
	done  chan error
}

// Durability of a transaction.
const (
	strict  = "strict"
	relaxed = "relaxed"
)

// read and write run body in a transaction and return after its complete
// event, or with the reason why it did not complete. When the connection turns
// out to be lost, it is opened again and body runs a second time, so body must
// set what it returns anew and must be safe to repeat.
func (d *database) read(stores []string, body func(*transaction)) error {
	return d.run(stores, "readonly", relaxed, body)
}

// Every write has the store meta in its scope, so that the browser runs one
// after the other, those of other tabs too. Two writes under way at once on
// different stores are allowed by the standard, but when Chromium is killed in
// the middle of both it takes its database for corrupt at the next start and
// deletes it whole. Seen with Chromium 156: "Got corruption ... recovering from a
// corrupted (and deleted) database", the write-ahead log being sound and both
// transactions unfinished in it; with one at a time it is undone as it should.
func (d *database) write(stores []string, durability string, body func(*transaction)) error {
	if !slices.Contains(stores, storeMeta) {
		stores = append([]string{storeMeta}, stores...)
	}
	return d.run(stores, "readwrite", durability, body)
}

func (d *database) run(stores []string, mode, durability string, body func(*transaction)) error {
	var err error
	for range 2 {
		var c *connection
		c, err = d.connected()
		if err == nil {
			if err = c.run(stores, mode, durability, body); err == nil {
				return nil
			}
		}
		if !again(err) {
			return err
		}
		if c != nil {
			d.drop(c)
		}
	}
	return err
}

func (c *connection) run(stores []string, mode, durability string, body func(*transaction)) error {
	names := make([]any, len(stores))
	for i, s := range stores {
		names[i] = s
	}
	t := &transaction{done: make(chan error, 1)}
	err := try(func() {
		t.tx = c.db.Call("transaction", names, mode, map[string]any{"durability": durability})
		t.own.on(t.tx, "complete", func(js.Value) { t.end(nil) })
		t.own.on(t.tx, "abort", func(js.Value) { t.end(t.reason()) })
		// An error that nobody caught ends as abort; the request knows why.
		t.own.on(t.tx, "error", func(e js.Value) {
			if t.fault == nil {
				t.fault = failureOf(e.Get("target").Get("error"))
			}
		})
	})
	if err != nil {
		t.own.release()
		return err
	}
	t.guard(func() { body(t) })

	patience := time.NewTimer(workPatience)
	defer patience.Stop()
	select {
	case err := <-t.done:
		t.own.release()
		return err
	case <-patience.C:
		_ = try(func() { t.tx.Call("abort") })
		go func() { <-t.done; t.own.release() }()
		return &Failure{Name: nameTimeout, Message: "the transaction does not end"}
	}
}

func (t *transaction) end(err error) {
	select {
	case t.done <- err:
	default:
	}
}

// reason says why the transaction was given up. A full disk shows up only on
// the transaction itself.
func (t *transaction) reason() error {
	if e := t.tx.Get("error"); e.Type() == js.TypeObject {
		f := failureOf(e)
		if t.fault == nil || f.Name != "AbortError" {
			return f
		}
	}
	if t.fault != nil {
		return t.fault
	}
	return &Failure{Name: "AbortError", Message: "the browser gave the transaction up"}
}

// guard runs do; what it throws, or an error it sets, gives the transaction up.
func (t *transaction) guard(do func()) {
	if err := try(do); err != nil {
		t.giveUp(err)
	}
}

// giveUp undoes everything the transaction did.
func (t *transaction) giveUp(err error) {
	if t.fault == nil {
		t.fault = err
	}
	if err := try(func() { t.tx.Call("abort") }); err != nil {
		t.end(t.fault) // it had ended before
	}
}

func (t *transaction) store(name string) js.Value { return t.tx.Call("objectStore", name) }

// then runs do in the callback of the last of the requests, with their results
// in order.
func (t *transaction) then(requests []js.Value, do func(results []js.Value)) {
	left := len(requests)
	if left == 0 {
		do(nil)
		return
	}
	one := t.own.make(func(js.Value) {
		if left--; left > 0 {
			return
		}
		results := make([]js.Value, len(requests))
		t.guard(func() {
			for i, r := range requests {
				results[i] = r.Get("result")
			}
			do(results)
		})
	})
	for _, r := range requests {
		t.own.listen(r, "success", one)
	}
}
