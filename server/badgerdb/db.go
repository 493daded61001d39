// Package badgerdb is the index in a Badger database.
//
//	c cursor            -> length of device (1 byte), device, sequence, entry
//	d device 00 sequence -> cursor, linked (1 byte), chain
//	t device            -> sequence and chain of the tip
//	h                   -> cursor of the newest entry
//	s device            -> server.Seen as JSON
//
// Numbers are 8 bytes, big endian.
//
// The settings are for a small machine, and for damage to show: without
// compression a table whose bytes changed is an error when it is opened, where
// with it the database may lose blocks without a word. Values stay below the
// threshold, so that no value log is used and none has to be collected.
package badgerdb

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"

	"github.com/dgraph-io/badger/v4"
	"github.com/dgraph-io/badger/v4/options"

	"portwright/server"
	"portwright/server/disk"
)

// DB is a server.Index.
type DB struct {
	dir string
	db  *badger.DB
}

func settings(dir string) badger.Options {
	return badger.DefaultOptions(dir).
		WithSyncWrites(true).
		WithCompression(options.None).
		WithChecksumVerificationMode(options.OnTableRead).
		WithVerifyValueChecksum(true).
		WithMemTableSize(8 << 20).
		WithNumMemtables(2).
		WithBlockCacheSize(0).
		WithIndexCacheSize(0).
		WithValueThreshold(512 << 10).
		WithValueLogFileSize(16 << 20).
		WithNumCompactors(2).
		WithNumLevelZeroTables(2).
		WithNumLevelZeroTablesStall(4).
		WithCompactL0OnClose(true).
		WithDetectConflicts(false). // one writer
		WithMetricsEnabled(false).
		WithNumGoroutines(2).
		WithLogger(nil)
}

// Open opens the database in a folder, which is made when it is not there.
// Some kinds of damage end the program; Check in a child process finds them.
func Open(dir string) (*DB, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	db, err := badger.Open(settings(dir))
	if err != nil {
		return nil, fmt.Errorf("index: %w", full(err))
	}
	return &DB{dir: dir, db: db}, nil
}

func full(err error) error {
	if err != nil && disk.IsFull(err) {
		return fmt.Errorf("%w (%w)", server.ErrFull, err)
	}
	return err
}

// Close closes the database.
func (x *DB) Close() error { return full(x.db.Close()) }

var keyHead = []byte("h")

func keyCursor(cursor uint64) []byte { return binary.BigEndian.AppendUint64([]byte("c"), cursor) }

func keyTip(device string) []byte { return append([]byte("t"), device...) }

func keySeen(device string) []byte { return append([]byte("s"), device...) }

func keyPlace(device string, seq uint64) []byte {
	b := append([]byte("d"), device...)
	return binary.BigEndian.AppendUint64(append(b, 0), seq)
}

func valueRow(r server.Row) []byte {
	b := make([]byte, 0, 9+len(r.Device)+len(r.Entry))
	b = append(b, byte(len(r.Device)))
	b = append(b, r.Device...)
	b = binary.BigEndian.AppendUint64(b, r.Seq)
	return append(b, r.Entry...)
}

func valuePlace(r server.Row) []byte {
	b := binary.BigEndian.AppendUint64(nil, r.Cursor)
	if r.Linked {
		return append(append(b, 1), r.Chain[:]...)
	}
	return append(b, make([]byte, 1+len(r.Chain))...)
}

func valueTip(t server.Tip) []byte {
	return append(binary.BigEndian.AppendUint64(nil, t.Seq), t.Chain[:]...)
}

var errShort = errors.New("index: a value is too short")

func parseRow(cursor uint64, b []byte) (server.Row, error) {
	if len(b) < 1 || len(b) < 9+int(b[0]) {
		return server.Row{}, errShort
	}
	n := 1 + int(b[0])
	return server.Row{Cursor: cursor, Device: string(b[1:n]), Seq: binary.BigEndian.Uint64(b[n:]), Entry: b[n+8:]}, nil
}

func parsePlace(b []byte, r *server.Row) error {
	if len(b) != 9+len(r.Chain) {
		return errShort
	}
	r.Cursor, r.Linked = binary.BigEndian.Uint64(b), b[8] == 1
	copy(r.Chain[:], b[9:])
	return nil
}

