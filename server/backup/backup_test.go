package backup

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"portwright/server"
	"portwright/server/memory"
	"portwright/wasm/sync/phonetest"
)

// shop returns a keeper with n entries, and its records.
func shop(t *testing.T, n int) (*server.Keeper, Each) {
	t.Helper()
	j := &memory.Journal{}
	k, _, err := server.Open(j, &memory.Index{}, server.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := phonetest.New("phone", 100)
	for range n {
		p.Write(`"x": 1`)
	}
	if err := p.Sync(k, 1); err != nil {
		t.Fatal(err)
	}
	return k, k.Records
}

func TestWriteAndRead(t *testing.T) {
	k, each := shop(t, 20)
	name := filepath.Join(t.TempDir(), "b")
	at := time.UnixMilli(77)
	seal, err := Write(name, each, at)
	if err != nil {
		t.Fatal(err)
	}
	have := k.Have()
	if want := (Seal{Entries: 20, Digest: have.Digest, Epoch: have.Epoch, AtMS: 77}); seal != want {
		t.Errorf("seal %+v, want %+v", seal, want)
	}
	if got, err := Verify(name); err != nil || got != seal {
		t.Errorf("verified %+v, %v", got, err)
	}
	var records, want []string
	collect := func(to *[]string) func([]byte) error {
		return func(b []byte) error { *to = append(*to, string(b)); return nil }
	}
	if _, err := Read(name, collect(&records)); err != nil {
		t.Fatal(err)
	}
	if err := each(collect(&want)); err != nil || !slices.Equal(records, want) {
		t.Errorf("%d records come back of %d", len(records), len(want))
	}
}

// Whatever byte is changed and wherever the file is cut, the backup is known to
// be damaged, and all but one record can be read.
func TestDamagedBackups(t *testing.T) {
	_, each := shop(t, 6)
	name := filepath.Join(t.TempDir(), "b")
	if _, err := Write(name, each, time.Now()); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	bad := name + ".bad"
	try := func(what string, b []byte, least uint64) {
		t.Helper()
		if err := os.WriteFile(bad, b, 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := Verify(bad)
		var hurt *Damaged
		if !errors.As(err, &hurt) || hurt.Entries < least {
			t.Fatalf("%s: %v", what, err)
		}
	}
	for i := range whole {
		b := slices.Clone(whole)
		b[i] ^= 2
		try(fmt.Sprintf("byte %d changed", i), b, 5)
		if i > 200 { // less is no backup at all
			try(fmt.Sprintf("cut to %d", i), whole[:i], 0)
		}
	}
	for _, b := range [][]byte{nil, []byte("x"), whole[:5]} {
		if err := os.WriteFile(bad, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Verify(bad); err == nil || !strings.Contains(err.Error(), "no backup of Portwright") {
			t.Errorf("%q: %v", b, err)
		}
	}
	// Two backups run together are not one.
	try("two in one", append(slices.Clone(whole), whole...), 6)
}

// A failure leaves no file, and none that was there is touched.
func TestFailedBackup(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "b")
	fault := errors.New("the journal is damaged")
	if _, err := Write(name, func(func([]byte) error) error { return fault }, time.Now()); !errors.Is(err, fault) {
		t.Errorf("%v", err)
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("%d files are left", len(left))
	}
	if _, err := Write(filepath.Join(dir, "none", "b"), func(func([]byte) error) error { return nil }, time.Now()); err == nil {
		t.Error("no folder, no error")
	}
}

// Backups of every night of a year, thinned every night. Which stay is counted
// by hand from a calendar: 31 December 2026 is a Thursday of ISO week 53.
func TestWhichBackupsStay(t *testing.T) {
	var there []string
	for day := time.Date(2026, 1, 1, 2, 30, 0, 0, time.UTC); day.Year() == 2026; day = day.AddDate(0, 0, 1) {
		there = append(there, NameAt(day), NameAt(day.Add(-time.Hour))) // and one by hand
		spare := Spare(there, time.UTC)
		there = slices.DeleteFunc(there, func(n string) bool { return slices.Contains(spare, n) })
	}
	slices.Sort(there)
	var days []string
	for _, n := range there {
		days = append(days, n[len("portwright-2026"):len("portwright-20260102")])
	}
	// the last seven days; and of weeks 46 to 52 the newest, a Sunday
	want := "1115 1122 1129 1206 1213 1220 1225 1226 1227 1228 1229 1230 1231"
	if got := strings.Join(days, " "); got != want {
		t.Errorf("stay: %s, want %s", got, want)
	}
	for _, foreign := range []string{"readings.pwbackup", "portwright-20260101-0230.pwbackup", "portwright-20261301-023000.pwbackup", "portwright-20260101-023000.pwbackup.old"} {
		if _, ok := When(foreign, time.UTC); ok {
			t.Errorf("%s is taken for a nightly backup", foreign)
		}
	}
}

func TestNextBackup(t *testing.T) {
	at := func(day, hour, min int) time.Time { return time.Date(2026, 3, day, hour, min, 0, 0, time.UTC) }
	for _, c := range []struct {
		name        string
		now, newest time.Time
		want        time.Time
	}{
		{"none yet", at(10, 12, 0), time.Time{}, at(10, 12, 1)},
		{"of last night", at(10, 12, 0), at(10, 2, 30), at(11, 2, 30)},
		{"of this evening", at(10, 23, 0), at(10, 22, 0), at(11, 2, 30)},
		{"after midnight", at(11, 1, 0), at(10, 2, 30), at(11, 2, 30)},
		{"switched off at night", at(11, 8, 0), at(10, 2, 30), at(11, 8, 1)},
		{"off for a week", at(18, 8, 0), at(10, 2, 30), at(18, 8, 1)},
		{"made before half past two", at(11, 2, 10), at(11, 2, 0), at(12, 2, 30)},
	} {
		if got := next(c.now, c.newest); !got.Equal(c.want) {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// Twelve nights with a clock of our own; one of them the disk is full.
func TestNightly(t *testing.T) {
	k, each := shop(t, 5)
	dir := filepath.Join(t.TempDir(), "backups")
	now := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	ctx, stop := context.WithCancel(context.Background())
	full := errors.New("full")
	var told []string
	n := Nightly{
		Dir: dir, Each: each,
		Now:  func() time.Time { return now },
		Wait: func(_ context.Context, d time.Duration) { now = now.Add(d) },
		Room: func() error {
			if now.Day() == 5 {
				return full
			}
			return nil
		},
		Tell: func(s Seal, name string, err error) {
			switch {
			case errors.Is(err, full):
				told = append(told, now.Format("02 15:04 ")+"full")
			case err != nil || s.Entries != 5 || s.Digest != k.Have().Digest || filepath.Base(name) != NameAt(now):
				t.Errorf("%s: %+v, %v", name, s, err)
			default:
				told = append(told, now.Format("02 15:04"))
			}
			if len(told) == 12 {
				stop()
			}
		},
	}
	n.Run(ctx)
	want := "01 20:01, 02 02:30, 03 02:30, 04 02:30, 05 02:30 full, 06 02:30, 07 02:30, 08 02:30, 09 02:30, 10 02:30, 11 02:30, 12 02:30"
	if got := strings.Join(told, ", "); got != want {
		t.Errorf("told %s, want %s", got, want)
	}
	names, newest, err := list(dir, time.UTC)
	if err != nil || newest.Day() != 12 || len(names) != 8 { // 6 to 12, and 1 March, the Sunday of the week before
		t.Errorf("%d stay: %v, %v", len(names), names, err)
	}
	for _, name := range names {
		if _, err := Verify(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
}

func TestNightlyStopsAtOnce(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		Nightly{Dir: t.TempDir(), Tell: func(Seal, string, error) {}}.Run(ctx)
		close(done)
	}()
	stop()
	select {
	case <-done:
	case <-time.After(10 * time.Second):
		t.Fatal("it goes on")
	}
}

// The first entries after an empty backup wait for minutes, not for the night;
// a failure is not repeated at once.
func TestFirstEntriesAreBackedUpSoon(t *testing.T) {
	start := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name  string
		first time.Duration // after the start, when entries come
		full  time.Duration // after the start, until when the disk is full
		fails bool          // the first backup with entries in it
		want  string
	}{
		{"entries come", time.Hour, 0, false, "01 09:01 0, 01 10:06 5, 02 02:30 5"},
		{"there from the start", 0, 0, false, "01 09:01 5, 02 02:30 5, 03 02:30 5"},
		{"the disk is full for a while", time.Hour, 3 * time.Hour, false, "01 09:01 full, 01 12:06 5, 02 02:30 5"},
		{"a backup fails", time.Hour, 0, true, "01 09:01 0, 01 10:06 failed, 02 02:30 5"},
	} {
		j := &memory.Journal{}
		k, _, err := server.Open(j, &memory.Index{}, server.Options{})
		if err != nil {
			t.Fatal(err)
		}
		now := start
		ctx, stop := context.WithCancel(context.Background())
		var told []string
		fill := func() {
			if k.Have().Entries > 0 || now.Before(start.Add(c.first)) {
				return
			}
			p := phonetest.New("phone", 100)
			for range 5 {
				p.Write(`"x": 1`)
			}
			if err := p.Sync(k, 1); err != nil {
				t.Fatal(err)
			}
		}
		full, fault := errors.New("full"), errors.New("fault")
		n := Nightly{
			Dir: filepath.Join(t.TempDir(), "backups"),
			Each: func(f func([]byte) error) error {
				if c.fails && len(told) == 1 {
					return fault
				}
				return k.Records(f)
			},
			Held: func() uint64 { return k.Have().Entries },
			Now:  func() time.Time { return now },
			Wait: func(_ context.Context, d time.Duration) { now = now.Add(d); fill() },
			Room: func() error {
				if now.Before(start.Add(c.full)) {
					return full
				}
				return nil
			},
			Tell: func(s Seal, name string, err error) {
				said := fmt.Sprint(s.Entries)
				if errors.Is(err, full) {
					said = "full"
				} else if errors.Is(err, fault) {
					said = "failed"
				} else if got, err := Sealed(name); err != nil || got != s {
					t.Errorf("%s: its end says %+v, %v; want %+v", c.name, got, err, s)
				}
				if told = append(told, now.Format("02 15:04 ")+said); len(told) == 3 {
					stop()
				}
			},
		}
		n.Run(ctx)
		if got := strings.Join(told, ", "); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

func TestSealedOfNoBackup(t *testing.T) {
	_, each := shop(t, 20)
	dir := t.TempDir()
	if _, err := Write(filepath.Join(dir, "b"), each, time.Now()); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(filepath.Join(dir, "b"))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range [][]byte{nil, []byte("x"), whole[:len(whole)-1], whole[:len(whole)/2]} {
		name := filepath.Join(dir, "bad")
		if err := os.WriteFile(name, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if seal, err := Sealed(name); err == nil {
			t.Errorf("%d bytes say %+v", len(b), seal)
		}
	}
}
