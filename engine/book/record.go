package book

import (
	"encoding/json"
	"math"

	"portwright/engine/build"
)

// The fields of what is stored and passed on, as build.Record wants them. The
// structs' tags say the same to encoding/json.

func (c *Clock) Fields(f *build.Form) {
	f.Long("ms", &c.MS)
	ctr := uint64(c.Ctr)
	f.Natural("ctr", &ctr, math.MaxUint32)
	c.Ctr = uint32(ctr)
}

func (c *Card) Fields(f *build.Form) {
	f.Text("build", &c.Build)
	f.Text("number", &c.Number)
	f.Text("name", &c.Name)
	f.Text("summary", &c.Summary)
	f.SomeText("state", &c.State)
	f.SomeFlag("demo", &c.Demo)
	f.Whole("readings", &c.Readings)
	f.Whole("entries", &c.Entries)
	f.Long("touched_ms", &c.TouchedMS)
	f.Number("scatter_deg2", &c.ScatterDeg2)
	f.Number("scatter_df", &c.ScatterDF)
}

func (b *SetBody) Fields(f *build.Form) {
	f.Text("path", &b.Path)
	f.JSON("value", &b.Value)
	f.SomeText("base", &b.Base)
	f.Texts("over", &b.Over)
}

func (b *ReadingBody) Fields(f *build.Form) {
	f.Text("pass", &b.Pass)
	f.Text("window", &b.Window)
	f.Text("event", &b.Event)
	f.JSON("value", &b.Value)
	f.SomeText("method", &b.Method)
	f.SomeJSON("feeler_mm", &b.Feeler)
	f.SomeText("side", &b.Side)
	f.SomeWhole("quarter", &b.Quarter)
	f.SomeText("at", &b.At)
	f.GivenText("device", &b.Device)
	f.SomeJSON("extra", &b.Extra)
}

func (b *BiteBody) Fields(f *build.Form) {
	f.Text("pass", &b.Pass)
	f.Text("window", &b.Window)
	f.JSON("bite", &b.Bite)
	f.GivenText("device", &b.Device)
}

func (b *StopBody) Fields(f *build.Form) {
	f.Text("pass", &b.Pass)
	f.Text("check", &b.Check)
	f.Text("when", &b.When)
	f.Text("near", &b.Near)
	f.Text("way", &b.Way)
	f.Number("value", &b.Value)
	f.SomeText("at", &b.At)
	f.GivenText("device", &b.Device)
	f.SomeJSON("extra", &b.Extra)
}

func (b *StrikeBody) Fields(f *build.Form) {
	f.Text("target", &b.Target)
	f.Text("reason", &b.Reason)
	f.SomeText("base", &b.Base)
}

func (b *TargetBody) Fields(f *build.Form) {
	f.Text("target", &b.Target)
	f.SomeText("base", &b.Base)
}

func (b *CorrectBody) Fields(f *build.Form) {
	f.Text("pass", &b.Pass)
	f.JSON("correction", &b.Correction)
}

func (h *fileHead) Fields(f *build.Form) {
	f.Text("format", &h.Format)
	f.Whole("version", &h.Version)
	f.Whole("entries", &h.Entries)
}

func (t *fileFoot) Fields(f *build.Form) {
	f.Flag("end", &t.End)
	f.Whole("entries", &t.Entries)
	f.Text("crc32", &t.CRC32)
}

// Fields of a line of a book: the body as it is, or as base64.
func (e *fileEntry) Fields(f *build.Form) {
	f.Text("id", &e.ID)
	f.Text("device", &e.Device)
	f.Natural("seq", &e.Seq, math.MaxUint64)
	f.Record("clock", &e.Clock)
	f.Text("build", &e.Build)
	f.Text("kind", &e.Kind)
	f.JSON("body", &e.Body)
	f.GivenText("body64", &e.Body64)
}

// bodyOf writes a body without changing the JSON that is in it.
func bodyOf(r build.Record) json.RawMessage { return build.WriteRecord(r) }
