package phonetest

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strconv"

	"portwright/server/wire"
	"portwright/wasm/sync"
)

// Server is what a phone talks to.
type Server interface {
	Push(wire.Push) (wire.PushAnswer, error)
	Pull(epoch string, cursor uint64, mark string, limit int) (wire.PullAnswer, error)
}

// Sync syncs once with a server, and fails when that does not end well.
func (p *Phone) Sync(s Server, nowMS int64) error {
	var failed error
	now := func() int64 { nowMS++; return nowMS }
	p.Round(now, func(a *sync.Ask) sync.Answered {
		body, err := Serve(s, a)
		if err != nil {
			failed = err
			return sync.Answered{}
		}
		return sync.Answered{Status: 200, Body: body}
	})
	if code := p.Status().Code; code != "" && failed == nil {
		failed = errors.New(code + ": " + p.Status().Said)
	}
	return failed
}

// Serve answers a question as it travelled.
func Serve(s Server, a *sync.Ask) ([]byte, error) {
	if a.Push != nil {
		var p wire.Push
		if err := json.Unmarshal(a.Push, &p); err != nil {
			return nil, fmt.Errorf("the push is not JSON: %w", err)
		}
		answer, err := s.Push(p)
		if err != nil {
			return nil, err
		}
		return json.Marshal(answer)
	}
	q, err := url.ParseQuery(a.Pull)
	if err != nil {
		return nil, err
	}
	cursor, err := strconv.ParseUint(q.Get("cursor"), 10, 64)
	if err != nil {
		return nil, err
	}
	limit, err := strconv.Atoi(q.Get("limit"))
	if err != nil {
		return nil, err
	}
	answer, err := s.Pull(q.Get("epoch"), cursor, q.Get("mark"), limit)
	if err != nil {
		return nil, err
	}
	return wire.AppendPullAnswer(nil, answer), nil
}
