package chrome

import (
	"github.com/chromedp/cdproto/page"
)

// PDF prints the page on paper of a size in inches, as a person does from the
// browser's menu.
func (p *Page) PDF(width, height float64) []byte {
	p.t.Helper()
	out, err := call(p, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: width, PaperHeight: height, PrintBackground: new(true)})
	if err != nil {
		p.fail("chrome: print: %v", err)
	}
	return []byte(out.Data)
}
