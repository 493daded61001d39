package sheet

import (
	_ "embed" // paper.css
	"strconv"
	"strings"
)

// paper are the rules of the sheet, under the class paper. The app has them
// among its style sheets.
//
//go:embed paper.css
var paper string

// alone is what a page without the app needs besides: no colour that a printer
// or an eye could lose.
const alone = `*{box-sizing:border-box}
html{font:11pt/1.35 "Helvetica Neue",Arial,"Liberation Sans",sans-serif;color:#111;background:#fff;-webkit-text-size-adjust:100%}
body{margin:0}
.paper{padding:4mm}
.paper svg{font-family:"Arial Narrow","Liberation Sans Narrow","Roboto Condensed",Arial,"Liberation Sans",sans-serif}
@media print{.paper{padding:0}}
`

// PageFoot is the style that puts a title and a date under every printed page,
// with the page's own number.
func PageFoot(title, date string) string {
	left := title
	if date != "" {
		left += ", " + date
	}
	return `@page{@bottom-left{content:` + cssString(left) + `;font:8pt sans-serif}@bottom-right{content:"page " counter(page) " of " counter(pages);font:8pt sans-serif}}`
}

// cssString writes a text as a CSS string: all but letters, digits and spaces
// by number, so that no text can end the string or the style.
func cssString(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for i, r := range []rune(s) {
		switch {
		case i >= 80:
			b.WriteString(`\2026 "`)
			return b.String()
		case r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == ' ':
			b.WriteRune(r)
		case r >= 0x20 && r != 0xfffd:
			b.WriteString(`\` + strconv.FormatInt(int64(r), 16) + " ")
		}
	}
	b.WriteByte('"')
	return b.String()
}
