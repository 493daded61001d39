// Package print prints sheets from a real browser and looks whether all of
// them is on the paper.
package print

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/sheet"
	"portwright/wasm/e2e/chrome"
)

// Paper sizes. Source: ISO 216 (A4, 210 x 297 mm) and ANSI Y14.1 (Letter,
// 8.5 x 11 in).
var papers = []struct {
	name          string
	width, height float64 // inches
}{
	{"A4", 210 / 25.4, 297 / 25.4},
	{"Letter", 8.5, 11},
}

// cutOff lists what stands out of the page's width at the present size: boxes,
// and words inside of pictures.
const cutOff = `(() => { const out = [], wide = document.documentElement.clientWidth + 1;
  for (const e of document.querySelectorAll("body *")) {
    if (e.closest("svg") && e.tagName !== "text" && e.tagName !== "svg") continue;
    const r = e.getBoundingClientRect();
    if (r.width > 0 && (r.left < -1 || r.right > wide)) out.push(e.tagName + " " + (e.textContent || "").slice(0, 40) + " " + r.left + ".." + r.right);
  } return out.slice(0, 5).join("\n"); })()`

// full is by how much the port map's scale bar is longer than 10 mm.
const full = `(() => { const bar = document.querySelector("svg.portmap path.scale"); if (!bar) return 99;
  return bar.getBoundingClientRect().width / 96 * 25.4 - 10; })()`

var (
	count    = regexp.MustCompile(`/Type /Pages[^>]*?/Count (\d+)|/Count (\d+)`)
	mediaBox = regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]`)
)

func TestSheetsPrintWhole(t *testing.T) {
	b := chrome.Start(t, chrome.Options{ProfileDir: t.TempDir()})
	const cut, demo, finished = "testdata/builds/cut.json", "testdata/builds/demo.json", "engine/sheet/testdata/finished.json"
	for name, text := range map[string]string{cut: page(t, cut), demo: page(t, demo), finished: page(t, finished), "two builds": compared(t, demo, finished)} {
		file := filepath.Join(t.TempDir(), "sheet.html")
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		b.Goto("file://" + filepath.ToSlash(file))
		for _, paper := range papers {
			pdf := b.PDF(paper.width, paper.height)
			m := count.FindSubmatch(pdf)
			if m == nil {
				t.Fatalf("%s, %s: no page count", name, paper.name)
			}
			if n, _ := strconv.Atoi(string(m[1]) + string(m[2])); n < 2 || n > 5 {
				t.Errorf("%s, %s: %d pages", name, paper.name, n)
			}
			boxes := mediaBox.FindAllSubmatch(pdf, -1)
			for _, box := range boxes {
				if w, _ := strconv.ParseFloat(string(box[1]), 64); w < paper.width*72-1 || w > paper.width*72+1 {
					t.Errorf("%s: a page is %s points wide", paper.name, box[1])
				}
			}
			if len(boxes) == 0 {
				t.Errorf("%s, %s: no page size", name, paper.name)
			}
			// What the page's own margins of 12 mm leave, in CSS pixels.
			b.Media("print", nil)
			b.Resize(int(paper.width*96-2*12/25.4*96), 1000)
			if out := chrome.MustEval[string](b, cutOff); out != "" {
				t.Errorf("%s, %s, cut off:\n%s", name, paper.name, out)
			}
			if name == "two builds" { // its maps share a row and are not full size
				continue
			}
			if off := chrome.MustEval[float64](b, full); off < -0.05 || off > 0.05 {
				t.Errorf("%s, %s: the scale bar is %.2f mm longer than 10 mm", name, paper.name, off)
			}
		}
		b.Media("", nil)
		b.Resize(360, 640)
		if out := chrome.MustEval[string](b, `document.documentElement.scrollWidth > 360 ? "wider than the phone" : ""`); out != "" {
			t.Errorf("%s: %s", name, out)
		}
		if errs := b.ConsoleErrors(); len(errs) > 0 {
			t.Errorf("%s reported %q", name, errs)
		}
	}
}

func read(t *testing.T, name string) *build.Build {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "..", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	doc, err := build.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// compared is the page of two builds side by side.
func compared(t *testing.T, first, second string) string {
	t.Helper()
	c, err := sheet.Compare(sheet.Side{Build: read(t, first)}, sheet.Side{Build: read(t, second)})
	if err != nil {
		t.Fatal(err)
	}
	return sheet.CompareHTML(c)
}

// page is the sheet of a build file.
func page(t *testing.T, name string) string {
	t.Helper()
	doc, opt := read(t, name), sheet.Options{Date: "2026-03-14"}
	var err error
	if len(doc.Targets.List) > 0 {
		if opt.Plan, err = plan.Run(doc, plan.Options{}); err != nil {
			t.Fatal(err)
		}
	}
	s, err := sheet.New(doc, opt)
	if err != nil {
		t.Fatal(err)
	}
	return sheet.HTML(s)
}
