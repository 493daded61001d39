package journal

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
)

var (
	header = []byte("PWJRNL1\n")
	marker = []byte{0xa7, 'P', 'W', 'R'}
)

const (
	headLen = 12
	// MaxRecord is the largest record.
	MaxRecord = 1 << 20
)

func castagnoli(length, data []byte) uint32 {
	table := crc32.MakeTable(crc32.Castagnoli) // made once by the library
	return crc32.Update(crc32.Checksum(length, table), table, data)
}

// AppendFrame appends a record as it stands in a file.
func AppendFrame(dst, record []byte) []byte {
	var n [4]byte
	binary.LittleEndian.PutUint32(n[:], uint32(len(record)))
	dst = append(dst, marker...)
	dst = append(dst, n[:]...)
	dst = binary.LittleEndian.AppendUint32(dst, castagnoli(n[:], record))
	return append(dst, record...)
}

var errNoRecord = errors.New("no whole record")

// frame reads the record at the beginning of b and returns it with the length
// of its frame.
func frame(b []byte) (record []byte, n int, err error) {
	if len(b) < headLen || !bytes.HasPrefix(b, marker) {
		return nil, 0, errNoRecord
	}
	length := binary.LittleEndian.Uint32(b[4:])
	if length > MaxRecord || int(length) > len(b)-headLen {
		return nil, 0, errNoRecord
	}
	record = b[headLen : headLen+int(length) : headLen+int(length)]
	if castagnoli(b[4:8], record) != binary.LittleEndian.Uint32(b[8:]) {
		return nil, 0, errNoRecord
	}
	return record, headLen + int(length), nil
}

// stretch is bytes of a file that are no records.
type stretch struct{ from, to int }

// scan calls f with every record of a file's bytes and returns the stretches
// between them that are none. A header that is not whole is such a stretch.
func scan(b []byte, f func(record []byte) error) (bad []stretch, err error) {
	at := 0
	if bytes.HasPrefix(b, header) {
		at = len(header)
	} else if len(b) > 0 {
		next := find(b, 0)
		bad = append(bad, stretch{0, next})
		at = next
	}
	for at < len(b) {
		record, n, err := frame(b[at:])
		if err != nil {
			next := find(b, at+1)
			bad = append(bad, stretch{at, next})
			at = next
			continue
		}
		if err := f(record); err != nil {
			return bad, err
		}
		at += n
	}
	return bad, nil
}

// Scan calls f with every record of bytes that hold a file's, header included,
// and returns how many bytes of them are no records and where the first of
// those stands.
func Scan(b []byte, f func(record []byte) error) (bad, first int, err error) {
	stretches, err := scan(b, f)
	for i, s := range stretches {
		if i == 0 {
			first = s.from
		}
		bad += max(1, s.to-s.from)
	}
	return bad, first, err
}

// Header returns the bytes that a file begins with.
func Header() []byte { return bytes.Clone(header) }

// find returns where the next whole record begins, len(b) if there is none.
func find(b []byte, at int) int {
	for {
		i := bytes.Index(b[at:], marker)
		if i < 0 {
			return len(b)
		}
		at += i
		if _, _, err := frame(b[at:]); err == nil {
			return at
		}
		at++
	}
}
