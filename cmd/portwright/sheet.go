package main

import (
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/sheet"
	"portwright/engine/unit"
)

const sheetUsage = `usage: portwright sheet [--apply CODE]... [--date DATE] [--device NAME] [--csv] [-o OUT] FILE
       portwright sheet --with OTHER [--passes A,B] [--date DATE] [-o OUT] FILE
       portwright sheet --passes A,B [--date DATE] [-o OUT] FILE

Writes the sheet of a build file: before and after with method and doubt, cuts
planned and made, pictures, cautions. One HTML page that needs nothing else
and prints on A4 and Letter.
  --apply CODE   carry out the remedy of this finding; may be given several times
  --date DATE    the sheet's date, as in 2026-03-14; else today
  --device NAME  who or what made the sheet; else the devices of the readings
  --csv          the numbers as CSV (RFC 4180) in place of the page
  --with OTHER   in place of the sheet, set FILE and another build file side by side
  --passes A,B   likewise, the Ath pass and the Bth; with --with the Bth of OTHER,
                 else both of FILE. Without it the last ones are taken
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
	table := fs.Bool("csv", false, "")
	with := fs.String("with", "", "")
	pair := fs.String("passes", "", "")
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
	var page string
	if *table && (*with != "" || *pair != "") {
		return refuse(stderr, &unit.InputError{Field: "--csv", Value: "given", Reason: "must stand alone: with --with or --passes there is a page only"})
	}
	if *with != "" || *pair != "" {
		page, err = compared(data, names[0], *with, *pair, *date, findings.Options{Apply: apply}, stdin, stderr)
	} else {
		page, err = sheetOf(data, sheet.Options{Findings: findings.Options{Apply: apply}, Date: *date, Device: *device, Digest: digest(data)}, *table, stderr)
	}
	if err != nil {
		return refuse(stderr, err)
	}
	if err := writeOutput(*out, stdout, func(w io.Writer) error { _, err := io.WriteString(w, page); return err }); err != nil {
		return fail(stderr, err)
	}
	return exitOK
}

// sheetOf makes the sheet of a build file, as a page or as a table.
func sheetOf(data []byte, opt sheet.Options, table bool, stderr io.Writer) (string, error) {
	b, err := build.Decode(data)
	if err != nil {
		return "", err
	}
	if err := errors.Join(build.Check(b), build.CheckPlan(b)); err != nil {
		return "", err
	}
	warnMistyped(stderr, b)
	made, noPlan, err := sheet.Of(b, opt)
	if err == nil && !onlyMissing(noPlan) {
		err = noPlan
	}
	if err != nil {
		return "", err
	}
	if table {
		return string(sheet.CSV(made)), nil
	}
	return sheet.HTML(made), nil
}

func digest(data []byte) string { return fmt.Sprintf("SHA-256 %x", sha256.Sum256(data)) }

// compared sets two passes of one file, or of two, side by side.
func compared(data []byte, name, with, pair, date string, opt findings.Options, stdin io.Reader, stderr io.Writer) (string, error) {
	first := sheet.Side{Findings: opt, Digest: digest(data)}
	var second sheet.Side
	var err error
	if first.Pass, second.Pass, err = passPair(pair); err != nil {
		return "", err
	}
	if first.Build, err = build.Decode(data); err != nil {
		return "", err
	}
	if with == "" {
		second.Build, second.Findings, second.Digest = first.Build, opt, first.Digest
	} else {
		if with == "-" && name == "-" {
			return "", &unit.InputError{Field: "--with", Value: strconv.Quote(with), Reason: "must be another file: standard input is read already"}
		}
		other, err := readInput(with, stdin, build.MaxBytes)
		if err != nil {
			return "", err
		}
		second.Digest = digest(other)
		if second.Build, err = build.Decode(other); err == nil {
			err = build.Check(second.Build)
		}
		if err != nil {
			return "", fmt.Errorf("%s: %w", shown(with), err)
		}
	}
	warnMistyped(stderr, first.Build)
	if with != "" {
		warnMistyped(stderr, second.Build)
	}
	c, err := sheet.Compare(first, second)
	if err != nil {
		return "", err
	}
	c.Date = date
	return sheet.CompareHTML(c), nil
}

// passPair reads "1,3"; nothing stands for the last passes.
func passPair(s string) (a, b int, err error) {
	if s == "" {
		return 0, 0, nil
	}
	left, right, ok := strings.Cut(s, ",")
	a, errA := strconv.Atoi(strings.TrimSpace(left))
	b, errB := strconv.Atoi(strings.TrimSpace(right))
	if !ok || errA != nil || errB != nil || a < 1 || b < 1 {
		return 0, 0, &unit.InputError{Field: "--passes", Value: strconv.Quote(s), Reason: "must be the numbers of two passes, as in 1,2"}
	}
	return a, b, nil
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
	return err == nil || errors.As(err, &in) && in.Value == ""
}
