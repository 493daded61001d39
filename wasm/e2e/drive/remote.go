package drive

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"portwright/wasm/e2e/chrome"
)

// session is a running browser with one tab, as its protocol has it.
type session interface {
	navigate(url string) error
	reload() error
	evaluate(promise string) (string, error)
	click(x, y float64) error
	press(key string) error
	picture() (png []byte, err error)
	reports() []string // errors that the page reported, oldest first
	end()
}

const patience = 20 * time.Second

// remote is a Page made of a session.
type remote struct {
	t    chrome.T
	name string
	s    session
}

func (p *remote) fail(format string, args ...any) {
	p.t.Helper()
	p.t.Fatalf("%s: %s\n%s", p.name, fmt.Sprintf(format, args...), p.Shows())
}

func (p *remote) Goto(url string) {
	p.t.Helper()
	if err := p.s.navigate(url); err != nil {
		p.fail("opening %s: %v", url, err)
	}
}

func (p *remote) Reload() {
	p.t.Helper()
	if err := p.s.reload(); err != nil {
		p.fail("reloading: %v", err)
	}
}

func (p *remote) Evaluate(expr string) (string, error) { return p.s.evaluate(asText(expr)) }

func (p *remote) Do(script string) {
	p.t.Helper()
	if _, err := p.Evaluate("(async () => { " + script + " })()"); err != nil {
		p.fail("%s: %v", script, err)
	}
}

func (p *remote) Shows() string {
	text, err := p.Evaluate(`location.href + "\n" + document.body?.innerText`)
	var shown string
	if err == nil {
		err = json.Unmarshal([]byte(text), &shown)
	}
	if err != nil {
		shown = fmt.Sprintf("(the page does not answer: %v)", err)
	}
	return "the page shows: " + shown + "\nit reported: " + strings.Join(p.s.reports(), "\n  ")
}

func (p *remote) Text(selector string) string {
	p.t.Helper()
	q := fmt.Sprintf("document.querySelector(%q)", selector)
	p.WaitFor(q, patience)
	return Eval[string](p.t, p, q+".innerText ?? "+q+".textContent")
}

func (p *remote) WaitFor(cond string, d time.Duration) {
	p.t.Helper()
	until := time.Now().Add(d)
	for {
		text, err := p.Evaluate("!!(await (" + cond + "))")
		if err == nil && text == "true" {
			return
		}
		if time.Now().After(until) {
			p.fail("not true within %v: %s (%v)", d, cond, err)
		}
		time.Sleep(15 * time.Millisecond) // a page that is being left may answer with an error
	}
}

func (p *remote) Tap(selector string) {
	p.t.Helper()
	p.tap(fmt.Sprintf("aim.bySelector(%q)", selector), selector)
}

func (p *remote) TapText(text string) {
	p.t.Helper()
	p.tap(fmt.Sprintf("aim.byText(%q)", text), "the control with the text "+text)
}

// tap waits until the element can be touched and rests, then clicks its centre.
func (p *remote) tap(find, what string) {
	p.t.Helper()
	type spot struct {
		X, Y float64
		Why  string
	}
	until := time.Now().Add(patience)
	before := spot{X: -1, Y: -1}
	for {
		var now spot
		text, err := p.Evaluate("(() => { " + chrome.Aim + "\nreturn aim.spot(" + find + "); })()")
		if err == nil {
			err = json.Unmarshal([]byte(text), &now)
		}
		if err != nil {
			now.Why = err.Error()
		}
		if now.Why == "" && now == before {
			break
		}
		before = now
		if time.Now().After(until) {
			p.fail("can't tap %s: %s", what, now.Why)
		}
		time.Sleep(10 * time.Millisecond)
	}
	if err := p.s.click(before.X, before.Y); err != nil {
		p.fail("tapping %s: %v", what, err)
	}
}

func (p *remote) TypeKeys(text string) {
	p.t.Helper()
	for _, c := range text {
		if c == '\n' {
			p.Press("Enter")
		} else {
			p.Press(string(c))
		}
	}
}

func (p *remote) Press(key string) {
	p.t.Helper()
	value, ok := keyValues[key]
	if !ok {
		value = key
	}
	if len([]rune(value)) != 1 {
		p.fail("key %q is not known here", key)
	}
	if err := p.s.press(value); err != nil {
		p.fail("pressing %s: %v", key, err)
	}
}

// keyValues are the values of keys that write no character. Source: W3C,
// WebDriver 2, section 17.4.2, table of normalised key values.
var keyValues = map[string]string{
	"Enter": "\ue007", "Tab": "\ue004", "Escape": "\ue00c", "Backspace": "\ue003",
	"ArrowLeft": "\ue012", "ArrowUp": "\ue013", "ArrowRight": "\ue014", "ArrowDown": "\ue015",
}

func (p *remote) Screenshot(path string) {
	p.t.Helper()
	png, err := p.s.picture()
	if err == nil {
		err = os.MkdirAll(filepath.Dir(path), 0o755)
	}
	if err == nil {
		err = os.WriteFile(path, png, 0o644)
	}
	if err != nil {
		p.fail("screenshot: %v", err)
	}
}

func (p *remote) ConsoleErrors(except ...string) []string {
	return slices.DeleteFunc(slices.Clone(p.s.reports()), func(line string) bool {
		return slices.ContainsFunc(except, func(x string) bool { return strings.Contains(line, x) })
	})
}
