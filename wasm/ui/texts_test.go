package ui

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// TEXTS.txt is the catalogue of what people read: one text a line, station by
// station, taken from the templates, from packages view and app, and from the
// engine where it speaks. The tests here hold it complete, so that a text is
// read by somebody before it ships: look at what changed, then run with -update.
// Texts within scripts (start, repair, shop) are not taken.
var catalogued = []struct{ station, files string }{
	{"Everywhere", "StationNav.vugu Strip.vugu SaveBanner.vugu UpdateBar.vugu Root.vugu Picks.vugu view/strip.go view/marks.go view/figure.go app/save.go app/undo.go app/draft.go"},
	{"Book", "Book*.vugu view/book.go view/pair.go view/sync.go app/book.go app/book_task.go app/incoming.go app/pair.go app/sync.go app/settings.go"},
	{"Engine", "Engine*.vugu view/engine*.go view/learn.go app/engine*.go app/learn.go"},
	{"Bench", "Bench*.vugu view/bench*.go app/bench*.go"},
	{"Findings", "Findings*.vugu Section*.vugu view/findings*.go view/section*.go app/findings*.go app/section*.go"},
	{"Cuts", "Cuts*.vugu view/cuts*.go app/cuts*.go"},
	{"Sheet", "Sheet*.vugu view/sheet*.go app/sheet*.go ../engine/sheet/*.go"},
	{"What the engine says", "../engine/findings/*.go ../engine/plan/*.go ../engine/build/*.go ../engine/book/*.go ../engine/unit/*.go"},
	{"Pictures", "../engine/draw/*.go"},
	{"Storage and sync", "browser/failure.go browser/runner.go browser/files.go browser/intake.go browser/crash.go sync/*.go"},
	{"Pages outside the app", "../static/shell/*.html ../server/setup/page/*.html ../server/httpapi/shop/*.html"},
}

var (
	word       = regexp.MustCompile(`[a-z]{2,}|½`)
	code       = regexp.MustCompile(`^[a-z0-9.]*[_/\[(#<>={}][^ ]*$|^[a-z]+\.$|^[A-Z][a-z]+[A-Z]|^(Enter|Backspace|Delete|Escape)$|^[MLHVAZC0-9 .#-]+$|<|^#`)
	quotedText = regexp.MustCompile(`"([^"\\]|\\.)*"`)
)

// textsOf are the texts of some files, each once, in the order of the alphabet.
func textsOf(t *testing.T, patterns string) []string {
	t.Helper()
	found := map[string]bool{}
	for _, pattern := range strings.Fields(patterns) {
		if strings.Contains(pattern, "/") {
			pattern = filepath.Join("..", pattern)
		}
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("no file is %s: %v", pattern, err)
		}
		for _, file := range files {
			switch {
			case strings.HasSuffix(file, "_test.go"):
			case strings.HasSuffix(file, ".vugu"), strings.HasSuffix(file, ".html"):
				textsOfTemplate(t, file, found)
			default:
				textsOfGo(t, file, found)
			}
		}
	}
	var out []string
	for s := range found {
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

// textsOfTemplate takes what stands between the tags, in the attributes that are
// read out, and the quoted words in what is computed for them.
func textsOfTemplate(t *testing.T, file string, found map[string]bool) {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	add := func(s string) {
		if s = strings.Join(strings.Fields(s), " "); word.MatchString(s) {
			found[s] = true
		}
	}
	z := html.NewTokenizer(strings.NewReader(string(raw)))
	for z.Next() != html.ErrorToken {
		tok := z.Token()
		if tok.Type == html.TextToken {
			add(tok.Data)
		}
		for _, a := range tok.Attr {
			switch key := strings.TrimPrefix(a.Key, ":"); {
			case key != "aria-label" && key != "placeholder" && key != "title" && key != "vg-content":
			case a.Key == key && key != "vg-content":
				add(a.Val)
			default:
				for _, q := range quotedText.FindAllString(a.Val, -1) {
					if s, err := strconv.Unquote(q); err == nil {
						add(s)
					}
				}
			}
		}
	}
}

// textsOfGo takes the quoted words of a Go file that are no keys or names of the
// record: in package view all words, in package app what is a sentence or begins
// with a capital.
func textsOfGo(t *testing.T, file string, found map[string]bool) {
	t.Helper()
	tree, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	inApp := !strings.Contains(file, "view") // the others hold keys and names of the record too
	ast.Inspect(tree, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec, *ast.CaseClause, *ast.Field:
			if c, ok := n.(*ast.CaseClause); ok { // what is chosen by is no text, what follows is
				for _, s := range c.Body {
					ast.Inspect(s, func(n ast.Node) bool { return takeText(n, inApp, found) })
				}
			}
			return false
		}
		return takeText(n, inApp, found)
	})
}

