package drive

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"io"
	"net/http"
	"time"
)

// webdriver is one tab over WebDriver.
type webdriver struct {
	url     string // of the session
	display *display
}

var client = &http.Client{Timeout: 60 * time.Second}

// ask sends one command; into is nil where its value does not matter.
func ask(method, url string, params, into any) error {
	var body io.Reader
	if method == http.MethodPost {
		data, err := json.Marshal(params)
		if err != nil {
			return err
		}
		body = bytes.NewReader(data)
	}
	r, err := http.NewRequest(method, url, body)
	if err != nil {
		return err
	}
	res, err := client.Do(r)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	var got struct{ Value json.RawMessage }
	if err := json.NewDecoder(res.Body).Decode(&got); err != nil {
		return fmt.Errorf("%s %s: status %d: %w", method, url, res.StatusCode, err)
	}
	if res.StatusCode != http.StatusOK {
		var fault struct{ Error, Message string }
		_ = json.Unmarshal(got.Value, &fault)
		return fmt.Errorf("%s %s: %s: %s", method, url, fault.Error, fault.Message)
	}
	if into == nil {
		return nil
	}
	return json.Unmarshal(got.Value, into)
}

func (w *webdriver) post(path string, params, into any) error {
	return ask(http.MethodPost, w.url+path, params, into)
}

// watch collects what the page reports; WebDriver has no log.
const watch = `globalThis.reported ??= (() => {
  const out = [], error = console.error;
  addEventListener("error", e => out.push("error: " + (e.message ?? e.target?.src)), true);
  addEventListener("unhandledrejection", e => out.push("rejection: " + e.reason));
  console.error = (...args) => { out.push("console.error: " + args.join(" ")); error.apply(console, args); };
  return out;
})()`

func (w *webdriver) navigate(url string) error {
	if err := w.post("/url", map[string]any{"url": url}, nil); err != nil {
		return err
	}
	_, err := w.evaluate(asText(watch))
	return err
}

func (w *webdriver) reload() error {
	if err := w.post("/refresh", map[string]any{}, nil); err != nil {
		return err
	}
	_, err := w.evaluate(asText(watch))
	return err
}

func (w *webdriver) evaluate(promise string) (string, error) {
	var got struct{ Text, Fault string }
	script := "const done = arguments[arguments.length - 1]; " + promise + ".then(Text => done({ Text }), e => done({ Fault: String(e) }));"
	if err := w.post("/execute/async", map[string]any{"script": script, "args": []any{}}, &got); err != nil {
		return "", err
	}
	if got.Fault != "" {
		return "", fmt.Errorf("%s", got.Fault)
	}
	return got.Text, nil
}

// act performs actions of one input source; see W3C, WebDriver 2, section 17.
func (w *webdriver) act(source string, actions ...map[string]any) error {
	from := map[string]any{"type": source, "id": source, "actions": actions}
	if source == "pointer" {
		from["parameters"] = map[string]any{"pointerType": "mouse"}
	}
	return w.post("/actions", map[string]any{"actions": []any{from}}, nil)
}

func (w *webdriver) click(x, y float64) error {
	return w.act("pointer",
		map[string]any{"type": "pointerMove", "duration": 0, "x": int(x), "y": int(y)},
		map[string]any{"type": "pointerDown", "button": 0},
		map[string]any{"type": "pointerUp", "button": 0})
}

func (w *webdriver) press(key string) error {
	return w.act("key", map[string]any{"type": "keyDown", "value": key}, map[string]any{"type": "keyUp", "value": key})
}

// resize makes the page this large; what is round it has its share of a window.
func (w *webdriver) resize(width, height int) error {
	for range 2 { // the second time with the share known
		text, err := w.evaluate(asText("outerHeight - innerHeight"))
		var frame int
		if err == nil {
			err = json.Unmarshal([]byte(text), &frame)
		}
		if err == nil {
			err = w.post("/window/rect", map[string]any{"x": 0, "y": 0, "width": width, "height": height + frame}, nil)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// picture is taken from the display: WebKitGTK never answers when it is asked
// for one of a page that fills the window.
func (w *webdriver) picture() ([]byte, error) {
	text, err := w.evaluate(asText("[outerHeight - innerHeight, innerWidth, outerHeight]"))
	var at [3]int
	if err == nil {
		err = json.Unmarshal([]byte(text), &at)
	}
	if err != nil {
		return nil, err
	}
	return w.display.picture(image.Rect(0, at[0], at[1], at[2]))
}

func (w *webdriver) reports() []string {
	var out []string
	text, err := w.evaluate(asText("globalThis.reported"))
	if err == nil {
		err = json.Unmarshal([]byte(text), &out)
	}
	if err != nil {
		return []string{"(not told: " + err.Error() + ")"}
	}
	return out
}

func (w *webdriver) end() {
	_ = ask(http.MethodDelete, w.url, nil, nil)
}
