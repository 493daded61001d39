package sync

import "portwright/server/wire"

// Range is entries From to To of a device, both included.
type Range struct {
	Device   string
	From, To uint64
}

// Row is one entry as it lies on the phone.
type Row struct {
	Device string
	Seq    uint64
	Text   []byte
}

// Effect is what is to be done next. Every effect but Rest is answered by one
// event, and none is given before the answer to the last.
type Effect interface{ effect() }

type (
	// Look asks what lies on the phone. Answer: Looked.
	Look struct{}

	// Read asks for entries, up to MaxRead. Answer: Rows.
	Read struct{ Ranges []Range }

	// Ask asks the shop PC: a push when Push is given, else the pull with the
	// query Pull. Address is scheme, host and port, "" where the page came
	// from. Answer: Answered.
	Ask struct {
		Address string
		Push    []byte
		Pull    string
	}

	// Take brings entries into the book and keeps Saved with them, in one strict
	// transaction, through a Shelf: Entries are taken in, or the branch that
	// begins with From gets its new name. Where there is a rename, Saved is
	// kept as Saved.Renamed leaves it. Answer: Took.
	Take struct {
		Entries [][]byte
		Branch  *Row
		Saved   *Saved
	}

	// Rest ends the round. The next begins with Wake, after ForMS at the latest.
	Rest struct{ ForMS int64 }
)

func (*Look) effect() {}
func (*Read) effect() {}
func (*Ask) effect()  {}
func (*Take) effect() {}
func (*Rest) effect() {}

// Event is what happened.
type Event interface{ event() }

type (
	// Wake begins a round. Eager says that a person or the network asked for it:
	// the wait after earlier failures begins anew.
	Wake struct {
		Addresses []string // of the shop PC, "" for the page's own
		Eager     bool
	}

	// Looked answers Look.
	Looked struct {
		Device  string // that this phone writes as
		Entries int    // on the phone, of all devices
		Saved   Saved
		Held    []Held
	}

	// Rows answers Read, in the order of the ranges and within them of Seq.
	Rows struct{ Rows []Row }

	// Answered answers Ask. Status 0: not reached, or no whole answer.
	Answered struct {
		Status int
		Body   []byte
		SentMS int64 // when it was asked
	}

	// Took answers Take, after the transaction completed.
	Took struct {
		Entries int // on the phone
		Renames []Rename
	}

	// Changed answers Take when what is kept was not what Looked said: another
	// window synced. Nothing was written.
	Changed struct{}

	// Failed answers anything that the phone's own storage could not do.
	Failed struct{ Reason string }
)

func (*Wake) event()     {}
func (*Looked) event()   {}
func (*Rows) event()     {}
func (*Answered) event() {}
func (*Took) event()     {}
func (*Changed) event()  {}
func (*Failed) event()   {}

// Held is what lies on the phone of one device.
type Held struct {
	Device string
	Last   uint64 // largest sequence number
	Count  int
}

// In is what the machine may know of the world.
type In struct {
	NowMS  int64
	Random uint64
}

// MaxRead bounds one Read: as many entries as go into one push.
const MaxRead = wire.MaxEntries
