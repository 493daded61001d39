package chrome

import (
	"fmt"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
)

// InstallErrors returns what the browser itself finds in the way of installing
// the page as an app; none for an installable one.
func (p *Page) InstallErrors() []string {
	p.t.Helper()
	got, err := call(p, page.GetInstallabilityErrors, cdp.Empty{})
	if err != nil {
		p.fail("chrome: installability: %v", err)
	}
	var out []string
	for _, e := range got.InstallabilityErrors {
		out = append(out, fmt.Sprint(e.ErrorID, " ", e.ErrorArguments))
	}
	return out
}
