package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"

	"portwright/static/pack"
)

// names prints a stack trace of the app ("-" reads it from the input) with the
// names of functions, which a build keeps beside the app. They are those of
// what is packed at the moment, or of a file that a server sent: names.txt
// beside the app.code that made the trace.
func names(root string, args []string) error {
	if len(args) != 1 && len(args) != 2 {
		return errors.New("names needs a file with a stack trace, or - for the input: go run ./cmd/dev names TRACE [NAMES]")
	}
	trace, err := readTrace(args[0])
	if err != nil {
		return err
	}
	var list []byte
	if len(args) == 2 {
		list, err = os.ReadFile(args[1])
	} else {
		list, err = pack.NamesOf(os.DirFS(filepath.Join(root, "static", "dist")), trace)
	}
	if err != nil {
		return err
	}
	out, err := pack.Named(trace, list)
	if err != nil {
		return err
	}
	_, err = os.Stdout.Write(out)
	return err
}

func readTrace(name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(os.Stdin)
	}
	return os.ReadFile(name)
}
