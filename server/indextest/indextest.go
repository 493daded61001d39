// Package indextest holds every server.Index to what the interface promises.
package indextest

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"testing"

	"portwright/server"
	"portwright/server/wire"
)

// Rows returns linked rows of a device with sequence numbers from 1.
func Rows(cursor uint64, device string, n, size int) (rows []server.Row) {
	var c wire.Chain
	for seq := uint64(1); seq <= uint64(n); seq++ {
		e := fmt.Appendf(nil, `{"device":%q,"seq":%d,"x":"%s"}`, device, seq, strings.Repeat("x", size))
		c = c.Next(e)
		rows = append(rows, server.Row{Cursor: cursor, Device: device, Seq: seq, Linked: true, Chain: c, Entry: e})
		cursor++
	}
	return rows
}

// Run tests an index; fresh returns an empty one.
func Run(t *testing.T, fresh func(t *testing.T) server.Index) {
	t.Run("empty", func(t *testing.T) { empty(t, fresh(t)) })
	t.Run("rows", func(t *testing.T) { rows(t, fresh(t)) })
	t.Run("loose", func(t *testing.T) { loose(t, fresh(t)) })
	t.Run("seen", func(t *testing.T) { seen(t, fresh(t)) })
	t.Run("large", func(t *testing.T) { large(t, fresh(t)) })
	t.Run("beside", func(t *testing.T) { beside(t, fresh(t)) })
}

func put(t *testing.T, x server.Index, rows ...server.Row) {
	t.Helper()
	if err := x.Put(rows, nil); err != nil {
		t.Fatal(err)
	}
}

func state(t *testing.T, x server.Index, head uint64, tips map[string]server.Tip) {
	t.Helper()
	s, err := x.State()
	if err != nil || s.Head != head || !maps.Equal(s.Tips, tips) {
		t.Errorf("state %+v, %v; want head %d and %+v", s, err, head, tips)
	}
}

func at(t *testing.T, x server.Index, want server.Row) {
	t.Helper()
	r, ok, err := x.At(want.Device, want.Seq)
	if err != nil || !ok || r.Cursor != want.Cursor || r.Linked != want.Linked || r.Chain != want.Chain || !bytes.Equal(r.Entry, want.Entry) {
		t.Errorf("At(%s, %d): %+v, %v, %v; want %+v", want.Device, want.Seq, r, ok, err, want)
	}
}

func after(t *testing.T, x server.Index, cursor uint64, limit, size int, want ...server.Row) {
	t.Helper()
	got, err := x.After(cursor, limit, size)
	if err != nil || !slices.EqualFunc(got, want, func(a, b server.Row) bool {
		return a.Cursor == b.Cursor && a.Device == b.Device && a.Seq == b.Seq && bytes.Equal(a.Entry, b.Entry)
	}) {
		t.Errorf("After(%d, %d, %d): %d rows, %v; want %d", cursor, limit, size, len(got), err, len(want))
	}
}

func empty(t *testing.T, x server.Index) {
	state(t, x, 0, nil)
	after(t, x, 0, 10, 10)
	if _, ok, err := x.At("a", 1); ok || err != nil {
		t.Errorf("At: %v, %v", ok, err)
	}
	if s, err := x.Seen(); len(s) > 0 || err != nil {
		t.Errorf("Seen: %v, %v", s, err)
	}
}

