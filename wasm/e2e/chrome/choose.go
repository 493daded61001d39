package chrome

import (
	"context"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// Chooses answers the next file chooser that this tab opens with the files, as
// a person would. It is called before the tap that opens the chooser.
func (p *Page) Chooses(files ...string) {
	p.t.Helper()
	if _, err := call(p, page.SetInterceptFileChooserDialog, page.SetInterceptFileChooserDialogParams{Enabled: true}); err != nil {
		p.fail("chrome: file chooser: %v", err)
	}
	ctx, stop := context.WithCancel(p.ctx)
	err := chromedp.Listen(ctx, func(ev any) {
		e, ok := ev.(*page.EventFileChooserOpened)
		if !ok {
			return
		}
		stop() // one chooser
		go func() {
			ctx, done := context.WithTimeout(p.ctx, 10*time.Second)
			defer done()
			target := chromedp.FromContext(p.ctx).Target
			_, err := cdp.Call(ctx, target, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: files, BackendNodeID: e.BackendNodeID})
			if err != nil {
				p.reports.add("file chooser: " + err.Error())
			}
		}()
	})
	if err != nil {
		stop()
		p.fail("chrome: file chooser: %v", err)
	}
}
