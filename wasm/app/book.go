package app

import "portwright/engine/book"

// BookState is the home screen: every build as a card.
type BookState struct {
	Cards []book.Card
}

func (m *Model) updateBook(msg Msg, in Input) ([]Effect, bool) { return nil, false }
