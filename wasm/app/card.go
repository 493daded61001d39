package app

import (
	"slices"

	"portwright/engine/book"
	"portwright/engine/build"
)

// CardOf is the line that the book shows of a build, from all of its entries.
func CardOf(id string, entries []book.Entry) (book.Card, error) {
	card := book.CardOf(book.Fold(entries))
	card.Build = id
	return card, nil
}

// cardWith is the card of the build in hand, or of a new one, as it will be
// when items are kept; nil for items of another build, whose card storage makes
// itself.
func (m *Model) cardWith(items []book.Item, in Input) *book.Card {
	id := items[0].Build
	switch {
	case m.Open != nil && id == m.Open.ID:
	case m.card(id) == nil:
		entries := entriesOf(items, m.Device, book.Clock{MS: in.NowMS})
		card, err := CardOf(id, entries)
		if err != nil {
			return nil
		}
		return &card
	default:
		return nil
	}
	card, err := CardOf(m.Open.ID, m.entriesWith(items, in.NowMS))
	if err != nil {
		return nil
	}
	return &card
}

// entriesWith are the entries of the open build and those that the items will
// be once they are kept.
func (m *Model) entriesWith(items []book.Item, nowMS int64) []book.Entry {
	clock := book.Clock{MS: max(nowMS, m.Open.Fold.TouchedMS)}
	return append(slices.Clone(m.Open.Entries), entriesOf(items, m.Device, clock)...)
}

// entriesOf stands in for the entries that storage will make of items.
func entriesOf(items []book.Item, device string, clock book.Clock) []book.Entry {
	var entries []book.Entry
	for i, it := range items {
		clock.Ctr++
		entries = append(entries, book.Entry{
			ID: it.ID, Device: device, Seq: 1<<40 + uint64(i), Clock: clock, Build: it.Build, Kind: it.Kind, Body: it.Body,
		})
	}
	return entries
}

// soon is the open build as it will be when everything on its way to the disk
// is kept: what is typed next is held against that.
func (m *Model) soon() *build.Build {
	var items []book.Item
	for _, w := range m.Save.Waiting {
		for _, it := range w.Items {
			if it.Build == m.Open.ID {
				items = append(items, it)
			}
		}
	}
	if len(items) == 0 {
		return m.Open.Build
	}
	return book.Fold(m.entriesWith(items, 0)).Build
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