func rows(t *testing.T, x server.Index) {
	a, b := Rows(1, "a", 3, 10), Rows(4, "a.b", 2, 10) // one name begins with the other
	put(t, x, a...)
	put(t, x, b...)
	put(t, x, b...) // again
	all := slices.Concat(a, b)
	tips := map[string]server.Tip{"a": {Seq: 3, Chain: a[2].Chain}, "a.b": {Seq: 2, Chain: b[1].Chain}}
	state(t, x, 5, tips)
	for _, r := range all {
		at(t, x, r)
	}
	for _, miss := range []server.Row{{Device: "a", Seq: 4}, {Device: "", Seq: 1}, {Device: "a.", Seq: 1}, {Device: "b", Seq: 1}} {
		if _, ok, err := x.At(miss.Device, miss.Seq); ok || err != nil {
			t.Errorf("At(%q, %d): %v, %v", miss.Device, miss.Seq, ok, err)
		}
	}
	n := len(a[0].Entry)
	after(t, x, 0, 10, 1<<20, all...)
	after(t, x, 2, 2, 1<<20, all[2:4]...)
	after(t, x, 5, 2, 1<<20)
	after(t, x, 99, 2, 1<<20)
	after(t, x, 0, 10, 1, all[0])
	after(t, x, 0, 10, 2*n, all[:2]...)
	after(t, x, 0, 10, 2*n-1, all[0])
	if err := x.Reset(); err != nil {
		t.Fatal(err)
	}
	empty(t, x)
	b[0].Cursor = 1
	put(t, x, b[0])
	state(t, x, 1, map[string]server.Tip{"a.b": {Seq: 1, Chain: b[0].Chain}})
}

func loose(t *testing.T, x server.Index) {
	r := Rows(1, "a", 4, 10)
	r[0].Cursor, r[1].Cursor, r[2].Cursor, r[3].Cursor = 1, 4, 2, 3 // 3 and 4 came first
	apart := []server.Row{r[2], r[3]}
	for i := range apart {
		apart[i].Linked, apart[i].Chain = false, wire.Chain{}
	}
	put(t, x, r[0], apart[0], apart[1])
	state(t, x, 3, map[string]server.Tip{"a": {Seq: 1, Chain: r[0].Chain}})
	at(t, x, apart[1])
	put(t, x, r[1], r[2], r[3])
	state(t, x, 4, map[string]server.Tip{"a": {Seq: 4, Chain: r[3].Chain}})
	at(t, x, r[3])
	slices.SortFunc(r, func(a, b server.Row) int { return cmp.Compare(a.Cursor, b.Cursor) })
	after(t, x, 0, 10, 1<<20, r...)
}

func seen(t *testing.T, x server.Index) {
	one, two := server.Seen{Device: "a", App: "x", Schema: 1, AtMS: 5, OffsetMS: -7}, server.Seen{Device: "b"}
	if err := x.Put(nil, []server.Seen{one, two}); err != nil {
		t.Fatal(err)
	}
	one.OffsetMS = 9
	if err := x.Put(Rows(1, "a", 1, 1), []server.Seen{one}); err != nil {
		t.Fatal(err)
	}
	got, err := x.Seen()
	slices.SortFunc(got, func(a, b server.Seen) int { return strings.Compare(a.Device, b.Device) })
	if err != nil || !slices.Equal(got, []server.Seen{one, two}) {
		t.Errorf("seen %+v, %v", got, err)
	}
}

// The largest batch that a push may hold, and more than one transaction takes.
func large(t *testing.T, x server.Index) {
	a := Rows(1, "a", 12, wire.MaxEntryBytes-100)
	put(t, x, a...)
	state(t, x, 12, map[string]server.Tip{"a": {Seq: 12, Chain: a[11].Chain}})
	b := Rows(13, strings.Repeat("b", wire.MaxDevice), 3*wire.MaxEntries, 20)
	put(t, x, b...)
	after(t, x, 1000, 1, 1<<20, b[988])
	at(t, x, a[11])
}

// Readers go on beside the writer and see rows without holes.
func beside(t *testing.T, x server.Index) {
	all := Rows(1, "a", 400, 20)
	var readers sync.WaitGroup
	stop := make(chan struct{})
	for range 3 {
		readers.Go(func() {
			for {
				got, err := x.After(0, 1000, 1<<20)
				if err != nil || len(got) > 0 && got[len(got)-1].Cursor != uint64(len(got)) {
					t.Errorf("%d rows, %v", len(got), err)
				}
				if n := len(got); n > 0 {
					if _, ok, err := x.At("a", uint64(n)); !ok || err != nil {
						t.Errorf("At: %v, %v", ok, err)
					}
				}
				select {
				case <-stop:
					return
				default:
				}
			}
		})
	}
	for i := 0; i < len(all); i += 40 {
		if err := x.Put(all[i:i+40], nil); err != nil {
			t.Error(err)
		}
	}
	close(stop)
	readers.Wait()
}
