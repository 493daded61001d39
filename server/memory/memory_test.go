package memory

import (
	"testing"

	"portwright/server"
	"portwright/server/indextest"
)

func TestIndex(t *testing.T) {
	indextest.Run(t, func(*testing.T) server.Index { return &Index{} })
}

func TestHolesAreRefused(t *testing.T) {
	x := &Index{}
	for _, cursor := range []uint64{0, 2} {
		r := indextest.Rows(cursor, "a", 1, 1)
		if err := x.Put(r, nil); err == nil {
			t.Errorf("a first entry at %d is taken", cursor)
		}
	}
}
