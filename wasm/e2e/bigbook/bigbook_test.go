package bigbook

import (
	"testing"

	"portwright/engine/book"
)

func TestABookHasWhatWasAskedFor(t *testing.T) {
	b, err := Make(3, 50)
	if err != nil {
		t.Fatal(err)
	}
	log := book.NewLog(b.Entries...)
	if len(log.Builds()) != 3 || len(b.Cards) != 3 || log.Len() != len(b.Entries) {
		t.Fatalf("%d builds, %d cards, %d of %d entries differ", len(log.Builds()), len(b.Cards), log.Len(), len(b.Entries))
	}
	for i, id := range log.Builds() {
		f := book.Fold(log.Of(id))
		if got := book.CardOf(f); got != b.Cards[i] || got.Readings != 50 || len(f.Unread)+len(f.Waiting)+len(f.Hidden) > 0 {
			t.Errorf("build %d: card %+v, want %+v with 50 readings; unread %v", i, got, b.Cards[i], f.Unread)
		}
	}
}
