package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
)

// parseArgs reads options and file names in any order and returns the names.
// done says that the command is over: help was asked for, or the arguments are
// wrong; status is its exit status then.
func parseArgs(fs *flag.FlagSet, args []string, usage string, least, most int, stdout, stderr io.Writer) (names []string, status int, done bool) {
	fs.SetOutput(io.Discard)
	fs.Usage = func() {}
	wrong := func(err error) ([]string, int, bool) {
		fmt.Fprintf(stderr, "portwright %s: %v\n\n%s", fs.Name(), err, usage)
		return nil, exitInput, true
	}
	for {
		if err := fs.Parse(args); errors.Is(err, flag.ErrHelp) {
			fmt.Fprint(stdout, usage)
			return nil, exitOK, true
		} else if err != nil {
			return wrong(err)
		}
		if args = fs.Args(); len(args) == 0 {
			break
		}
		names, args = append(names, args[0]), args[1:]
	}
	if len(names) < least || len(names) > most {
		return wrong(fmt.Errorf("%d names given", len(names)))
	}
	return names, exitOK, false
}

// refuse prints what is wrong with the input and returns the exit status for
// it.
func refuse(stderr io.Writer, err error) int {
	fmt.Fprintln(stderr, err)
	return exitInput
}

// fail prints what this computer could not do and returns the exit status for
// it.
func fail(stderr io.Writer, err error) int {
	fmt.Fprintln(stderr, "portwright:", err)
	return exitFailed
}
