package drive

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"time"

	"github.com/coder/websocket"
)

// bidi is one tab over WebDriver BiDi.
type bidi struct {
	conn *websocket.Conn
	stop func()
	tab  string // browsing context

	mu      sync.Mutex
	last    int
	waiting map[int]chan answer
	said    []string
	gone    error // why the connection ended
}

// answer is a message of the browser: to a command, or an event.
type answer struct {
	ID      int             `json:"id"`
	Type    string          `json:"type"`
	Method  string          `json:"method"`
	Params  json.RawMessage `json:"params"`
	Result  json.RawMessage `json:"result"`
	Error   string          `json:"error"`
	Message string          `json:"message"`
}

// dialBidi opens a session and takes the first tab.
func dialBidi(url string, end func()) (*bidi, error) {
	ctx, stop := context.WithTimeout(context.Background(), patience)
	defer stop()
	conn, _, err := websocket.Dial(ctx, url, nil)
	if err != nil {
		return nil, err
	}
	conn.SetReadLimit(64 << 20) // a picture is one message
	b := &bidi{conn: conn, waiting: map[int]chan answer{}, stop: end}
	go b.listen()
	var tree struct {
		Contexts []struct{ Context string }
	}
	for _, step := range []struct {
		method string
		params any
		into   any
	}{
		{"session.new", map[string]any{"capabilities": map[string]any{}}, nil},
		{"session.subscribe", map[string]any{"events": []string{"log.entryAdded"}}, nil},
		{"browsingContext.getTree", map[string]any{}, &tree},
	} {
		if err := b.call(step.method, step.params, step.into); err != nil {
			return nil, err
		}
	}
	if len(tree.Contexts) == 0 {
		return nil, fmt.Errorf("no tab is open")
	}
	b.tab = tree.Contexts[0].Context
	return b, nil
}

func (b *bidi) listen() {
	for {
		_, data, err := b.conn.Read(context.Background())
		var a answer
		if err == nil {
			err = json.Unmarshal(data, &a)
		}
		b.mu.Lock()
		if err != nil {
			b.gone = err
			for id, to := range b.waiting {
				close(to)
				delete(b.waiting, id)
			}
			b.mu.Unlock()
			return
		}
		if to := b.waiting[a.ID]; a.ID != 0 && to != nil {
			to <- a
			delete(b.waiting, a.ID)
		}
		if a.Method == "log.entryAdded" {
			b.note(a.Params)
		}
		b.mu.Unlock()
	}
}

// note keeps what a page reports as an error.
func (b *bidi) note(params json.RawMessage) {
	var entry struct {
		Level, Type, Text string
		StackTrace        struct{ CallFrames []struct{ URL string } }
	}
	if err := json.Unmarshal(params, &entry); err != nil || entry.Level != "error" {
		return
	}
	line := entry.Type + ": " + entry.Text
	for _, f := range entry.StackTrace.CallFrames[:min(1, len(entry.StackTrace.CallFrames))] {
		line += " " + f.URL
	}
	b.said = append(b.said, line)
}

// call sends a command and waits for its result.
func (b *bidi) call(method string, params, into any) error {
	to := make(chan answer, 1)
	b.mu.Lock()
	if b.gone != nil {
		b.mu.Unlock()
		return fmt.Errorf("%s: the browser is gone: %w", method, b.gone)
	}
	b.last++
	id := b.last
	b.waiting[id] = to
	b.mu.Unlock()
	data, err := json.Marshal(map[string]any{"id": id, "method": method, "params": params})
	if err != nil {
		return err
	}
	wait := patience
	if method == "session.new" {
		wait *= 3 // the browser is still starting
	}
	ctx, stop := context.WithTimeout(context.Background(), wait)
	defer stop()
	if err := b.conn.Write(ctx, websocket.MessageText, data); err != nil {
		return fmt.Errorf("%s: %w", method, err)
	}
	select {
	case a, ok := <-to:
		switch {
		case !ok:
			return fmt.Errorf("%s: the browser is gone", method)
		case a.Type == "error":
			return fmt.Errorf("%s: %s: %s", method, a.Error, a.Message)
		case into == nil:
			return nil
		}
		return json.Unmarshal(a.Result, into)
	case <-ctx.Done():
		return fmt.Errorf("%s: no answer within %v", method, wait)
	}
}

func (b *bidi) navigate(url string) error {
	return b.call("browsingContext.navigate", map[string]any{"context": b.tab, "url": url, "wait": "complete"}, nil)
}

func (b *bidi) reload() error {
	return b.call("browsingContext.reload", map[string]any{"context": b.tab, "wait": "complete"}, nil)
}

func (b *bidi) evaluate(promise string) (string, error) {
	var got struct {
		Type             string
		Result           struct{ Value json.RawMessage }
		ExceptionDetails struct{ Text string }
	}
	err := b.call("script.evaluate", map[string]any{"expression": promise, "target": map[string]any{"context": b.tab}, "awaitPromise": true}, &got)
	if err != nil {
		return "", err
	}
	if got.Type == "exception" {
		return "", fmt.Errorf("%s", got.ExceptionDetails.Text)
	}
	var text string
	return text, json.Unmarshal(got.Result.Value, &text)
}

// act performs actions of one input source; see W3C, WebDriver 2, section 17.
func (b *bidi) act(source string, actions ...map[string]any) error {
	from := map[string]any{"type": source, "id": source, "actions": actions}
	if source == "pointer" {
		from["parameters"] = map[string]any{"pointerType": "mouse"}
	}
	return b.call("input.performActions", map[string]any{"context": b.tab, "actions": []any{from}}, nil)
}

func (b *bidi) click(x, y float64) error {
	return b.act("pointer",
		map[string]any{"type": "pointerMove", "x": int(x), "y": int(y)},
		map[string]any{"type": "pointerDown", "button": 0},
		map[string]any{"type": "pointerUp", "button": 0})
}

func (b *bidi) press(key string) error {
	return b.act("key", map[string]any{"type": "keyDown", "value": key}, map[string]any{"type": "keyUp", "value": key})
}

func (b *bidi) picture() ([]byte, error) {
	var got struct{ Data string }
	if err := b.call("browsingContext.captureScreenshot", map[string]any{"context": b.tab}, &got); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(got.Data)
}

func (b *bidi) reports() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.said)
}

func (b *bidi) end() {
	_ = b.conn.CloseNow()
	b.stop()
	time.Sleep(10 * time.Millisecond) // its files are let go
}
