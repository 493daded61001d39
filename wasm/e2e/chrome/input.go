package chrome

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// Aim holds the two functions that find an element and judge whether a
// finger could reach it.
//
//go:embed aim.js
var Aim string

// spot is where to touch, or why that isn't possible.
type spot struct {
	X, Y float64
	Why  string
}

// Tap touches (on a phone) or clicks the first element that matches, at its
// centre. It waits until the element is there, visible, enabled, at rest and
// not covered by another one.
func (p *Page) Tap(selector string) {
	p.t.Helper()
	p.tapAt(fmt.Sprintf("aim.bySelector(%s)", quote(selector)), selector)
}

// TapText taps the button, link, summary, tab or label with this text (its
// aria-label, else its visible text, spaces joined). When none has exactly this
// text, the only one that contains it is taken.
func (p *Page) TapText(text string) {
	p.t.Helper()
	p.tapAt(fmt.Sprintf("aim.byText(%s)", quote(text)), "the control with the text "+quote(text))
}

func (p *Page) tapAt(find, what string) {
	p.t.Helper()
	deadline := time.Now().Add(p.b.opt.Patience)
	expr := "(() => { " + Aim + "\nreturn aim.spot(" + find + "); })()"
	before := spot{X: -1, Y: -1}
	for {
		now, err := evalWithin[spot](p, expr, max(time.Until(deadline), time.Second))
		if err != nil {
			now.Why = err.Error()
		}
		if now.Why == "" && now == before { // at rest since the last look
			break
		}
		before = now
		if time.Now().After(deadline) {
			p.fail("chrome: can't tap %s: %s", what, now.Why)
		}
		time.Sleep(10 * time.Millisecond)
	}
	tap := chromedp.MouseClickXY(before.X, before.Y)
	if p.b.opt.Mobile {
		tap = chromedp.TapXY(before.X, before.Y)
	}
	ctx, stop := p.within(p.b.opt.Patience)
	defer stop()
	if err := chromedp.Do(ctx, tap); err != nil {
		p.fail("chrome: tapping %s: %v", what, err)
	}
}

// TypeKeys types text into whatever has the focus, one key at a time, without
// a pause; a line break is Enter.
func (p *Page) TypeKeys(text string) {
	p.t.Helper()
	for _, c := range text {
		key := string(c)
		if c == '\n' || c == '\r' {
			key = "Enter"
		}
		p.Press(key)
	}
}

// Press presses and releases one key. The name is that of KeyboardEvent.key
// ("Enter", "Backspace", "ArrowLeft", "7", "a"), or "Numpad7", "NumpadDecimal",
// "NumpadEnter" for a number pad, with modifiers before it: "Shift+Tab",
// "Control+a". A page that prevents the default of keydown gets no character,
// as with a real keyboard.
func (p *Page) Press(key string) {
	p.t.Helper()
	down, err := stroke(key)
	if err != nil {
		p.fail("chrome: %v", err)
	}
	if _, err := call(p, input.DispatchKeyEvent, down); err != nil {
		p.fail("chrome: pressing %s: %v", key, err)
	}
	up := down
	up.Type, up.Text, up.UnmodifiedText, up.Commands = input.DispatchKeyEventTypeKeyUp, "", "", nil
	if _, err := call(p, input.DispatchKeyEvent, up); err != nil {
		p.fail("chrome: releasing %s: %v", key, err)
	}
}

// modifierBit is the bit of Input.dispatchKeyEvent.
func modifierBit(name string) (int64, bool) {
	switch name {
	case "Alt":
		return 1, true
	case "Control":
		return 2, true
	case "Meta":
		return 4, true
	case "Shift":
		return 8, true
	}
	return 0, false
}

// stroke builds the key-down event of a key's name.
func stroke(key string) (input.DispatchKeyEventParams, error) {
	e := input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeKeyDown}
	for {
		mod, rest, found := strings.Cut(key, "+")
		bit, known := modifierBit(mod)
		if !found || !known || rest == "" {
			break
		}
		e.Modifiers |= bit
		key = rest
	}
	k, ok := keyFor(key)
	if !ok {
		return e, fmt.Errorf("key %q is not known: use a name of KeyboardEvent.key, one character, or Numpad0 to Numpad9", key)
	}
	e.Key, e.Code, e.WindowsVirtualKeyCode, e.NativeVirtualKeyCode = k.key, k.code, k.vk, k.vk
	if k.shift {
		e.Modifiers |= 8
	}
	if k.pad {
		pad := true
		e.IsKeypad, e.Location = &pad, 3
	}
	if k.text != "" && e.Modifiers&^8 == 0 {
		e.Text, e.UnmodifiedText = k.text, k.text
	}
	if e.Modifiers == 2 && key == "a" {
		e.Commands = []string{"selectAll"}
	}
	return e, nil
}

// quote makes a JavaScript string literal.
func quote(s string) string {
	b, _ := json.Marshal(s)
	return string(b)
}
