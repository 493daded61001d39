package app

import (
	"encoding/json"

	"portwright/engine/book"
)

// Effect is something Update wants done outside: storage, files, the screen.
// Effects are data; package browser carries them out and answers with a Msg.
type Effect interface{ effect() }

type (
	// LoadBook asks for BookLoaded.
	LoadBook struct{}

	// LoadBuild asks for BuildLoaded with every entry of one build.
	LoadBuild struct{ Build string }

	// Append writes items in one strict transaction, together with the build's
	// card. Answer: Kept after the transaction completed, else NotKept.
	Append struct {
		Token string // echoed in the answer
		Items []book.Item
		Card  *book.Card
	}

	// Forget gives up items that could not be kept, by ID: the copy that the
	// browser would try again at the next start goes.
	Forget struct{ IDs []string }

	// MergeEntries adds entries of another book (set union, one transaction
	// per batch). Answer: Merged.
	MergeEntries struct {
		Entries []book.Entry
		Cards   []book.Card
	}

	// SaveDraft keeps the state of the field in hand, per build.
	SaveDraft struct {
		Build string
		Draft json.RawMessage
	}

	// SaveSettings keeps this device's settings.
	SaveSettings struct{ Settings Settings }

	// SaveFile hands a file to the person (share sheet or download).
	SaveFile struct {
		Name, MIME string
		Data       []byte
	}

	// Print opens the browser's print dialog with a style of the printed page
	// besides the app's own.
	Print struct{ Style string }

	// ExportBook writes every entry of the device to a book file. Answer:
	// BookExported.
	ExportBook struct{}

	// PickFile opens the file chooser. Answer: FilePicked.
	PickFile struct{}

	// Sync asks for a round with the shop PC: at once, or after the one under
	// way. Answers: SyncTold, as often as something changes, and CameIn. Rounds go
	// on by themselves after the first.
	Sync struct {
		Addresses []string // tried in turn; "" is where the page came from
		Token     string   // that the shop PC gave this device, "" when none
		Eager     bool     // a person or the network asked: no waiting
	}

	// Pair asks the shop PC to let this device in. Answer: Paired.
	Pair struct{ Code, Device, Name string }

	// AskPersist asks the browser to keep the data. Answer: PersistAnswer.
	AskPersist struct{}

	// GoTo sets the address to "#"+Hash; the browser answers with Navigated.
	GoTo struct{ Hash string }

	// FocusOn moves the focus to the element with this id after the render.
	FocusOn struct{ ID string }

	// Awake asks for, or gives up, the screen wake lock.
	Awake struct{ On bool }

	// Buzz vibrates shortly where the device can.
	Buzz struct{}

	// Tone sounds shortly where the device can.
	Tone struct{}

	// Say reads a text out where the device has a voice of its own.
	Say struct{ Text string }

	// Appear sets theme ("", "day", "shed") and hand ("", "left") on the page.
	Appear struct{ Theme, Hand string }

	// TakeUpdate lets the waiting version take over; the page reloads once.
	TakeUpdate struct{}

	// Frames asks for a Tick before each frame that is shown, until it is off;
	// every CalmMS where the person wants little motion.
	Frames struct{ On bool }

	// Tidy lets the memory be tidied now, while nothing moves, and not in the
	// middle of a movement.
	Tidy struct{}

	// After sends Msg back after MS milliseconds.
	After struct {
		MS  int
		Msg Msg
	}
)

func (LoadBook) effect()     {}
func (LoadBuild) effect()    {}
func (Append) effect()       {}
func (Forget) effect()       {}
func (MergeEntries) effect() {}
func (SaveDraft) effect()    {}
func (SaveSettings) effect() {}
func (SaveFile) effect()     {}
func (Print) effect()        {}
func (ExportBook) effect()   {}
func (PickFile) effect()     {}
func (Sync) effect()         {}
func (Pair) effect()         {}
func (AskPersist) effect()   {}
func (GoTo) effect()         {}
func (FocusOn) effect()      {}
func (Awake) effect()        {}
func (Buzz) effect()         {}
func (Tone) effect()         {}
func (Say) effect()          {}
func (Appear) effect()       {}
func (TakeUpdate) effect()   {}
func (Frames) effect()       {}
func (Tidy) effect()         {}
func (After) effect()        {}