func takeText(n ast.Node, inApp bool, found map[string]bool) bool {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if n.Op == token.EQL || n.Op == token.NEQ {
			return false
		}
	case *ast.CallExpr:
		if f, ok := n.Fun.(*ast.SelectorExpr); ok && slices.Contains([]string{"HasPrefix", "HasSuffix", "CutPrefix", "CutSuffix", "Contains", "Text", "SomeText", "SomeFlag", "SomeWhole", "SomeLength", "Texts", "Named"}, f.Sel.Name) {
			return false
		}
	case *ast.BasicLit:
		s, err := strconv.Unquote(n.Value)
		if n.Kind != token.STRING || err != nil || !word.MatchString(s) || code.MatchString(s) {
			return true
		}
		if inApp && !strings.Contains(strings.TrimSpace(s), " ") && !(s[0] >= 'A' && s[0] <= 'Z') {
			return true
		}
		found[strings.TrimSpace(s)] = true
	}
	return true
}

// Every text of the catalogued stations is in TEXTS.txt, and none that is gone.
func TestTextsAreInTheCatalogue(t *testing.T) {
	var b strings.Builder
	b.WriteString("What people read, station by station. Written by go test ./wasm/ui -update; look at what changed.\n")
	for _, c := range catalogued {
		fmt.Fprintf(&b, "\n# %s\n", c.station)
		for _, s := range textsOf(t, c.files) {
			b.WriteString(strings.ReplaceAll(s, "\n", `\n`) + "\n")
		}
	}
	if *update {
		if err := os.WriteFile("TEXTS.txt", []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	raw, err := os.ReadFile("TEXTS.txt")
	if err != nil {
		t.Fatal(err)
	}
	want, got := strings.Split(string(raw), "\n"), strings.Split(b.String(), "\n")
	for _, s := range got {
		if !slices.Contains(want, s) {
			t.Errorf("not in TEXTS.txt: %s", s)
		}
	}
	for _, s := range want {
		if !slices.Contains(got, s) {
			t.Errorf("in TEXTS.txt, and nowhere else: %s", s)
		}
	}
	if t.Failed() {
		t.Error("read what changed, then: go test ./wasm/ui -update")
	}
	if len(got) < 300 {
		t.Errorf("only %d texts were found", len(got))
	}
}

// Texts use the trade's terms, one for each thing, and no words of computing
// where the trade has its own.
func TestTextsUseTheTradesTerms(t *testing.T) {
	for _, c := range []struct{ not, but string }{
		{`\binlets?\b`, "intake"}, {`\bquench\b`, "squish"}, {`\bcon(necting)?[- ]?rods?\b`, "rod"}, {`\bceilings?\b`, "roof"}, {`\b(top|upper) edge of the (port|window)`, "roof"},
		{`\b(bottom|lower) edge of the (port|window)`, "floor"}, {`\bdegree wheels?\b`, "timing wheel"}, {`\bpiston stop\b`, "stop"}, {`\bbarrels?\b`, "cylinder"}, {`\bwrist pin\b`, "gudgeon pin"},
		{`\bscavenge ports?\b`, "transfer"}, {`\bfifth port\b`, "boost"}, {`\bdeck clearance\b`, "crown below deck"}, {`\bexhaust can\b`, "muffler"}, {`\bOT\b|\bUT\b`, "TDC, BDC"},
		{`\bdatabase\b|\bcache\b|\bIndexedDB\b|\bWebAssembly\b`, "what it means for the person"}, {`\bclick(ed)?\b`, "tap or press"}, {`\binvalid\b`, "what would be right"}, {`\brecord is null\b|\bundefined\b`, "not known"},
	} {
		bad := regexp.MustCompile(`(?i)` + c.not)
		if strings.Contains(c.not, "OT") {
			bad = regexp.MustCompile(c.not)
		}
		for _, of := range catalogued {
			for _, s := range textsOf(t, of.files) {
				if bad.MatchString(s) {
					t.Errorf("%s, %q: say %s", of.station, s, c.but)
				}
			}
		}
	}
}
