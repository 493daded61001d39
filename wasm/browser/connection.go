//go:build js && wasm

package browser

import (
	"sync"
	"syscall/js"
	"time"
)

const (
	databaseName    = "portwright"
	databaseVersion = 1 // for ever; versions live inside the values

	storeEntries = "entries"
	storeMeta    = "meta"
	storeCards   = "cards"
	storeDrafts  = "drafts"

	// openPatience and workPatience end a wait that the browser never answers.
	// Both are far longer than a slow phone needs; the first is shorter than
	// the boot script's patience with the app (15 s).
	openPatience = 9 * time.Second
	workPatience = 20 * time.Second
)

// connection is an open handle of the database.
type connection struct {
	db   js.Value
	own  funcs
	lost bool // closed by us or by the browser
}

// database opens connections and runs transactions on them.
type database struct {
	mu      sync.Mutex // never held while something is waited for
	c       *connection
	opening *opening // in hand; nil when there is none
}

// opening is one attempt to open; whoever needs a connection meanwhile waits
// for its outcome.
type opening struct {
	done chan struct{}
	c    *connection
	err  error
}

// connected returns the open connection, or opens one.
func (d *database) connected() (*connection, error) {
	d.mu.Lock()
	if d.c != nil && !d.c.lost {
		defer d.mu.Unlock()
		return d.c, nil
	}
	o := d.opening
	if o != nil {
		d.mu.Unlock()
		<-o.done
		return o.c, o.err
	}
	o = &opening{done: make(chan struct{})}
	d.opening = o
	d.mu.Unlock()

	o.c, o.err = open()
	d.mu.Lock()
	defer d.mu.Unlock()
	d.opening = nil
	d.forget()
	d.c = o.c
	close(o.done)
	return o.c, o.err
}

func open() (*connection, error) {
	db, err := openDatabase()
	if err != nil {
		return nil, err
	}
	c := &connection{db: db}
	c.own.on(db, "close", func(js.Value) { c.lost = true })
	c.own.on(db, "versionchange", func(js.Value) { c.close() })
	return c, nil
}

// drop closes a connection that failed, so that the next use opens a new one.
func (d *database) drop(c *connection) {
	c.close()
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.c == c {
		d.forget()
	}
}

// forget gives the listeners of a connection up that is closed.
func (d *database) forget() {
	if d.c != nil {
		d.c.own.release()
		d.c = nil
	}
}

func (c *connection) close() {
	c.lost = true
	_ = try(func() { c.db.Call("close") })
}

// openDatabase opens version 1 and makes the stores when they are not there.
func openDatabase() (js.Value, error) {
	type outcome struct {
		db  js.Value
		err error
	}
	done := make(chan outcome, 4)
	gaveUp := false
	own := &funcs{}
	err := try(func() {
		factory := global.Get("indexedDB") // reading it may throw
		if !factory.Truthy() {
			done <- outcome{err: &Failure{Name: "NotSupportedError", Message: "no IndexedDB"}}
			return
		}
		req := factory.Call("open", databaseName, databaseVersion)
		own.on(req, "upgradeneeded", func(js.Value) {
			if err := try(func() { makeStores(req.Get("result")) }); err != nil {
				done <- outcome{err: err}
			}
		})
		own.on(req, "success", func(js.Value) {
			db := req.Get("result")
			if gaveUp {
				db.Call("close")
				own.release()
				return
			}
			done <- outcome{db: db}
		})
		own.on(req, "error", func(e js.Value) {
			e.Call("preventDefault")
			done <- outcome{err: failureOf(req.Get("error"))}
		})
		own.on(req, "blocked", func(js.Value) {
			done <- outcome{err: &Failure{Name: nameBlocked, Message: "another tab holds the database"}}
		})
	})
	if err != nil {
		own.release()
		return js.Undefined(), err
	}
	patience := time.NewTimer(openPatience)
	defer patience.Stop()
	select {
	case o := <-done:
		// A blocked request may still succeed later; it is closed then.
		if f, ok := o.err.(*Failure); ok && f.Name == nameBlocked {
			gaveUp = true
		} else {
			own.release()
		}
		return o.db, o.err
	case <-patience.C:
		gaveUp = true
		return js.Undefined(), &Failure{Name: nameSilent, Message: "the database does not open"}
	}
}

func makeStores(db js.Value) {
	entries := db.Call("createObjectStore", storeEntries)
	entries.Call("createIndex", "build", "build")
	entries.Call("createIndex", "id", "id", map[string]any{"unique": true})
	db.Call("createObjectStore", storeMeta)
	db.Call("createObjectStore", storeCards)
	db.Call("createObjectStore", storeDrafts)
}
