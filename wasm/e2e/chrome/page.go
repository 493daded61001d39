package chrome

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Page is one tab. Its methods end the test when a step fails, so they belong
// in the test's own goroutine.
type Page struct {
	b       *Browser
	t       T
	ctx     context.Context
	stop    context.CancelFunc
	reports *reports
}

// Tab is a Page or a Browser (its first tab).
type Tab interface{ tab() *Page }

func (p *Page) tab() *Page { return p }

// Close closes a tab made by NewTab.
func (p *Page) Close() {
	if p.stop != nil {
		_ = bounded(8*time.Second, func() error { p.stop(); return nil })
	}
}

// within is the tab's context with the longest wait of one step.
func (p *Page) within(d time.Duration) (context.Context, context.CancelFunc) {
	return context.WithTimeout(p.ctx, d)
}

// fail ends the test with the reason and what the page shows.
func (p *Page) fail(format string, args ...any) {
	p.t.Helper()
	p.t.Fatalf("%s\n%s", fmt.Sprintf(format, args...), p.Shows())
}

// Shows describes the page for a person who reads a failed test: address, text
// and reports. It answers within about 2 s even when the page hangs.
func (p *Page) Shows() string {
	ctx, stop := p.within(2 * time.Second)
	defer stop()
	const look = `location.href + "\n" + (document.body ? document.body.innerText : "(no body)")`
	var text string
	err := bounded(2500*time.Millisecond, func() (err error) {
		text, err = chromedp.Run(ctx, chromedp.Evaluate[string](look))
		return err
	})
	if err != nil {
		text = fmt.Sprintf("(the page does not answer: %v)", err)
	}
	if len(text) > 3000 {
		text = text[:3000] + " ..."
	}
	out := "the page shows: " + text
	if errs := p.ConsoleErrors(); len(errs) > 0 {
		out += "\nit reported:\n  " + strings.Join(errs, "\n  ")
	}
	return out
}

// Goto opens an address and waits for its load event.
func (p *Page) Goto(url string) {
	p.t.Helper()
	ctx, stop := p.within(p.b.opt.Patience)
	defer stop()
	if err := chromedp.Do(ctx, chromedp.Navigate(url)); err != nil {
		p.fail("chrome: opening %s: %v", url, err)
	}
}

// Reload loads the page again and waits for its load event.
func (p *Page) Reload() {
	p.t.Helper()
	ctx, stop := p.within(p.b.opt.Patience)
	defer stop()
	if err := chromedp.Do(ctx, chromedp.Reload()); err != nil {
		p.fail("chrome: reloading: %v", err)
	}
}

// Eval returns the value of a JavaScript expression; a promise is awaited. Use
// *T or any when the value may be null or undefined.
func Eval[V any](on Tab, expr string) (V, error) {
	p := on.tab()
	return evalWithin[V](p, expr, p.b.opt.Patience)
}

func evalWithin[V any](p *Page, expr string, d time.Duration) (V, error) {
	ctx, stop := p.within(d)
	defer stop()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[V](expr, chromedp.EvalAwaitPromise))
	if err != nil {
		var thrown *chromedp.ExceptionError
		if errors.As(err, &thrown) && thrown.Exception != nil && thrown.Exception.Description != "" {
			err = errors.New(thrown.Exception.Description)
		}
		return v, fmt.Errorf("chrome: %s: %w", short(expr), err)
	}
	return v, nil
}

// MustEval is Eval that ends the test on an error.
func MustEval[V any](on Tab, expr string) V {
	p := on.tab()
	p.t.Helper()
	v, err := Eval[V](p, expr)
	if err != nil {
		p.fail("%v", err)
	}
	return v
}

// Evaluate returns the value of a JavaScript expression as JSON; a promise is
// awaited.
func (p *Page) Evaluate(expr string) (string, error) {
	return evalWithin[string](p, "(async () => JSON.stringify((await ("+expr+")) ?? null))()", p.b.opt.Patience)
}

// Do runs JavaScript for its effect and awaits its promise, if it gives one.
func (p *Page) Do(script string) {
	p.t.Helper()
	if _, err := evalWithin[*runtime.RemoteObject](p, script, p.b.opt.Patience); err != nil {
		p.fail("%v", err)
	}
}

// Wait waits until the JavaScript condition is truthy, at most d.
func (p *Page) Wait(cond string, d time.Duration) error {
	deadline := time.Now().Add(d)
	expr := "(async () => !!(await (" + cond + ")))()"
	var last error
	for {
		left := max(time.Until(deadline), 200*time.Millisecond)
		ok, err := evalWithin[bool](p, expr, left)
		if ok {
			return nil
		}
		last = err // a navigation in between is no failure: ask again
		if !time.Now().Before(deadline) {
			break
		}
		time.Sleep(15 * time.Millisecond)
	}
	if last != nil {
		return fmt.Errorf("chrome: not true within %v: %s (last answer: %w)", d, short(cond), last)
	}
	return fmt.Errorf("chrome: not true within %v: %s", d, short(cond))
}

// WaitFor is Wait that ends the test when the time is over.
func (p *Page) WaitFor(cond string, d time.Duration) {
	p.t.Helper()
	if err := p.Wait(cond, d); err != nil {
		p.fail("%v", err)
	}
}

// Text waits for the element and returns its visible text.
func (p *Page) Text(selector string) string {
	p.t.Helper()
	q := fmt.Sprintf("document.querySelector(%s)", quote(selector))
	p.WaitFor(q, p.b.opt.Patience)
	return MustEval[string](p, q+".innerText ?? "+q+".textContent")
}

// Count returns how many elements match.
func (p *Page) Count(selector string) int {
	p.t.Helper()
	return MustEval[int](p, fmt.Sprintf("document.querySelectorAll(%s).length", quote(selector)))
}

// Screenshot writes what the window shows as a PNG file.
func (p *Page) Screenshot(path string) {
	p.t.Helper()
	ctx, stop := p.within(p.b.opt.Patience)
	defer stop()
	png, err := cdp.Call(ctx, chromedp.FromContext(p.ctx).Target, page.CaptureScreenshot, page.CaptureScreenshotParams{Format: page.CaptureScreenshotFormatPng})
	if err != nil {
		p.fail("chrome: screenshot: %v", err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		p.fail("chrome: screenshot: %v", err)
	}
	if err := os.WriteFile(path, png.Data, 0o644); err != nil {
		p.fail("chrome: screenshot: %v", err)
	}
}

// short cuts a script for a message.
func short(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if len(s) > 300 {
		return s[:300] + " ..."
	}
	return s
}

// Context is the tab's chromedp context, for protocol commands that have no
// method here.
func (p *Page) Context() context.Context { return p.ctx }
