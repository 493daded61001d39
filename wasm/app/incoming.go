package app

import (
	"bytes"
	"strconv"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
)

// Incoming is what an import said.
type Incoming struct {
	Name    string // of the file
	Reading bool   // the chooser is open, or its file is being taken in
	Said    string // what came in
	Warning string // what is odd about the file
	Err     string
	Faults  []*unit.InputError // what is wrong with the file; nothing was written
	Known   *build.Build       // a build file whose build the book has already
	Away    bool               // that build was put away
	Held    []book.Entry       // of a damaged book file, until a person says yes
}

// Intents about files that come in.
type (
	// TakeIn asks for a file: a build file or a whole-book file.
	TakeIn struct{}

	// TakeCopy takes the build file that is known already in as a new build.
	TakeCopy struct{}

	// TakeHeld takes in what is whole of a damaged book file.
	TakeHeld struct{}

	// IncomingDone closes what was said.
	IncomingDone struct{}
)

func (TakeIn) msg()       {}
func (TakeCopy) msg()     {}
func (TakeHeld) msg()     {}
func (IncomingDone) msg() {}

func (m *Model) updateIncoming(msg Msg, in Input) ([]Effect, bool) {
	switch msg := msg.(type) {
	case TakeIn:
		m.Book.Incoming = Incoming{}
		return []Effect{PickFile{}}, true
	case FilePicked:
		return m.filePicked(msg, in), true
	case Merged:
		return m.merged(msg), true
	case TakeCopy:
		return m.takeCopy(in), true
	case TakeHeld:
		return m.mergeBook(m.Book.Incoming.Held), true
	case IncomingDone:
		m.Book.Incoming = Incoming{}
		return nil, true
	}
	return nil, false
}

// filePicked takes a file in, or says what is wrong with it; then nothing is
// written.
func (m *Model) filePicked(msg FilePicked, in Input) []Effect {
	m.Book.Incoming = Incoming{Name: msg.Name, Err: msg.Err}
	switch {
	case msg.Err != "":
		m.Notice = msg.Name + " was not taken in: " + msg.Err
		return nil
	case msg.Data == nil:
		m.Book.Incoming = Incoming{}
		return nil
	case isBook(msg.Data):
		return m.takeBook(msg.Data)
	case isTable(msg.Data):
		m.Book.Incoming.Err = "This looks like a table (CSV), which can't be taken in. Take the build file in: it holds the same readings, and the rest of the build."
		m.Notice = m.Book.Incoming.Err
		return nil
	}
	return m.takeBuild(msg.Data, in)
}

// isBook tells a whole-book file, one value a line, from a build file by its
// first line.
func isBook(data []byte) bool {
	line, _, _ := bytes.Cut(data, []byte("\n"))
	return bytes.Contains(line, []byte(`"`+book.FileFormat+`"`))
}

// isTable tells lines of values from a file that begins as JSON does.
func isTable(data []byte) bool {
	line, _, _ := bytes.Cut(bytes.TrimPrefix(data, []byte("\ufeff")), []byte("\n"))
	return bytes.ContainsAny(line, ",;\t") && !bytes.ContainsAny(line[:1], "{[")
}

func (m *Model) takeBook(data []byte) []Effect {
	entries, warning, err := book.DecodeBook(bytes.NewReader(data))
	inc := &m.Book.Incoming
	inc.Warning = warning
	if err != nil {
		return m.refuseFile(err)
	}
	if len(entries) == 0 {
		inc.Said = "The file holds no entry."
		return nil
	}
	if warning != "" {
		inc.Held = entries
		return nil
	}
	return m.mergeBook(entries)
}

func (m *Model) mergeBook(entries []book.Entry) []Effect {
	inc := &m.Book.Incoming
	inc.Held = nil
	if len(entries) == 0 || inc.Reading {
		return nil
	}
	inc.Reading = true
	return []Effect{MergeEntries{Entries: entries}}
}

func (m *Model) refuseFile(err error) []Effect {
	inc := &m.Book.Incoming
	inc.Faults = faultsOf(err)
	m.Notice = inc.Name + " was not taken in. Nothing was written."
	return nil
}

func (m *Model) takeBuild(data []byte, in Input) []Effect {
	b, err := build.Decode(data)
	if err == nil {
		err = build.Check(b)
	}
	if err != nil {
		return m.refuseFile(err)
	}
	if c := m.card(b.ID); b.ID != "" && c != nil {
		m.Book.Incoming.Known, m.Book.Incoming.Away = b, c.State == StateAway
		return nil
	}
	return m.takeNew(b, in)
}

// takeNew writes a build that came in as a file.
func (m *Model) takeNew(b *build.Build, in Input) []Effect {
	if b.ID == "" {
		b.ID = in.ID(15)
	}
	name := m.Book.Incoming.Name
	fx := m.bringIn(b, AtFindings, in)
	if m.Book.Opening != "" {
		m.Book.Incoming = Incoming{Name: name, Reading: true}
		m.Book.said = broughtIn(b)
	}
	return fx
}

func broughtIn(b *build.Build) string {
	readings := 0
	for _, p := range b.Passes {
		readings += len(p.Readings) + len(p.Stops)
	}
	return "Build " + b.Name + " came in: " + some(len(b.Passes), "pass", "passes") + ", " +
		some(readings, "reading or stop check", "readings and stop checks") + "."
}

func some(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// takeCopy gives the build of the file an identity of its own.
func (m *Model) takeCopy(in Input) []Effect {
	inc := m.Book.Incoming
	if inc.Known == nil || m.Book.Opening != "" {
		return nil
	}
	b, err := book.Fresh(inc.Known)
	if err != nil {
		return m.refuseFile(err)
	}
	b.ID, b.Name = in.ID(15), b.Name+", copy"
	return m.takeNew(b, in)
}

// merged says what a book file brought and reads the book anew.
func (m *Model) merged(msg Merged) []Effect {
	inc := &m.Book.Incoming
	inc.Reading = false
	if msg.Err != "" {
		inc.Err = msg.Err
		m.Notice = "The book file was not taken in: " + msg.Err
		return nil
	}
	inc.Said = strconv.Itoa(msg.New) + " entries are new, " + strconv.Itoa(msg.Known) + " were here already."
	if msg.Differ > 0 {
		inc.Warning = join(inc.Warning, strconv.Itoa(msg.Differ)+" entries were left out: they are altered copies of what is here.")
	}
	m.Notice = inc.Said
	m.Storage.Entries = max(m.Storage.Entries, msg.Total)
	fx := append(m.sync(false), LoadBook{})
	if m.Open != nil {
		fx = append(fx, LoadBuild{Build: m.Open.ID})
	}
	return fx
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + " " + b
}
