package chrome

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// reports collects what the page complains of.
type reports struct {
	mu   sync.Mutex
	list []string
}

func (r *reports) add(s string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.list = append(r.list, s)
}

// ConsoleErrors returns, in order, uncaught exceptions, unhandled rejections,
// console.error and failed console.assert calls, errors the browser itself
// logs (failed loads, refused scripts) and dialogs that opened. A line that
// contains one of the given texts is left out, for errors that a test causes
// on purpose.
func (p *Page) ConsoleErrors(except ...string) []string {
	p.reports.mu.Lock()
	defer p.reports.mu.Unlock()
	var out []string
next:
	for _, s := range p.reports.list {
		for _, e := range except {
			if strings.Contains(s, e) {
				continue next
			}
		}
		out = append(out, s)
	}
	return out
}

// ForgetErrors empties the list.
func (p *Page) ForgetErrors() {
	p.reports.mu.Lock()
	defer p.reports.mu.Unlock()
	p.reports.list = nil
}

// listen fills the list for as long as the tab lives.
func (p *Page) listen() error {
	return chromedp.Listen(p.ctx, func(ev any) {
		switch e := ev.(type) {
		case *runtime.EventExceptionThrown:
			p.reports.add("exception: " + thrown(e.ExceptionDetails))
		case *runtime.EventConsoleAPICalled:
			if e.Type == "error" || e.Type == "assert" {
				p.reports.add("console." + string(e.Type) + ": " + spoken(e.Args))
			}
		case *log.EventEntryAdded:
			if e.Entry != nil && e.Entry.Level == "error" {
				p.reports.add(fmt.Sprintf("%s: %s %s", e.Entry.Source, e.Entry.Text, e.Entry.URL))
			}
		case *page.EventJavascriptDialogOpening:
			if e.Type != "beforeunload" {
				p.reports.add(fmt.Sprintf("dialog %s: %s", e.Type, e.Message))
			}
			go p.closeDialog()
		}
	})
}

// closeDialog accepts a dialog, which would hold the page for ever.
func (p *Page) closeDialog() {
	ctx, stop := context.WithTimeout(p.ctx, 5*time.Second)
	defer stop()
	_, _ = cdp.Call(ctx, chromedp.FromContext(p.ctx).Target, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: true})
}

func thrown(d *runtime.ExceptionDetails) string {
	if d == nil {
		return "(no details)"
	}
	if d.Exception != nil && d.Exception.Description != "" {
		return d.Text + " " + d.Exception.Description
	}
	if d.Exception != nil && len(d.Exception.Value) > 0 {
		return d.Text + " " + string(d.Exception.Value)
	}
	return d.Text
}

func spoken(args []*runtime.RemoteObject) string {
	parts := make([]string, 0, len(args))
	for _, a := range args {
		switch {
		case len(a.Value) > 0:
			parts = append(parts, strings.Trim(string(a.Value), `"`))
		case a.Description != "":
			parts = append(parts, a.Description)
		default:
			parts = append(parts, string(a.Type))
		}
	}
	return strings.Join(parts, " ")
}
