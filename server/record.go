package server

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"

	"portwright/server/wire"
)

// Kinds of record in the journal; the first byte of each.
const (
	kindEntry = 1 // length of device (1 byte), device, sequence (8 bytes, big endian), entry
	kindEpoch = 2 // Epoch as JSON
)

// Epoch names one past of the store.
type Epoch struct {
	ID   string `json:"epoch"`
	AtMS int64  `json:"at_ms"`
	Why  string `json:"why"` // it began, for a person
}

// Record is a journal record that was read.
type Record struct {
	Epoch  *Epoch // or
	Device string
	Seq    uint64
	Entry  []byte // shares the bytes it was read from
}

// EncodeEntry returns the journal record of an entry.
func EncodeEntry(device string, seq uint64, entry []byte) []byte {
	b := make([]byte, 0, 2+len(device)+8+len(entry))
	b = append(b, kindEntry, byte(len(device)))
	b = append(b, device...)
	b = binary.BigEndian.AppendUint64(b, seq)
	return append(b, entry...)
}

// EncodeEpoch returns the journal record that begins an epoch.
func EncodeEpoch(e Epoch) ([]byte, error) {
	b, err := json.Marshal(e)
	return append([]byte{kindEpoch}, b...), err
}

// ParseRecord reads a journal record. A kind that is not known is an error: a
// newer program wrote it, and this one must not go on without it.
func ParseRecord(b []byte) (Record, error) {
	if len(b) == 0 {
		return Record{}, errors.New("an empty record")
	}
	switch b[0] {
	case kindEpoch:
		var e Epoch
		if err := json.Unmarshal(b[1:], &e); err != nil || e.ID == "" {
			return Record{}, fmt.Errorf("a record of an epoch that can't be read (%v)", err)
		}
		return Record{Epoch: &e}, nil
	case kindEntry:
		if len(b) < 2 || len(b) < 2+int(b[1])+8 {
			return Record{}, errors.New("a record of an entry is too short")
		}
		n := 2 + int(b[1])
		r := Record{Device: string(b[2:n]), Seq: binary.BigEndian.Uint64(b[n:]), Entry: b[n+8:]}
		if err := wire.CheckDevice(r.Device); err != nil {
			return Record{}, err
		}
		if r.Seq == 0 || r.Seq > wire.MaxSeq {
			return Record{}, fmt.Errorf("a record with sequence number %d", r.Seq)
		}
		return r, nil
	}
	return Record{}, fmt.Errorf("a record of kind %d: a newer Portwright wrote it, start that one", b[0])
}