func parseTip(b []byte) (t server.Tip, err error) {
	if len(b) != 8+len(t.Chain) {
		return t, errShort
	}
	t.Seq = binary.BigEndian.Uint64(b)
	copy(t.Chain[:], b[8:])
	return t, nil
}

// get returns a value, nil when there is none.
func get(txn *badger.Txn, key []byte) ([]byte, error) {
	item, err := txn.Get(key)
	if errors.Is(err, badger.ErrKeyNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return item.ValueCopy(nil)
}

// At implements server.Index.
func (x *DB) At(device string, seq uint64) (r server.Row, ok bool, err error) {
	err = x.db.View(func(txn *badger.Txn) error {
		place, err := get(txn, keyPlace(device, seq))
		if err != nil || place == nil {
			return err
		}
		var at server.Row
		if err := parsePlace(place, &at); err != nil {
			return err
		}
		b, err := get(txn, keyCursor(at.Cursor))
		if err != nil {
			return err
		}
		if r, err = parseRow(at.Cursor, b); err != nil {
			return err
		}
		if r.Device != device || r.Seq != seq {
			return fmt.Errorf("index: entry %d is not %d of device %s", at.Cursor, seq, device)
		}
		r.Linked, r.Chain, ok = at.Linked, at.Chain, true
		return nil
	})
	return r, ok, err
}

// After implements server.Index.
func (x *DB) After(cursor uint64, limit, size int) (rows []server.Row, err error) {
	err = x.db.View(func(txn *badger.Txn) error {
		it := txn.NewIterator(badger.IteratorOptions{Prefix: []byte("c"), PrefetchValues: true, PrefetchSize: min(limit, 100)})
		defer it.Close()
		for it.Seek(keyCursor(cursor + 1)); it.Valid() && len(rows) < limit; it.Next() {
			key := it.Item().Key()
			b, err := it.Item().ValueCopy(nil)
			if err != nil {
				return err
			}
			if len(key) != 9 {
				return errShort
			}
			r, err := parseRow(binary.BigEndian.Uint64(key[1:]), b)
			if err != nil {
				return err
			}
			if size -= len(r.Entry); size < 0 && len(rows) > 0 {
				return nil
			}
			rows = append(rows, r)
		}
		return nil
	})
	return rows, err
}

// State implements server.Index.
func (x *DB) State() (s server.State, err error) {
	s.Tips = map[string]server.Tip{}
	err = x.db.View(func(txn *badger.Txn) error {
		b, err := get(txn, keyHead)
		if err != nil {
			return err
		}
		if len(b) == 8 {
			s.Head = binary.BigEndian.Uint64(b)
		}
		return each(txn, "t", func(device string, b []byte) error {
			t, err := parseTip(b)
			s.Tips[device] = t
			return err
		})
	})
	return s, err
}

// Seen implements server.Index.
func (x *DB) Seen() (out []server.Seen, err error) {
	err = x.db.View(func(txn *badger.Txn) error {
		return each(txn, "s", func(_ string, b []byte) error {
			var s server.Seen
			if err := json.Unmarshal(b, &s); err != nil {
				return err
			}
			out = append(out, s)
			return nil
		})
	})
	return out, err
}

// each calls f with every key below a prefix, without that, and its value.
func each(txn *badger.Txn, prefix string, f func(key string, value []byte) error) error {
	it := txn.NewIterator(badger.IteratorOptions{Prefix: []byte(prefix), PrefetchValues: true, PrefetchSize: 100})
	defer it.Close()
	for it.Rewind(); it.Valid(); it.Next() {
		key := string(it.Item().Key()[len(prefix):])
		if err := it.Item().Value(func(b []byte) error { return f(key, b) }); err != nil {
			return err
		}
	}
	return nil
}

// Reset implements server.Index: the folder is begun again.
func (x *DB) Reset() error {
	if err := x.Close(); err != nil {
		return err
	}
	if err := os.RemoveAll(x.dir); err != nil {
		return err
	}
	again, err := Open(x.dir)
	if err != nil {
		return err
	}
	x.db = again.db
	return nil
}

// tipOf returns what is stored of a device's tip.
func tipOf(txn *badger.Txn, device string) (server.Tip, error) {
	b, err := get(txn, keyTip(device))
	if err != nil || b == nil {
		return server.Tip{}, err
	}
	return parseTip(b)
}

var _ server.Index = (*DB)(nil)
