package app

import (
	"slices"

	"portwright/engine/book"
)

// CardOf is the line that the book shows of a build, from all of its entries.
func CardOf(id string, entries []book.Entry) (book.Card, error) {
	card := book.CardOf(book.Fold(entries))
	card.Build = id
	return card, nil
}

// cardWith is the card of the build in hand as it will be when items are kept;
// nil for items of a build that is not open, which storage makes itself.
func (m *Model) cardWith(items []book.Item, in Input) *book.Card {
	if m.Open == nil || items[0].Build != m.Open.ID {
		return nil
	}
	entries := slices.Clone(m.Open.Entries)
	clock := book.Clock{MS: max(in.NowMS, m.Open.Fold.TouchedMS)}
	for i, it := range items {
		clock.Ctr++
		entries = append(entries, book.Entry{
			ID: it.ID, Device: m.Device, Seq: 1<<40 + uint64(i), Clock: clock, Build: it.Build, Kind: it.Kind, Body: it.Body,
		})
	}
	card, err := CardOf(m.Open.ID, entries)
	if err != nil {
		return nil
	}
	return &card
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
