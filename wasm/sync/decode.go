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

type pushAnswer struct{ wire.PushAnswer }

func (a *pushAnswer) Fields(f *build.Form) {
	var have map[string]tip
	f.Text("epoch", &a.Epoch)
	build.Named(f, "have", &have)
	f.Natural("head", &a.Head, maxNumber)
	f.Text("mark", &a.Mark)
	f.Whole("taken", &a.Taken)
	var refused []refusal
	build.Rows(f, "refused", &refused)
	f.Long("server_ms", &a.ServerMS)
	f.Text("app", &a.App)
	a.Have = make(wire.Have, len(have))
	for device, t := range have {
		a.Have[device] = wire.Tip(t)
	}
	for _, r := range refused {
		a.Refused = append(a.Refused, wire.Refusal(r))
	}
}

type tip wire.Tip

func (t *tip) Fields(f *build.Form) {
	f.Natural("seq", &t.Seq, wire.MaxSeq)
	f.Text("chain", &t.Chain)
}

type refusal wire.Refusal

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
	f.Long("server_ms", &a.ServerMS)
	var entries json.RawMessage
	f.SomeJSON("entries", &entries)
	if len(entries) > 0 {
		a.Entries, _ = build.Elements(entries) // what is no list has none
	}
}

type fault wire.Error

func (e *fault) Fields(f *build.Form) {
	f.Text("code", &e.Code)
	f.Text("message", &e.Message)
}

// errNoEpoch is of an answer that some other program gave, or a gateway.
var errNoEpoch = errors.New("the answer names no epoch")

func decodePush(body []byte) (wire.PushAnswer, error) {
	var a pushAnswer
	err := build.ReadRecord(body, &a)
	if err == nil && a.Epoch == "" {
		err = errNoEpoch
	}
	return a.PushAnswer, err
}

func decodePull(body []byte) (wire.PullAnswer, error) {
	var a pullAnswer
	err := build.ReadRecord(body, &a)
	if err == nil && a.Epoch == "" {
		err = errNoEpoch
	}
	return a.PullAnswer, err
}

// decodeFault reads an answer that is not 200; one whose body is not ours has
// the code that goes with its status.
func decodeFault(status int, body []byte) wire.Error {
	e := fault{}
	if build.ReadRecord(body, &e) != nil || e.Code == "" {
		e = fault{Code: wire.CodeOf(status)}
	}
	return wire.Error(e)
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
		switch {
		case c >= '0' && c <= '9', c >= 'A' && c <= 'Z', c >= 'a' && c <= 'z', c == '-', c == '.', c == '_', c == '~':
			out = append(out, c)
		default:
			out = append(out, '%', hex[c>>4], hex[c&15])
		}
	}
	return string(out)
}
