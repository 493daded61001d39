package badgerdb

import (
	"encoding/binary"
	"errors"
	"fmt"

	"github.com/dgraph-io/badger/v4"

	"portwright/server"
)

// Check opens the database in a folder and goes through all of it: every table's
// check sums, and whether each row has its place, its chain and its tip. It is
// for a child process, which some damage ends.
func Check(dir string) (s server.State, err error) {
	x, err := Open(dir)
	if err != nil {
		return s, err
	}
	defer func() { err = errors.Join(err, x.Close()) }()
	if err := x.db.VerifyChecksum(); err != nil {
		return s, fmt.Errorf("index: %w", err)
	}
	if s, err = x.State(); err != nil {
		return s, err
	}
	return s, x.db.View(func(txn *badger.Txn) error {
		if err := checkRows(txn, s.Head); err != nil {
			return err
		}
		return checkPlaces(txn, s)
	})
}

// checkRows sees that cursors run from 1 to head.
func checkRows(txn *badger.Txn, head uint64) error {
	next := uint64(1)
	err := each(txn, "c", func(key string, b []byte) error {
		if len(key) != 8 || binary.BigEndian.Uint64([]byte(key)) != next {
			return fmt.Errorf("index: entry %d of %d is missing", next, head)
		}
		next++
		_, err := parseRow(next-1, b)
		return err
	})
	if err == nil && next != head+1 {
		err = fmt.Errorf("index: entry %d of %d is missing", next, head)
	}
	return err
}

// checkPlaces sees that every row is found by device and sequence, and that the
// chain of each device is that of its entries.
func checkPlaces(txn *badger.Txn, s server.State) error {
	count := uint64(0)
	tips := map[string]server.Tip{}
	err := each(txn, "d", func(key string, b []byte) error {
		if len(key) < 10 {
			return errShort
		}
		device, seq := key[:len(key)-9], binary.BigEndian.Uint64([]byte(key[len(key)-8:]))
		var at server.Row
		if err := parsePlace(b, &at); err != nil {
			return err
		}
		value, err := get(txn, keyCursor(at.Cursor))
		if err != nil {
			return err
		}
		row, err := parseRow(at.Cursor, value)
		if err != nil || row.Device != device || row.Seq != seq {
			return fmt.Errorf("index: entry %d of device %s is not at %d", seq, device, at.Cursor)
		}
		count++
		tip := tips[device]
		if linked := seq == tip.Seq+1; linked != at.Linked {
			return fmt.Errorf("index: entry %d of device %s does not follow %d", seq, device, tip.Seq)
		}
		if !at.Linked {
			return nil
		}
		tips[device] = server.Tip{Seq: seq, Chain: tip.Chain.Next(row.Entry)}
		if tips[device].Chain != at.Chain {
			return fmt.Errorf("index: entry %d of device %s has another chain", seq, device)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if count != s.Head || len(tips) != len(s.Tips) {
		return fmt.Errorf("index: %d of %d entries are found by device", count, s.Head)
	}
	for device, t := range tips {
		if s.Tips[device] != t {
			return fmt.Errorf("index: the tip of device %s is not %d", device, t.Seq)
		}
	}
	return nil
}
