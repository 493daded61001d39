package browser

import (
	"encoding/json"
	"slices"

	"portwright/engine/book"
	"portwright/engine/build"
)

// unsavedItem is an item that the database would not take, as it waits in
// localStorage: all of them in one JSON array under unsavedKey.
type unsavedItem struct {
	ID    string          `json:"id"`
	Build string          `json:"build"`
	Kind  string          `json:"kind"`
	Body  json.RawMessage `json:"body"`
}

func (u *unsavedItem) Fields(f *build.Form) {
	f.Text("id", &u.ID)
	f.Text("build", &u.Build)
	f.Text("kind", &u.Kind)
	f.JSON("body", &u.Body)
}

// unsavedItems reads what waits, in the order in which it was added.
func unsavedItems(stored string) ([]book.Item, error) {
	if stored == "" {
		return nil, nil
	}
	var list []unsavedItem
	err := build.ReadRecords(json.RawMessage(stored), func() build.Record {
		list = append(list, unsavedItem{})
		return &list[len(list)-1]
	})
	if err != nil {
		return nil, err
	}
	var items []book.Item
	for _, u := range list {
		items = append(items, book.Item(u))
	}
	return items, nil
}

// unsavedText is the inverse; nothing waits when it is "".
func unsavedText(items []book.Item) string {
	if len(items) == 0 {
		return ""
	}
	return string(build.WriteRecords(len(items), func(i int) build.Record {
		u := unsavedItem(items[i])
		return &u
	}))
}

// withItems returns waiting with items added; one that waits already, by ID,
// is not added again.
func withItems(waiting, items []book.Item) []book.Item {
	out := slices.Clone(waiting)
	for _, it := range items {
		if !slices.ContainsFunc(out, func(w book.Item) bool { return w.ID == it.ID }) {
			out = append(out, it)
		}
	}
	return out
}

// withoutKept returns waiting without the items that became entries.
func withoutKept(waiting []book.Item, kept []book.Entry) []book.Item {
	return slices.DeleteFunc(slices.Clone(waiting), func(w book.Item) bool {
		return slices.ContainsFunc(kept, func(e book.Entry) bool { return e.ID == w.ID })
	})
}
