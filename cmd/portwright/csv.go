package main

import (
	"flag"
	"io"

	"portwright/engine/build"
)

const csvUsage = `usage: portwright csv [-o OUT] FILE

Writes every reading of a build file as CSV (RFC 4180): a header, one row for
each reading and each reading against the stop, struck ones with their reason.
  -o OUT  write to this file in place of standard output
FILE may be - for standard input.
`

func csvCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fs := flag.NewFlagSet("csv", flag.ContinueOnError)
	out := fs.String("o", "", "")
	names, status, done := parseArgs(fs, args, csvUsage, 1, 1, stdout, stderr)
	if done {
		return status
	}
	b, err := readBuild(names[0], stdin)
	if err != nil {
		return refuse(stderr, err)
	}
	if err := writeOutput(*out, stdout, func(w io.Writer) error { return build.WriteCSV(w, b) }); err != nil {
		return fail(stderr, err)
	}
	return exitOK
}

// readBuild reads a build file and checks it.
func readBuild(name string, stdin io.Reader) (*build.Build, error) {
	data, err := readInput(name, stdin, build.MaxBytes)
	if err != nil {
		return nil, err
	}
	b, err := build.Decode(data)
	if err != nil {
		return nil, err
	}
	return b, build.Check(b)
}
