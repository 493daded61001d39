package chrome

import (
	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/storage"
)

// Before runs a script in every document that this tab opens from now on,
// before the document's own scripts.
func (p *Page) Before(script string) {
	p.t.Helper()
	if _, err := call(p, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script}); err != nil {
		p.fail("chrome: a script for every document: %v", err)
	}
}

// Quota lets the origin store this many bytes in all; 0 gives back what the
// browser allows by itself.
func (p *Page) Quota(origin string, bytes float64) {
	p.t.Helper()
	params := storage.OverrideQuotaForOriginParams{Origin: origin}
	if bytes > 0 {
		params.QuotaSize = &bytes
	}
	if _, err := call(p, storage.OverrideQuotaForOrigin, params); err != nil {
		p.fail("chrome: quota of %s: %v", origin, err)
	}
}

// Downloads lets the browser save files into a folder without asking.
func (p *Page) Downloads(dir string) {
	p.t.Helper()
	params := cdpbrowser.SetDownloadBehaviorParams{Behavior: cdpbrowser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir}
	if _, err := call(p, cdpbrowser.SetDownloadBehavior, params); err != nil {
		p.fail("chrome: downloads to %s: %v", dir, err)
	}
}
