package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
)

const bookUsage = `usage: portwright book list BOOK
       portwright book merge [-o OUT] BOOK BOOK...
       portwright book extract [-o OUT] BOOK BUILD
       portwright book add [-copy] [-o OUT] BOOK BUILDFILE

list     prints the builds of a book
merge    writes a book of everything that stands in any of the books
extract  writes one build, by its number or ID, as a build file
add      takes a build file into a book, which is made when it does not exist
  -o OUT  write to this file; merge and extract print without it, add changes BOOK
  -copy   add it as a new build, even when the book has it already
A book is what the phone app saves as a file. BOOK and BUILDFILE may be - for
standard input. A file is changed whole or not at all.
`

func bookCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	verbs := map[string]func(*bookRun, []string) int{
		"list": (*bookRun).list, "merge": (*bookRun).merge, "extract": (*bookRun).extract, "add": (*bookRun).add,
	}
	if len(args) == 0 {
		fmt.Fprint(stderr, bookUsage)
		return exitInput
	}
	run, ok := verbs[args[0]]
	switch {
	case args[0] == "-h" || args[0] == "-help" || args[0] == "--help":
		fmt.Fprint(stdout, bookUsage)
		return exitOK
	case !ok:
		fmt.Fprintf(stderr, "portwright book: %q is not one of list, merge, extract, add\n\n%s", args[0], bookUsage)
		return exitInput
	}
	r := &bookRun{fs: flag.NewFlagSet("book "+args[0], flag.ContinueOnError), stdin: stdin, stdout: stdout, stderr: stderr}
	return run(r, args[1:])
}

// bookRun is one run of a book command.
type bookRun struct {
	fs             *flag.FlagSet
	stdin          io.Reader
	stdout, stderr io.Writer
	damaged        []string // books that were not read whole
}

func (r *bookRun) parse(args []string, least, most int) ([]string, int, bool) {
	return parseArgs(r.fs, args, bookUsage, least, most, r.stdout, r.stderr)
}

// read returns the entries of a book and warns when it is damaged.
func (r *bookRun) read(name string) (*book.Log, error) {
	in, err := openInput(name, r.stdin)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	entries, warning, err := book.DecodeBook(in)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shown(name), err)
	}
	if warning != "" {
		r.damaged = append(r.damaged, name)
		fmt.Fprintf(r.stderr, "%s: warning: %s\n", shown(name), warning)
	}
	return book.NewLog(entries...), nil
}

// write writes a book. A damaged one is never written over: what could not be
// read of it would be gone.
func (r *bookRun) write(name string, log *book.Log) int {
	for _, d := range r.damaged {
		if d != "-" && sameFile(d, name) {
			return refuse(r.stderr, fmt.Errorf("%s: is damaged and is not written over; give another file with -o", d))
		}
	}
	for _, f := range log.Forks() {
		fmt.Fprintf(r.stderr, "note: device %s wrote %d different entries under number %d; all are kept\n", f[0].Device, len(f), f[0].Seq)
	}
	if err := writeOutput(name, r.stdout, func(w io.Writer) error { return book.EncodeBook(w, log.Entries()) }); err != nil {
		return fail(r.stderr, err)
	}
	return exitOK
}

func sameFile(a, b string) bool {
	x, errA := os.Stat(a)
	y, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(x, y)
}

func (r *bookRun) list(args []string) int {
	names, status, done := r.parse(args, 1, 1)
	if done {
		return status
	}
	log, err := r.read(names[0])
	if err != nil {
		return refuse(r.stderr, err)
	}
	tw := tabwriter.NewWriter(r.stdout, 0, 8, 2, ' ', 0)
	fmt.Fprintln(tw, "number\tname\twhat is known\treadings\tentries\tlast touched (UTC)\tid")
	for _, id := range log.Builds() {
		c := book.CardOf(book.Fold(log.Of(id)))
		fmt.Fprintf(tw, "%s\t%s\t%s\t%d\t%d\t%s\t%s\n", cell(c.Number), cell(c.Name), c.Summary, c.Readings, c.Entries,
			time.UnixMilli(c.TouchedMS).UTC().Format("2006-01-02 15:04"), cell(id))
	}
	if err := tw.Flush(); err != nil {
		return fail(r.stderr, err)
	}
	return exitOK
}

// cell keeps a text on its line and in its column.
func cell(s string) string {
	return strings.Map(func(c rune) rune {
		if c < ' ' || c == 0x7f {
			return ' '
		}
		return c
	}, s)
}

func (r *bookRun) merge(args []string) int {
	out := r.fs.String("o", "", "")
	names, status, done := r.parse(args, 2, 1000)
	if done {
		return status
	}
	var all book.Log
	for _, name := range names {
		log, err := r.read(name)
		if err != nil {
			return refuse(r.stderr, err)
		}
		fresh := all.Add(log.Entries()...)
		fmt.Fprintf(r.stderr, "%s: %d entries, %d of them new\n", shown(name), log.Len(), fresh)
	}
	return r.write(*out, &all)
}

func (r *bookRun) extract(args []string) int {
	out := r.fs.String("o", "", "")
	names, status, done := r.parse(args, 2, 2)
	if done {
		return status
	}
	log, err := r.read(names[0])
	if err != nil {
		return refuse(r.stderr, err)
	}
	id, err := findBuild(log, names[1])
	if err != nil {
		return refuse(r.stderr, err)
	}
	f := book.Fold(log.Of(id))
	data, err := build.Encode(f.Build)
	if err != nil {
		return refuse(r.stderr, err)
	}
	for _, c := range f.Conflicts {
		fmt.Fprintf(r.stderr, "note: %s was set to %s and, on another device, to %s; the first is used\n", c.Path, c.Used.Value, c.Others[0].Value)
	}
	if n := len(f.Hidden); n > 0 {
		fmt.Fprintf(r.stderr, "note: %d readings stand in windows or passes that were taken out, and are left out\n", n)
	}
	if n := len(f.Waiting) + len(f.Unread); n > 0 {
		fmt.Fprintf(r.stderr, "note: %d entries can't be applied yet (a part of the record is missing, or they are of a newer version)\n", n)
	}
	if err := writeOutput(*out, r.stdout, func(w io.Writer) error { _, err := w.Write(data); return err }); err != nil {
		return fail(r.stderr, err)
	}
	return exitOK
}

// findBuild finds a build by ID or by its number.
func findBuild(log *book.Log, wanted string) (string, error) {
	var have, found []string
	for _, id := range log.Builds() {
		if id == wanted {
			return id, nil
		}
		b := book.Fold(log.Of(id)).Build
		if b.Number != "" && b.Number == wanted {
			found = append(found, id)
		}
		if len(have) < 8 {
			have = append(have, fmt.Sprintf("%s (%s)", id, cell(b.Number+" "+b.Name)))
		}
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return "", &unit.InputError{Field: "BUILD", Value: strconv.Quote(wanted), Reason: "is the number of several builds; name one by ID: " + strings.Join(found, ", ")}
	case len(have) == 0:
		return "", &unit.InputError{Field: "BUILD", Value: strconv.Quote(wanted), Reason: "is not in the book, which is empty"}
	}
	return "", &unit.InputError{Field: "BUILD", Value: strconv.Quote(wanted), Reason: "must be the ID or number of a build of the book: " + strings.Join(have, ", ")}
}
