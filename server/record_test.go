package server_test

import (
	"bytes"
	"testing"

	"portwright/server"
	"portwright/server/wire"
)

// What can be read of a journal's record is what would be written again.
func FuzzRecord(f *testing.F) {
	epoch, err := server.EncodeEpoch(server.Epoch{ID: "e", AtMS: 5, Why: "new"})
	if err != nil {
		f.Fatal(err)
	}
	for _, b := range [][]byte{nil, {1}, {1, 255}, {2}, {3}, epoch, epoch[:9], server.EncodeEntry("a", 1, []byte(`{}`)), server.EncodeEntry("phone-0", wire.MaxSeq, nil), server.EncodeEntry("", 1, nil)} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := server.ParseRecord(b)
		if err != nil {
			return
		}
		if r.Epoch == nil {
			if again := server.EncodeEntry(r.Device, r.Seq, r.Entry); !bytes.Equal(again, b) {
				t.Fatalf("%q is read as %+v and written as %q", b, r, again)
			}
			return
		}
		again, err := server.EncodeEpoch(*r.Epoch)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := server.ParseRecord(again); err != nil || *back.Epoch != *r.Epoch {
			t.Fatalf("%q became %q: %+v, %v", b, again, back, err)
		}
	})
}
