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
	opening sync.Mutex
	c       *connection
}

// connected returns the open connection, or opens one.
func (d *database) connected() (*connection, error) {
	d.opening.Lock()
	defer d.opening.Unlock()
	if d.c != nil && !d.c.lost {
		return d.c, nil
	}
	db, err := openDatabase()
	if err != nil {
		return nil, err
	}
	c := &connection{db: db}
	c.own.on(db, "close", func(js.Value) { c.lost = true })
	c.own.on(db, "versionchange", func(js.Value) { c.close() })
	d.c = c
	return c, nil
}

// drop closes a connection that failed, so that the next use opens a new one.
func (d *database) drop(c *connection) {
	c.close()
	d.opening.Lock()
	defer d.opening.Unlock()
	if d.c == c {
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
