package sheet

import (
	"strconv"
	"strings"
)

// style sets the page in ink on paper: no colour that a printer or an eye could
// lose. Widths in mm are those of paper.
const style = `
@page{margin:12mm 12mm 16mm}
*{box-sizing:border-box}
html{font:11pt/1.35 "Helvetica Neue",Arial,"Liberation Sans",sans-serif;color:#111;background:#fff;-webkit-text-size-adjust:100%}
body{max-width:186mm;margin:0 auto;padding:4mm;font-variant-numeric:tabular-nums}
h1{font-size:20pt;line-height:1.15;margin:0 0 2mm}
h2{font-size:14pt;margin:6mm 0 2mm;border-bottom:.6mm solid;break-after:avoid}
h3{font-size:11pt;margin:3mm 0 1mm;break-after:avoid}
p,ul,ol,dl{margin:0 0 2mm}
ul,ol{padding-left:5mm}
li,p{overflow-wrap:anywhere}
.demo{font-weight:700;border:.4mm dashed;padding:1mm 2mm}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:9.5pt;line-height:1.25}
th,td{text-align:left;vertical-align:top;padding:.55mm 2mm .55mm 0;border-bottom:.2mm solid #999;font-weight:400;overflow-wrap:break-word}
.states th[scope=row]{width:32%}
.fixed td:nth-child(3),.fixed td:nth-child(4){white-space:nowrap}
thead th,.group th{font-weight:700}
thead th{border-bottom:.5mm solid #111}
.group th{padding-top:1.8mm}
tr,figure,aside,dl>div,li,figure.full>div{break-inside:avoid}
figure.full{break-inside:auto}
.group{break-after:avoid}
.states tbody{break-inside:avoid}
small{display:block;font-size:8.5pt;font-weight:400}
.note,figcaption{font-size:9pt}
.struck td,.struck th{text-decoration:line-through}
.struck small{text-decoration:none}
.caution{border:.5mm solid;border-left-width:2.5mm;padding:1.5mm 3mm;margin:3mm 0}
.caution h3{margin:0 0 1mm}
.caution ul{margin:0}
.pair{display:flex;flex-wrap:wrap;gap:4mm;align-items:flex-start}
figure{margin:2mm 0;flex:1 1 82mm;max-width:100%}
figure svg{display:block;width:100%;max-width:110mm;height:auto;margin:0 auto;overflow:visible;font-family:"Arial Narrow","Liberation Sans Narrow","Roboto Condensed",Arial,"Liberation Sans",sans-serif}
figure.full{flex-basis:100%}
figure.full>div{max-width:100%}
figure.full svg{max-width:none}
figure.small svg{max-width:45mm;margin:0}
figure svg.ring{padding:0 6mm}
.key{columns:2;column-gap:6mm;list-style:none;padding:0;font-size:9pt}
.columns dl{columns:2;column-gap:8mm}
dl>div{display:flex;gap:2mm;justify-content:space-between;border-bottom:.2mm dotted #777}
dt{flex:none;max-width:60%}
dd{margin:0;text-align:right;overflow-wrap:anywhere}
footer{margin-top:5mm;border-top:.6mm solid;padding-top:1.5mm;font-size:8.5pt;display:flex;flex-wrap:wrap;gap:1mm 5mm;overflow-wrap:anywhere;break-inside:avoid}
footer b{overflow-wrap:anywhere}
@media(max-width:600px){.columns dl,.key{columns:1}}
@media print{body{max-width:none;margin:0;padding:0}.wide{overflow:visible}}
`

// pageFoot puts number, name and date under every printed page, with the page's
// own number.
func pageFoot(title, date string) string {
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
