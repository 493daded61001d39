package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"time"

	"github.com/google/uuid"

	"portwright/engine/book"
	"portwright/engine/build"
	"portwright/engine/unit"
)

func (r *bookRun) add(args []string) int {
	out := r.fs.String("o", "", "")
	asCopy := r.fs.Bool("copy", false, "")
	names, status, done := r.parse(args, 2, 2)
	if done {
		return status
	}
	if names[0] == "-" && names[1] == "-" {
		return refuse(r.stderr, errors.New("BOOK and BUILDFILE can't both be standard input"))
	}
	log := &book.Log{}
	if _, err := os.Stat(names[0]); names[0] == "-" || !errors.Is(err, fs.ErrNotExist) {
		if log, err = r.read(names[0]); err != nil {
			return refuse(r.stderr, err)
		}
	}
	b, err := readBuild(names[1], r.stdin)
	if err != nil {
		return refuse(r.stderr, err)
	}
	entries, err := takeIn(log, b, *asCopy)
	if err != nil {
		return refuse(r.stderr, err)
	}
	log.Add(entries...)
	if *out == "" {
		*out = names[0]
	}
	if status := r.write(*out, log); status != exitOK {
		return status
	}
	fmt.Fprintf(r.stderr, "%s: %d entries added as build %s\n", shown(names[1]), len(entries), entries[0].Build)
	return exitOK
}

// takeIn makes the entries that bring a build into a book, as written by a
// device of their own.
func takeIn(log *book.Log, b *build.Build, asCopy bool) ([]book.Entry, error) {
	if asCopy {
		var err error
		if b, err = book.Fresh(b); err != nil {
			return nil, err
		}
	}
	if b.ID != "" && len(log.Of(b.ID)) > 0 {
		return nil, &unit.InputError{Field: "id", Value: strconv.Quote(b.ID), Reason: "is in the book already; give -copy to add it as a new build"}
	}
	newID := func() string { return uuid.Must(uuid.NewV7()).String() }
	items, err := book.ItemsOf(b, newID)
	if err != nil {
		return nil, err
	}
	nowMS := time.Now().UnixMilli()
	var clock book.Clock
	for _, e := range log.Entries() {
		clock = clock.Observe(e.Clock, nowMS)
	}
	entries, _, _ := book.Stamp(items, newID(), 0, clock, nowMS, newID)
	return entries, nil
}
