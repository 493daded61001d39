// Package app is the phone app's state: one Model, typed messages, one Update
// that is a function of model, message and Input and returns effects as data.
// It imports the engine alone.
package app

import (
	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/findings"
)

// Station is a place in the app.
type Station string

// The stations that exist so far; the book is the home screen.
const (
	AtBook     Station = "book"
	AtEngine   Station = "engine"
	AtBench    Station = "bench"
	AtFindings Station = "findings"
	AtCuts     Station = "cuts"
	AtSection  Station = "section" // a page of Findings
	AtSheet    Station = "sheet"
)

// Model is the whole state. Only Update changes it.
type Model struct {
	Ready    bool // the book was loaded
	Device   string
	Former   []string // names under which this device wrote before
	Station  Station
	Settings Settings
	Storage  Storage

	Book     BookState     // book.go
	Open     *Open         // open.go: nil at the Book
	Engine   EngineState   // engine.go
	Bench    BenchState    // bench.go
	Findings FindingsState // findings.go
	Cuts     CutsState     // cuts.go
	Turning  SectionState  // section.go
	Sheet    SheetState    // sheet.go

	Save   SaveState  // save.go
	Sync   SyncState  // sync.go
	Pair   PairState  // pair.go
	Fresh  FreshState // a new version that waits
	Notice string     // one line for the permanent polite live region
	Alert  string     // one line for the permanent assertive live region

	wanted string // the address last asked for
}

// Open is the build in hand: its entries and what follows from them.
type Open struct {
	ID      string
	Entries []book.Entry
	Fold    book.Folded      // what the entries amount to
	Build   *build.Build     // the same as Fold.Build
	Tally   Tally            // readings of the pass in hand, with their entries
	Results *findings.Result // nil when findings refused; Err says why
	Err     string
	Pass    string // ID of the pass in hand
	Done    []Deed // what can be taken back in it, latest last; see deeds
	Undone  []Deed // what was taken back and can be put back, latest last
}

// FreshState says whether a new version waits.
type FreshState struct {
	Waiting string

	touched bool // a person did something since the start
	taking  bool
}
