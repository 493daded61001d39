package app

import (
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/build/demo"
)

// BookState is the home screen: every build as a card.
type BookState struct {
	Cards    []book.Card
	Query    string // what is looked for
	Page     int    // from 0
	Away     bool   // shows what was put away instead
	More     string // build whose card shows what else can be done with it
	Settings bool   // the settings are open
	Task     Task   // what another build is being read for
	Incoming Incoming
	Compare  string // build that another is to be compared with
	Opening  string // token of the write after which a new build is opened
	opens    string // address it is opened at
	said     string // what to say then
}

// PageSize is how many cards are on a page.
const PageSize = 50

// DemoHash is the address that opens the demo build at the start.
const DemoHash = "demo"

// States of a build that the book sets; any other is a person's own word.
const (
	StateFinished = "finished"
	StateAway     = "put away"
)

// Task is what a build that is not open is being read for.
type Task struct {
	Kind  TaskKind
	Build string
	State string // of TaskState
}

// TaskKind is what is to be done with a build that was read.
type TaskKind string

// The tasks.
const (
	TaskNone     TaskKind = ""
	TaskCopy     TaskKind = "copy"     // engine data into a new build
	TaskFile     TaskKind = "file"     // build file
	TaskReadings TaskKind = "readings" // CSV
	TaskState    TaskKind = "state"    // finished, put away, taken up again
	TaskNumber   TaskKind = "number"   // the next number: another build has this one's
	TaskCompare  TaskKind = "compare"  // beside the build in hand
)

// Intents of station Book.
type (
	// BookSearch is what is looked for after a key press.
	BookSearch struct{ Text string }

	// BookPage turns pages.
	BookPage struct{ By int }

	// BookAway shows what was put away, or what is in work.
	BookAway struct{ Away bool }

	// BookMore shows what else can be done with a build, or closes that.
	BookMore struct{ Build string }

	// BookCompare asks for a second build to compare with a first; "" gives up.
	BookCompare struct{ Build string }

	// BookSettings opens and closes the settings.
	BookSettings struct{}

	// NewBuild makes a build and opens it: at the bench for a first look, else
	// at the engine.
	NewBuild struct{ FirstLook bool }

	// OpenDemo opens the demo build, and brings it in when it is not there.
	OpenDemo struct{}

	// BuildTask does something with a build of the list.
	BuildTask struct {
		Kind  TaskKind
		Build string
		State string // of TaskState
	}

	// SaveBook hands out the whole book as a file.
	SaveBook struct{}

	// Persist asks the browser not to clear the book away.
	Persist struct{}
)

func (BookSearch) msg()   {}
func (BookPage) msg()     {}
func (BookAway) msg()     {}
func (BookMore) msg()     {}
func (BookCompare) msg()  {}
func (BookSettings) msg() {}
func (NewBuild) msg()     {}
func (OpenDemo) msg()     {}
func (BuildTask) msg()    {}
func (SaveBook) msg()     {}
func (Persist) msg()      {}

func (m *Model) updateBook(msg Msg, in Input) ([]Effect, bool) {
	b := &m.Book
	switch msg := msg.(type) {
	case BookSearch:
		b.Query, b.Page = msg.Text, 0
	case BookPage:
		b.Page = min(max(b.Page+msg.By, 0), max(0, (len(m.ShownCards())-1)/PageSize))
		return []Effect{FocusOn{ID: "builds-title"}}, true
	case BookAway:
		b.Away, b.Page, b.More = msg.Away, 0, ""
	case BookMore:
		if b.More == msg.Build {
			msg.Build = ""
		}
		b.More = msg.Build
	case BookCompare:
		b.Compare, b.More = msg.Build, ""
		return []Effect{FocusOn{ID: "builds-title"}}, true
	case BookSettings:
		b.Settings = !b.Settings
	case NewBuild:
		return m.newBuild(msg.FirstLook, in), true
	case OpenDemo:
		return m.openDemo(in), true
	case BuildTask:
		return m.buildTask(msg, in), true
	case SaveBook:
		return []Effect{ExportBook{}}, true
	case BookExported:
		return m.bookExported(msg), true
	case Persist:
		return []Effect{AskPersist{}}, true
	case PersistAnswer:
		m.setStorage(msg.Storage)
		m.Notice = "The browser did not promise to keep the book. Save it to a file now and then."
		if msg.Storage.Persisted {
			m.Notice = "The browser promised to keep the book."
		}
	default:
		return m.updateIncoming(msg, in)
	}
	return nil, true
}

