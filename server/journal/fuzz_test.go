package journal

import (
	"bytes"
	"testing"
)

// Whatever the bytes, a scan ends, every record it tells stands in them with
// its check sum, and records and bad stretches together are all the bytes.
func FuzzScan(f *testing.F) {
	one := AppendFrame(nil, []byte("one"))
	two := AppendFrame(bytes.Clone(one), []byte("two"))
	for _, b := range [][]byte{nil, header, append(bytes.Clone(header), two...), two, append(bytes.Clone(header), two[:20]...),
		append(append(bytes.Clone(header), one[:9]...), two...), AppendFrame(header, one), {0xa7, 'P', 'W', 'R', 255, 255, 255, 255, 0, 0, 0, 0}} {
		f.Add(b, []byte("kept"))
	}
	f.Fuzz(func(t *testing.T, b, record []byte) {
		covered := 0
		if bytes.HasPrefix(b, header) {
			covered = len(header)
		}
		bad, err := scan(b, func(r []byte) error {
			if !bytes.Contains(b, AppendFrame(nil, r)) {
				t.Fatalf("%q is no record of %q", r, b)
			}
			covered += headLen + len(r)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		last := 0
		for _, s := range bad {
			if s.from < last || s.to < s.from {
				t.Fatalf("stretches %v", bad)
			}
			covered += s.to - s.from
			last = s.to
		}
		if covered != len(b) {
			t.Fatalf("%d of %d bytes are accounted for", covered, len(b))
		}
		// A whole record behind any rubbish is found again.
		if len(record) > MaxRecord {
			return
		}
		found := false
		if _, err := scan(append(bytes.Clone(b), AppendFrame(nil, record)...), func(r []byte) error {
			found = bytes.Equal(r, record)
			return nil
		}); err != nil || (!found && !hides(b)) {
			t.Fatalf("%q behind %q is not found", record, b)
		}
	})
}

// hides says whether the rubbish holds the beginning of a record that reaches
// beyond it: then what follows may be read as its data.
func hides(b []byte) bool {
	return bytes.Contains(b, marker) || bytes.HasSuffix(b, marker[:1]) || bytes.HasSuffix(b, marker[:2]) || bytes.HasSuffix(b, marker[:3])
}
