package main

import (
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == "verify" { // the child of a server that runs inside of a test
		main()
	}
	testscript.Main(m, map[string]func(){"portwright": main})
}

// TestScripts runs every testdata/*.txtar as a session at a shell.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata", Cmds: map[string]func(*testscript.TestScript, bool, []string){
		"crlf": crlf,
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
