package sync

import (
	"encoding/json"
	"net/url"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"portwright/server/wire"
)

// Answers as the server writes them are read as they were.
func TestAnswersComeAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String()
		number := rapid.Uint64()
		push := wire.PushAnswer{
			Epoch: "e" + text.Draw(t, "epoch"), Have: wire.Have{}, Head: number.Draw(t, "head"), Mark: text.Draw(t, "mark"),
			Taken: rapid.Int().Draw(t, "taken"), ServerMS: rapid.Int64().Draw(t, "ms"), App: text.Draw(t, "app"), Places: text.Draw(t, "places"),
		}
		for range rapid.IntRange(0, 3).Draw(t, "tips") {
			push.Have[text.Draw(t, "device")] = wire.Tip{Seq: rapid.Uint64Max(wire.MaxSeq).Draw(t, "seq"), Chain: text.Draw(t, "chain")}
		}
		if rapid.Bool().Draw(t, "named") {
			push.Names = map[string]string{text.Draw(t, "device"): text.Draw(t, "name"), "d": "bench"}
		}
		for range rapid.IntRange(0, 3).Draw(t, "refused") {
			push.Refused = append(push.Refused, wire.Refusal{Device: text.Draw(t, "device"), Seq: number.Draw(t, "seq"), Code: text.Draw(t, "code"), Message: text.Draw(t, "message")})
		}
		body, err := json.Marshal(push)
		if err != nil {
			t.Fatal(err)
		}
		var got pushAnswer
		if err := decode(body, &got, &got.epoch); err != nil {
			t.Fatalf("%s: %v", body, err)
		}
		back := wire.PushAnswer{Epoch: got.epoch, Have: wire.Have{}, Head: got.head, Mark: got.mark, Taken: got.taken, ServerMS: got.serverMS, App: push.App, Places: got.places}
		if len(got.names) > 0 {
			if err := json.Unmarshal(got.names, &back.Names); err != nil {
				t.Fatal(err)
			}
		}
		for _, t := range got.have {
			back.Have[t.device] = t.Tip
		}
		for _, r := range got.refused {
			back.Refused = append(back.Refused, r.Refusal)
		}
		if !reflect.DeepEqual(back, push) {
			t.Errorf("%s: %+v", body, got)
		}

		pull := wire.PullAnswer{Epoch: push.Epoch, Next: push.Head, Mark: push.Mark, More: rapid.Bool().Draw(t, "more"), ServerMS: push.ServerMS}
		for range rapid.IntRange(0, 3).Draw(t, "entries") {
			e, err := json.MarshalIndent(map[string]string{"x<": text.Draw(t, "x")}, " ", "  ")
			if err != nil {
				t.Fatal(err)
			}
			pull.Entries = append(pull.Entries, e)
		}
		body = wire.AppendPullAnswer(nil, pull)
		var pulled pullAnswer
		if err := decode(body, &pulled, &pulled.Epoch); err != nil || !reflect.DeepEqual(pulled.PullAnswer, pull) {
			t.Errorf("%s: %+v, %v", body, pulled, err)
		}

		q, err := url.ParseQuery(pullQuery(push.Epoch, push.Head, push.Mark, 500))
		if err != nil || q.Get("epoch") != push.Epoch || q.Get("mark") != push.Mark || q.Get("limit") != "500" {
			t.Errorf("%v, %v", q, err)
		}
	})
}

func TestFaultsAreRead(t *testing.T) {
	for _, c := range []struct {
		status int
		body   string
		want   wire.Error
	}{
		{507, `{"code":"no_space","message":"m","field":"f","more":1}`, wire.Error{Code: wire.NoSpace, Message: "m"}},
		{503, `<html>`, wire.Error{Code: wire.NotNow}},
		{502, `{"code":7}`, wire.Error{Code: wire.Internal}},
	} {
		if got := decodeFault(c.status, []byte(c.body)); got.Error != c.want {
			t.Errorf("%d %s: %+v", c.status, c.body, got)
		}
	}
}
