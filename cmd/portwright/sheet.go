package main

import (
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"io"
	"strconv"
	"time"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/plan"
	"portwright/engine/sheet"
	"portwright/engine/unit"
)

const sheetUsage = `usage: portwright sheet [--apply CODE]... [--date DATE] [--device NAME] [-o OUT] FILE

Writes the sheet of a build file: before and after with method and doubt, cuts
planned and made, pictures, cautions. One HTML page that needs nothing else
and prints on A4 and Letter.
  --apply CODE   carry out the remedy of this finding; may be given several times
  --date DATE    the sheet's date, as in 2026-03-14; else today
  --device NAME  who or what made the sheet; else the devices of the readings
  -o OUT         write to this file in place of standard output
FILE may be - for standard input.
`

func sheetCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fs := flag.NewFlagSet("sheet", flag.ContinueOnError)
	var apply codes
	fs.Var(&apply, "apply", "")
	date := fs.String("date", "", "")
	device := fs.String("device", "", "")
	out := fs.String("o", "", "")
	names, status, done := parseArgs(fs, args, sheetUsage, 1, 1, stdout, stderr)
	if done {
		return status
	}
	if *date == "" {
		*date = time.Now().Format(time.DateOnly)
	} else if _, err := time.Parse(time.DateOnly, *date); err != nil {
		return refuse(stderr, &unit.InputError{Field: "--date", Value: strconv.Quote(*date), Reason: "must be year, month and day, as in 2026-03-14"})
	}
	data, err := readInput(names[0], stdin, build.MaxBytes)
	if err != nil {
		return refuse(stderr, err)
	}
	opt := sheet.Options{Findings: findings.Options{Apply: apply}, Date: *date, Device: *device, Digest: fmt.Sprintf("SHA-256 %x", sha256.Sum256(data))}
	s, err := sheetOf(data, opt, stderr)
	if err != nil {
		return refuse(stderr, err)
	}
	page := sheet.HTML(s)
	if err := writeOutput(*out, stdout, func(w io.Writer) error { _, err := io.WriteString(w, page); return err }); err != nil {
		return fail(stderr, err)
	}
	return exitOK
}

// sheetOf makes the sheet of a build file, with its plan when it asks for one.
func sheetOf(data []byte, opt sheet.Options, stderr io.Writer) (*sheet.Sheet, error) {
	b, err := build.Decode(data)
	if err != nil {
		return nil, err
	}
	if err := errors.Join(build.Check(b), build.CheckPlan(b)); err != nil {
		return nil, err
	}
	warnMistyped(stderr, b)
	if len(b.Moves) > 0 || len(b.Targets.List) > 0 || len(b.Targets.Extra) > 0 {
		opt.Plan, err = plan.Run(b, plan.Options{Apply: opt.Findings.Apply})
		switch {
		case err != nil && onlyMissing(err):
			opt.NoPlan = err.Error()
		case err != nil:
			return nil, err
		}
	}
	return sheet.New(b, opt)
}

// onlyMissing says whether an error is about numbers that were not given, and
// nothing that was given is wrong.
func onlyMissing(err error) bool {
	if all, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range all.Unwrap() {
			if !onlyMissing(e) {
				return false
			}
		}
		return true
	}
	var in *unit.InputError
	return errors.As(err, &in) && in.Value == ""
}
