package book

import (
	"bytes"
	"cmp"
	"slices"
)

// Log is a set of entries. Adding the same ones again, or in another order,
// gives the same set. The zero Log is empty.
//
// Two entries with one device and one sequence number but other contents (a
// device that was restored from a backup and went on) are both kept: no reading
// is dropped for its number. Forks tells of them.
type Log struct {
	entries []Entry // as they came
	has     map[place][]int
}

type place struct {
	device string
	seq    uint64
}

// Order sorts entries by clock, then device, sequence, ID and contents. It is a
// total order: entries that compare equal are the same.
func Order(a, b Entry) int {
	if c := cmp.Or(a.Clock.Compare(b.Clock), cmp.Compare(a.Device, b.Device), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID)); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(a.Build, b.Build), cmp.Compare(a.Kind, b.Kind), bytes.Compare(a.Body, b.Body))
}

// NewLog returns the set of the entries.
func NewLog(entries ...Entry) *Log {
	var l Log
	l.Add(entries...)
	return &l
}

// Add takes entries in and returns how many of them were new.
func (l *Log) Add(entries ...Entry) int {
	if l.has == nil {
		l.has = map[place][]int{}
	}
	before := len(l.entries)
	for _, e := range entries {
		at := place{e.Device, e.Seq}
		known := slices.ContainsFunc(l.has[at], func(i int) bool { return Order(l.entries[i], e) == 0 })
		if !known {
			l.has[at] = append(l.has[at], len(l.entries))
			l.entries = append(l.entries, e)
		}
	}
	return len(l.entries) - before
}

// Entries returns every entry in Order. The bodies are shared.
func (l *Log) Entries() []Entry {
	all := slices.Clone(l.entries)
	slices.SortFunc(all, Order)
	return all
}

// Len is the number of entries.
func (l *Log) Len() int { return len(l.entries) }

// Builds returns the IDs of the builds, in order of their first entry.
func (l *Log) Builds() []string {
	var ids []string
	seen := map[string]bool{}
	for _, e := range l.Entries() {
		if !seen[e.Build] {
			seen[e.Build] = true
			ids = append(ids, e.Build)
		}
	}
	return ids
}

// Of returns the entries of one build in Order.
func (l *Log) Of(build string) []Entry {
	var of []Entry
	for _, e := range l.entries {
		if e.Build == build {
			of = append(of, e)
		}
	}
	slices.SortFunc(of, Order)
	return of
}

// Forks returns the groups of different entries that claim one device and
// sequence number, in Order.
func (l *Log) Forks() [][]Entry {
	var forks [][]Entry
	for _, at := range l.has {
		if len(at) < 2 {
			continue
		}
		var group []Entry
		for _, i := range at {
			group = append(group, l.entries[i])
		}
		slices.SortFunc(group, Order)
		forks = append(forks, group)
	}
	slices.SortFunc(forks, func(a, b []Entry) int { return Order(a[0], b[0]) })
	return forks
}
