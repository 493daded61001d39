package sync

import (
	"encoding/json"
	"slices"

	"portwright/engine/build"
	"portwright/server/wire"
)

// Saved is what outlives the app. Any part of it may be lost: it is found out
// again from the entries and the shop PC's answers.
type Saved struct {
	Address  string // that answered last
	Epoch    string
	Cursor   uint64 // everything up to there was pulled
	Mark     string
	SameMS   int64 // when both ends last held the same
	OffsetMS int64 // the shop PC's clock less the phone's
	Lines    []Line
}

// Line is how far a device's entries were chained, and how far the shop PC
// said that it has the same.
type Line struct {
	Device            string
	Seq, Has          uint64
	Chain, ChainAtHas wire.Chain
	Loose             uint64 // entries beyond the gap after Seq that the shop PC gave
}

// Fields of what is kept.
func (s *Saved) Fields(f *build.Form) {
	f.SomeText("address", &s.Address)
	f.SomeText("epoch", &s.Epoch)
	f.Natural("cursor", &s.Cursor, maxNumber)
	f.SomeText("mark", &s.Mark)
	f.SomeLong("same_ms", &s.SameMS)
	f.SomeLong("offset_ms", &s.OffsetMS)
	var lines json.RawMessage
	if !f.Reading() {
		lines = build.WriteRecords(len(s.Lines), func(i int) build.Record { return &s.Lines[i] })
	}
	f.SomeJSON("lines", &lines)
	if f.Reading() && len(lines) > 0 {
		err := build.ReadRecords(lines, func() build.Record {
			s.Lines = append(s.Lines, Line{})
			return &s.Lines[len(s.Lines)-1]
		})
		if err != nil {
			s.Lines = nil
		}
	}
}

// Fields of one line.
func (l *Line) Fields(f *build.Form) {
	f.Text("device", &l.Device)
	point(f, "seq", "chain", &l.Seq, &l.Chain)
	point(f, "has", "chain_at_has", &l.Has, &l.ChainAtHas)
	f.Natural("loose", &l.Loose, wire.MaxSeq)
}

// point is a sequence number with its chain; one that can't be read is found
// out again from the entries.
func point(f *build.Form, seqKey, chainKey string, seq *uint64, chain *wire.Chain) {
	text := chain.String()
	f.Natural(seqKey, seq, wire.MaxSeq)
	f.Text(chainKey, &text)
	var err error
	if *chain, err = wire.ParseChain(text); err != nil {
		*seq = 0
	}
}

const maxNumber = 1<<64 - 1

// Renamed forgets what a rename made wrong: the branch's device is chained
// again, and everything is pulled again, since the shop PC's entries in the
// branch's place may have gone by already.
func (s *Saved) Renamed(all []Rename) {
	if len(all) == 0 {
		return
	}
	s.Cursor, s.Mark = 0, ""
	s.Lines = slices.Clone(s.Lines)
	var lines []Line
	for i := range s.Lines {
		moved := false
		for _, r := range all {
			moved = moved || r.Device == s.Lines[i].Device || r.Name == s.Lines[i].Device
		}
		if s.Lines[i].Loose = 0; !moved {
			lines = append(lines, s.Lines[i])
		}
	}
	s.Lines = lines
}