// ShownCards are the cards that are looked for, the last touched first.
func (m *Model) ShownCards() []*book.Card {
	words := strings.Fields(strings.ToLower(m.Book.Query))
	out := make([]*book.Card, 0, len(m.Book.Cards))
	for i := range m.Book.Cards {
		c := &m.Book.Cards[i]
		if (c.State == StateAway) == m.Book.Away && cardHas(c, words) {
			out = append(out, c)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		return a.TouchedMS > b.TouchedMS || a.TouchedMS == b.TouchedMS && a.Build < b.Build
	})
	return out
}

// cardHas says whether a card shows every one of the words.
func cardHas(c *book.Card, words []string) bool {
	if len(words) == 0 {
		return true
	}
	text := strings.ToLower(c.Number + " " + c.Name + " " + c.Summary + " " + c.State)
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) })
}

// NextNumber is the number that a new build gets: the year and the first count
// that no build of the book has yet.
func (m *Model) NextNumber(nowMS int64) string {
	year := strconv.Itoa(time.UnixMilli(nowMS).Year()) + "-"
	last := 0
	for _, c := range m.Book.Cards {
		if rest, ok := strings.CutPrefix(c.Number, year); ok {
			if n, err := strconv.Atoi(rest); err == nil && n > last && n < 100000 {
				last = n
			}
		}
	}
	n := strconv.Itoa(last + 1)
	return year + strings.Repeat("0", max(0, 3-len(n))) + n
}

// newBuild writes a build with a number, a name that can be changed, and for a
// first look the usual windows; it is opened when the disk has it.
func (m *Model) newBuild(firstLook bool, in Input) []Effect {
	if m.Book.Opening != "" {
		return nil
	}
	id := in.ID(15)
	b := &build.Build{ID: id, Number: m.NextNumber(in.NowMS), Name: "New build"}
	station := AtEngine
	var fx []Effect
	if firstLook {
		b.Name, station = "First look", AtBench
		b.Windows = WindowSets()[0].Windows
		fx = append(fx, SaveDraft{Build: id, Draft: Hand{Mode: FirstLook}.draft()})
	}
	return append(m.bringIn(b, station, in), fx...)
}

// bringIn writes a build that the book does not have and opens it when the
// disk has it.
func (m *Model) bringIn(b *build.Build, station Station, in Input) []Effect {
	items, err := book.ItemsOf(b, m.freshIDs(in))
	if err != nil {
		m.Book.Incoming = Incoming{Name: m.Book.Incoming.Name, Faults: faultsOf(err)}
		return nil
	}
	fx := m.write(in, items...)
	m.Book.Opening = items[len(items)-1].ID
	m.Book.opens = Route{Station: station, Build: items[0].Build}.Hash() // an ID that is no UUID was replaced
	return fx
}

// freshIDs gives one new ID after the other; see Input.ID.
func (m *Model) freshIDs(in Input) func() string {
	n := 0x1000
	return func() string { n++; return in.ID(n) }
}

// openDemo opens the demo at the findings.
func (m *Model) openDemo(in Input) []Effect {
	b, err := build.Decode(demo.Build())
	if err != nil {
		m.Alert = "The demo can't be read: " + err.Error()
		return nil
	}
	if m.card(b.ID) != nil {
		return []Effect{GoTo{Hash: Route{Station: AtFindings, Build: b.ID}.Hash()}}
	}
	if m.Book.Opening != "" {
		return nil
	}
	return m.bringIn(b, AtFindings, in)
}

// card is the card of a build, nil when the book does not have it.
func (m *Model) card(id string) *book.Card {
	i := slices.IndexFunc(m.Book.Cards, func(c book.Card) bool { return c.Build == id })
	if i < 0 {
		return nil
	}
	return &m.Book.Cards[i]
}

// bookWritten follows writes that were kept: a new build is opened.
func (m *Model) bookWritten(w Write) []Effect {
	if m.Book.Opening == "" || w.Token != m.Book.Opening {
		if m.Station == AtBook {
			return []Effect{LoadBook{}}
		}
		return nil
	}
	m.Book.Opening = ""
	if m.Book.said != "" {
		m.Book.Incoming = Incoming{Name: m.Book.Incoming.Name, Said: m.Book.said}
		m.Notice, m.Book.said = m.Book.said, ""
	}
	return []Effect{GoTo{Hash: m.Book.opens}}
}

func (m *Model) bookExported(msg BookExported) []Effect {
	if msg.Err != "" {
		m.Notice = msg.Err
		m.Book.Incoming = Incoming{Err: msg.Err}
		return nil
	}
	m.Settings.LastBackupMS = msg.AtMS
	m.Notice = "Book file " + msg.Name + " made: " + strconv.Itoa(msg.Entries) + " entries."
	return []Effect{SaveSettings{m.Settings}}
}
