package server

import (
	"encoding/json"
	"fmt"

	"portwright/server/wire"
)

// Pull returns a batch of entries behind a cursor, which goes with the epoch
// and the mark of the answer it came from. A cursor of another past starts
// again from 0, and the answer says so.
func (k *Keeper) Pull(epoch string, cursor uint64, mark string, limit int) (wire.PullAnswer, error) {
	if limit < 1 || limit > wire.MaxEntries {
		return wire.PullAnswer{}, &Error{Code: BadAsk, Field: "limit", Message: fmt.Sprintf("limit: is %d; it is 1 to %d.", limit, wire.MaxEntries)}
	}
	answer := wire.PullAnswer{Epoch: k.epoch.ID, ServerMS: k.nowMS()}
	k.mu.RLock()
	head := k.ledger.head
	k.mu.RUnlock()
	if cursor > 0 {
		same, err := k.sameCursor(epoch, cursor, mark, head)
		if err != nil {
			return wire.PullAnswer{}, err
		}
		if !same {
			cursor, answer.Reset = 0, true
		}
	}
	answer.Next, answer.Mark = cursor, mark
	if answer.Reset {
		answer.Mark = ""
	}
	rows, err := k.index.After(cursor, limit, wire.MaxBatchBytes)
	if err != nil {
		return wire.PullAnswer{}, err
	}
	if len(rows) == 0 && cursor < head {
		return wire.PullAnswer{}, fmt.Errorf("the index lacks entry %d of %d", cursor+1, head)
	}
	for i, r := range rows {
		if r.Cursor != cursor+uint64(i)+1 {
			return wire.PullAnswer{}, fmt.Errorf("the index has entry %d where %d should stand", r.Cursor, cursor+uint64(i)+1)
		}
		answer.Entries = append(answer.Entries, json.RawMessage(r.Entry))
		answer.Next, answer.Mark = r.Cursor, wire.Mark(r.Device, r.Seq, r.Entry)
	}
	answer.More = answer.Next < head
	return answer, nil
}

// sameCursor says whether a cursor still stands for the entry it stood for.
func (k *Keeper) sameCursor(epoch string, cursor uint64, mark string, head uint64) (bool, error) {
	if epoch != k.epoch.ID || cursor > head {
		return false, nil
	}
	rows, err := k.index.After(cursor-1, 1, 1)
	if err != nil {
		return false, err
	}
	if len(rows) == 0 || rows[0].Cursor != cursor {
		return false, fmt.Errorf("the index lacks entry %d of %d", cursor, head)
	}
	return wire.Mark(rows[0].Device, rows[0].Seq, rows[0].Entry) == mark, nil
}
