package sync

import (
	"encoding/json"
	"errors"
	"strconv"

	"portwright/engine/build"
	"portwright/server/wire"
)

// The shop PC's answers, read without reflection. Fields that are not known
// are of a newer shop PC and are left alone.

// pushAnswer is wire.PushAnswer as far as it is used.
type pushAnswer struct {
	epoch    string
	have     []tip
	head     uint64
	mark     string
	taken    int
	refused  []refusal
	serverMS int64
	places   string
	names    json.RawMessage
}

func (a *pushAnswer) Fields(f *build.Form) {
	f.Text("epoch", &a.epoch)
	f.Natural("head", &a.head, maxNumber)
	f.Text("mark", &a.mark)
	f.Whole("taken", &a.taken)
	f.Long("server_ms", &a.serverMS)
	f.SomeText("places", &a.places)
	f.SomeJSON("names", &a.names)
	var have, refused json.RawMessage
	f.JSON("have", &have)
	fields, _ := build.Split(have) // what is no object has none
	for i := range fields {
		t := tip{device: fields[i].Key}
		if build.ReadRecord(fields[i].Value, &t) == nil {
			a.have = append(a.have, t)
		}
	}
	f.JSON("refused", &refused)
	_ = build.ReadRecords(refused, func() build.Record {
		a.refused = append(a.refused, refusal{})
		return &a.refused[len(a.refused)-1]
	})
}

type tip struct {
	device string
	wire.Tip
}

func (t *tip) Fields(f *build.Form) {
	f.Natural("seq", &t.Seq, wire.MaxSeq)
	f.Text("chain", &t.Chain)
}

type refusal struct{ wire.Refusal }

func (r *refusal) Fields(f *build.Form) {
	f.Text("device", &r.Device)
	f.Natural("seq", &r.Seq, maxNumber)
	f.Text("code", &r.Code)
	f.Text("message", &r.Message)
}

type pullAnswer struct{ wire.PullAnswer }

func (a *pullAnswer) Fields(f *build.Form) {
	f.Text("epoch", &a.Epoch)
	f.Natural("next", &a.Next, maxNumber)
	f.Text("mark", &a.Mark)
	f.Flag("more", &a.More)
	f.Flag("reset", &a.Reset)
	f.Long("server_ms", &a.ServerMS)
	var entries json.RawMessage
	f.JSON("entries", &entries)
	a.Entries, _ = build.Elements(entries) // what is no list has none
}

type fault struct{ wire.Error }

func (e *fault) Fields(f *build.Form) {
	f.Text("code", &e.Code)
	f.Text("message", &e.Message)
}

// errNoEpoch is of an answer that some other program gave, or a gateway.
var errNoEpoch = errors.New("the answer names no epoch")

func decode(body []byte, to build.Record, epoch *string) error {
	if err := build.ReadRecord(body, to); err != nil {
		return err
	}
	if *epoch == "" {
		return errNoEpoch
	}
	return nil
}

// decodeFault reads an answer that is not 200; one whose body is not ours has
// the code that goes with its status.
func decodeFault(status int, body []byte) fault {
	var e fault
	if build.ReadRecord(body, &e) != nil || e.Code == "" {
		e.Code, e.Message = wire.CodeOf(status), ""
	}
	return e
}

// pullQuery is the question for what came after a cursor.
func pullQuery(epoch string, cursor uint64, mark string, limit int) string {
	return "epoch=" + escaped(epoch) + "&cursor=" + strconv.FormatUint(cursor, 10) + "&mark=" + escaped(mark) + "&limit=" + strconv.Itoa(limit)
}

// escaped percent-encodes a value of a query (RFC 3986, 2.1 and 2.3).
func escaped(s string) string {
	const hex = "0123456789ABCDEF"
	var out []byte
	for _, c := range []byte(s) {
		if c >= '0' && c <= '9' || c|' ' >= 'a' && c|' ' <= 'z' && c >= 'A' || c == '-' || c == '.' || c == '_' || c == '~' {
			out = append(out, c)
		} else {
			out = append(out, '%', hex[c>>4], hex[c&15])
		}
	}
	return string(out)
}
