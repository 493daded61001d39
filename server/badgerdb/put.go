package badgerdb

import (
	"encoding/binary"
	"encoding/json"
	"errors"

	"github.com/dgraph-io/badger/v4"

	"portwright/server"
)

// Put implements server.Index. A batch too large for one transaction takes
// several; head and tips go with each, so that whatever part is there stands
// for a state of its own.
func (x *DB) Put(rows []server.Row, seen []server.Seen) error {
	p := &putter{db: x.db}
	for _, s := range seen {
		b, err := json.Marshal(s)
		if err != nil {
			return err
		}
		p.seen = append(p.seen, b)
		p.seenKeys = append(p.seenKeys, keySeen(s.Device))
	}
	for len(rows) > 0 || len(p.seen) > 0 {
		n, err := p.some(rows)
		if err != nil {
			return full(err)
		}
		if n == 0 && len(rows) > 0 {
			return errors.New("index: an entry is larger than a transaction")
		}
		rows = rows[n:]
	}
	return nil
}

type putter struct {
	db       *badger.DB
	seen     [][]byte
	seenKeys [][]byte
}

// maxBytes of a transaction, below the database's own bound (15 % of the
// memtable) with room for keys, head and tips.
const maxBytes = 900 << 10

// some writes the first rows that fit a transaction, and what is seen with
// them, and returns how many rows they were.
func (p *putter) some(rows []server.Row) (n int, err error) {
	err = p.db.Update(func(txn *badger.Txn) error {
		head, err := headOf(txn)
		if err != nil {
			return err
		}
		tips := map[string]server.Tip{}
		for size := 0; n < len(rows); n++ {
			r := rows[n]
			if size += len(r.Entry) + 2*len(r.Device) + 200; size > maxBytes && n > 0 {
				break
			}
			if err := p.row(txn, tips, r); err != nil {
				return err
			}
			head = max(head, r.Cursor)
		}
		for device, t := range tips {
			if err := txn.Set(keyTip(device), valueTip(t)); err != nil {
				return err
			}
		}
		for i, key := range p.seenKeys {
			if err := txn.Set(key, p.seen[i]); err != nil {
				return err
			}
		}
		return txn.Set(keyHead, binary.BigEndian.AppendUint64(nil, head))
	})
	p.seen, p.seenKeys = nil, nil
	return n, err
}

func (p *putter) row(txn *badger.Txn, tips map[string]server.Tip, r server.Row) error {
	if err := txn.Set(keyCursor(r.Cursor), valueRow(r)); err != nil {
		return err
	}
	if err := txn.Set(keyPlace(r.Device, r.Seq), valuePlace(r)); err != nil {
		return err
	}
	if !r.Linked {
		return nil
	}
	old, ok := tips[r.Device]
	if !ok {
		var err error
		if old, err = tipOf(txn, r.Device); err != nil {
			return err
		}
	}
	if r.Seq > old.Seq {
		old = server.Tip{Seq: r.Seq, Chain: r.Chain}
	}
	if old.Seq > 0 {
		tips[r.Device] = old
	}
	return nil
}

func headOf(txn *badger.Txn) (uint64, error) {
	b, err := get(txn, keyHead)
	if err != nil || b == nil {
		return 0, err
	}
	if len(b) != 8 {
		return 0, errShort
	}
	return binary.BigEndian.Uint64(b), nil
}
