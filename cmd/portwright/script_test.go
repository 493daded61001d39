package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"portwright/server/store"
	"portwright/wasm/sync/phonetest"
)

func TestMain(m *testing.M) {
	// The child of a server that runs inside of a test, and a server that a
	// test sends signals to.
	if len(os.Args) > 1 && (os.Args[1] == "verify" || os.Args[1] == "serve") {
		main()
	}
	testscript.Main(m, map[string]func(){"portwright": main})
}

// TestScripts runs every testdata/*.txtar as a session at a shell.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata", Cmds: map[string]func(*testscript.TestScript, bool, []string){
		"crlf":   crlf,
		"pushed": pushed,
		"damage": damage,
	}})
}

// crlf FILE gives the lines of a file the ends that CSV has.
func crlf(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: crlf FILE")
	}
	text := strings.ReplaceAll(ts.ReadFile(args[0]), "\n", "\r\n")
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o644))
}

// pushed DIR lets a phone push twelve entries to a server that keeps them in DIR.
func pushed(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: pushed DIR")
	}
	kept, err := store.Open(store.Options{Dir: ts.MkAbs(args[0])})
	ts.Check(err)
	p := phonetest.New("phone", 5)
	for range 12 {
		p.Write(`"id":"x"`)
	}
	ts.Check(p.Sync(kept.Keeper, 1))
	ts.Check(kept.Close())
}

// damage FILE changes a bit in the middle of a file.
func damage(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: damage FILE")
	}
	names, err := filepath.Glob(ts.MkAbs(args[0]))
	ts.Check(err)
	if len(names) != 1 {
		ts.Fatalf("%s: %d files", args[0], len(names))
	}
	b := []byte(ts.ReadFile(names[0]))
	b[len(b)/2] ^= 4
	ts.Check(os.WriteFile(names[0], b, 0o600))
}
