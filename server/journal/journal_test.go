package journal

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"portwright/server"
)

var november = time.Date(2026, 11, 30, 23, 59, 0, 0, time.UTC)

func open(t *testing.T, dir string, change ...func(*Options)) (*Journal, Report) {
	t.Helper()
	o := Options{Now: func() time.Time { return november }}
	for _, f := range change {
		f(&o)
	}
	j, r, err := Open(dir, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	return j, r
}

func add(t *testing.T, j *Journal, records ...string) {
	t.Helper()
	if err := j.Append(raw(records)...); err != nil {
		t.Fatal(err)
	}
}

func raw(records []string) (out [][]byte) {
	for _, r := range records {
		out = append(out, []byte(r))
	}
	return out
}

func all(t *testing.T, j *Journal) (out []string) {
	t.Helper()
	if err := j.Each(func(r []byte) error { out = append(out, string(r)); return nil }); err != nil {
		t.Fatal(err)
	}
	return out
}

// The format, byte by byte. CRC-32C of "\x01\x00\x00\x00x": independent, a bit
// by bit computation in Python with the reflected polynomial 0x82F63B78.
func TestFrame(t *testing.T) {
	got := AppendFrame(nil, []byte("x"))
	want := []byte{0xa7, 'P', 'W', 'R', 1, 0, 0, 0, 0x5b, 0x15, 0x22, 0x86, 'x'}
	if !bytes.Equal(got, want) {
		t.Errorf("% x, want % x", got, want)
	}
}

func TestRecordsComeBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "journal")
	j, r := open(t, dir)
	if r.Records != 0 || len(all(t, j)) != 0 {
		t.Errorf("a new journal: %+v", r)
	}
	add(t, j, "one", "")
	add(t, j, string(marker)+"two"+string(marker), strings.Repeat("x", MaxRecord))
	want := all(t, j)
	j.Close()
	j, r = open(t, dir)
	add(t, j, "last")
	if got := all(t, j); !slices.Equal(got, append(want, "last")) || len(got) != 5 || r.Records != 4 || r.Torn != nil || r.Damage != nil {
		t.Errorf("%d records, %+v", len(got), r)
	}
	if err := j.Append(make([]byte, MaxRecord+1)); err == nil || errors.Is(err, server.ErrFull) {
		t.Errorf("a record too large: %v", err)
	}
	stop := errors.New("stop")
	if err := j.Each(func([]byte) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("Each goes on: %v", err)
	}
	j.Close()
	if err := j.Append([]byte("x")); err == nil {
		t.Error("a closed journal takes records")
	}
}

func TestFilesBeginWithMonthAndSize(t *testing.T) {
	dir := t.TempDir()
	now := november
	j, _ := open(t, dir, func(o *Options) { o.Now = func() time.Time { return now }; o.Size = 100 })
	add(t, j, "a")
	add(t, j, strings.Repeat("b", 100))
	add(t, j, "c") // the file has grown large
	now = now.Add(time.Hour)
	add(t, j, "d") // December
	now = now.Add(-time.Hour)
	add(t, j, "e") // a clock that went back begins no file
	names, err := Files(dir)
	if want := []string{"000001-2026-11.log", "000002-2026-11.log", "000003-2026-12.log"}; err != nil || !slices.Equal(names, want) {
		t.Errorf("files %v, want %v", names, want)
	}
	if got := all(t, j); len(got) != 5 || got[4] != "e" {
		t.Errorf("records %.20q", got)
	}
	for _, name := range []string{"x", "000000-2026-11.log", "000004-2026-13.log", "000004-2026-11.log.part", "4-2026-11.log"} {
		if _, ok := number(name); ok {
			t.Errorf("%s is taken for a file of the journal", name)
		}
	}
}

// Power goes while a batch is written: at whatever byte, the records before it
// are all there, none is invented, and the journal goes on.
func TestCutAtEveryByte(t *testing.T) {
	dir := t.TempDir()
	j, _ := open(t, dir)
	add(t, j, "first", "second")
	whole := j.size
	add(t, j, "third", "fourth")
	j.Close()
	path := filepath.Join(dir, j.name)
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for n := range data {
		at := t.TempDir()
		if err := os.WriteFile(filepath.Join(at, j.name), data[:n], 0o600); err != nil {
			t.Fatal(err)
		}
		k, r := open(t, at)
		got := all(t, k)
		want := []string{"first", "second", "third", "fourth"}[:len(got)]
		if !slices.Equal(got, want) || (n >= int(whole) && len(got) < 2) || len(r.Damage) > 0 {
			t.Fatalf("cut to %d bytes: %q, %+v", n, got, r)
		}
		add(t, k, "more")
		k.Close()
		if again, r := open(t, at); !slices.Equal(all(t, again), append(want, "more")) || r.Torn != nil || r.Damage != nil {
			t.Fatalf("cut to %d bytes, then written: %q, %+v", n, all(t, again), r)
		}
	}
}

// One byte changed anywhere loses the record it stands in and no other, is
// told once with file and offset, and the file as it was is kept.
func TestChangedAtEveryByte(t *testing.T) {
	dir := t.TempDir()
	j, _ := open(t, dir, func(o *Options) { o.Size = 60 })
	records := []string{"first", "second", "third", "fourth", "fifth"}
	for _, r := range records {
		add(t, j, r)
	}
	j.Close()
	names, _ := Files(dir)
	if len(names) < 2 {
		t.Fatal("one file alone")
	}
	stride := map[string]int{names[0]: 1, names[len(names)-1]: 5}
	for name := range stride {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < len(data); i += stride[name] {
			at := t.TempDir()
			if err := os.CopyFS(at, os.DirFS(dir)); err != nil {
				t.Fatal(err)
			}
			hurt := bytes.Clone(data)
			hurt[i] ^= 0x10
			if err := os.WriteFile(filepath.Join(at, name), hurt, 0o600); err != nil {
				t.Fatal(err)
			}
			if _, err := Read(at, func([]byte) error { return nil }); err == nil && name != names[len(names)-1] {
				t.Fatalf("%s, byte %d: Read does not see it", name, i)
			}
			k, r := open(t, at)
			lost := slices.DeleteFunc(slices.Clone(records), func(s string) bool { return slices.Contains(all(t, k), s) })
			inHeader := i < len(header)
			if len(lost) != 1 && !inHeader || len(lost) > 0 && inHeader {
				t.Fatalf("%s, byte %d: lost %q", name, i, lost)
			}
			found := r.Damage
			if r.Torn != nil {
				found = append(found, *r.Torn)
			}
			if len(found) != 1 || found[0].File != name || int64(i) < found[0].From || int64(i) >= found[0].To {
				t.Fatalf("%s, byte %d: told as %+v", name, i, r)
			}
			kept, err := os.ReadFile(found[0].Aside)
			if err != nil || !bytes.HasSuffix(hurt, kept) || (r.Torn == nil && len(kept) != len(hurt)) {
				t.Fatalf("%s, byte %d: the copy differs: %v", name, i, err)
			}
			k.Close()
			if _, r := open(t, at); r.Damage != nil || r.Torn != nil {
				t.Fatalf("%s, byte %d: told twice: %+v", name, i, r)
			}
		}
	}
}

func TestMissingAndEmptyFiles(t *testing.T) {
	for _, c := range []struct {
		name   string
		harm   func(path string) error
		second string // of the three files, harmed
		want   string
		lost   int
	}{
		{"missing", os.Remove, "000002-2026-11.log", "000002-2026-11.log is missing", 1},
		{"empty", func(p string) error { return os.Truncate(p, 0) }, "000002-2026-11.log", "from byte 0 to 0", 1},
		{"zeroed", func(p string) error { return os.WriteFile(p, make([]byte, 4096), 0o600) }, "000002-2026-11.log", "from byte 0 to 4096", 1},
		{"a foreign file", func(p string) error { return os.WriteFile(p+".bak", []byte("x"), 0o600) }, "000002-2026-11.log", "", 0},
	} {
		dir := t.TempDir()
		j, _ := open(t, dir, func(o *Options) { o.Size = 1 })
		for _, r := range []string{"one", "two", "three"} {
			add(t, j, r)
		}
		j.Close()
		if err := c.harm(filepath.Join(dir, c.second)); err != nil {
			t.Fatal(err)
		}
		j, r := open(t, dir)
		if n := len(all(t, j)); n != 3-c.lost {
			t.Errorf("%s: %d records", c.name, n)
		}
		if (c.want == "") != (len(r.Damage) == 0) || (c.want != "" && !strings.Contains(fmt.Sprint(r.Damage), c.want)) {
			t.Errorf("%s: %v, want %q", c.name, r.Damage, c.want)
		}
		j.Close()
		if _, r := open(t, dir); r.Damage != nil {
			t.Errorf("%s: told again: %v", c.name, r.Damage)
		}
	}
}

// faulty writes up to room bytes, then the disk is full; syncs may fail.
type faulty struct {
	File
	room    *int
	syncErr *error
	cutErr  *error
}

func (f faulty) Write(p []byte) (int, error) {
	if len(p) <= *f.room {
		*f.room -= len(p)
		return f.File.Write(p)
	}
	n, err := f.File.Write(p[:*f.room])
	*f.room = 0
	return n, errors.Join(err, syscall.ENOSPC)
}

func (f faulty) Sync() error { return errors.Join(*f.syncErr, f.File.Sync()) }

func (f faulty) Truncate(n int64) error {
	if *f.cutErr != nil {
		return *f.cutErr
	}
	return f.File.Truncate(n)
}

// The disk fills at any byte of a write: the error says so, nothing of the
// batch stays, and with room again the journal goes on.
func TestDiskFullAtEveryByte(t *testing.T) {
	for room := range 60 {
		left, fault := 1<<20, error(nil)
		var cut error
		dir := t.TempDir()
		j, _ := open(t, dir, func(o *Options) {
			o.Wrap = func(f *os.File) File { return faulty{f, &left, &fault, &cut} }
			o.Size = 60 // the second batch begins a file
		})
		add(t, j, strings.Repeat("a", 50))
		left = room
		err := j.Append([]byte("second"), []byte("and this"))
		if short := room < 8+2*headLen+14; errors.Is(err, server.ErrFull) != short || (err == nil) == short {
			t.Fatalf("%d bytes of room: %v", room, err)
		}
		left = 1 << 20
		add(t, j, "third")
		want := 2
		if err == nil {
			want = 4
		}
		if got := all(t, j); len(got) != want || got[len(got)-1] != "third" {
			t.Fatalf("%d bytes of room: %.10q", room, got)
		}
		j.Close()
		if _, r := open(t, dir); r.Records != want || r.Torn != nil || r.Damage != nil {
			t.Fatalf("%d bytes of room: %+v", room, r)
		}
	}
}

// After a sync that failed nobody knows what is on the disk: nothing more is
// taken until the journal has been read again.
func TestFailedSyncAndCut(t *testing.T) {
	for _, c := range []struct {
		name      string
		sync, cut error
	}{{"sync", syscall.EIO, nil}, {"cut", nil, syscall.EIO}} {
		left, fault := 1<<20, error(nil)
		var cut error
		dir := t.TempDir()
		j, _ := open(t, dir, func(o *Options) {
			o.Wrap = func(f *os.File) File { return faulty{f, &left, &fault, &cut} }
		})
		add(t, j, "kept")
		if fault, cut = c.sync, c.cut; c.cut != nil {
			left = 5
		}
		if err := j.Append([]byte("lost")); err == nil {
			t.Fatalf("%s: no error", c.name)
		}
		fault, cut, left = nil, nil, 1<<20
		if err := j.Append([]byte("more")); err == nil {
			t.Errorf("%s: it goes on", c.name)
		}
		j.Close()
		j, _ = open(t, dir)
		add(t, j, "again")
		if got := all(t, j); !slices.Equal(got, []string{"kept", "again"}) {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}

// Another program (a backup) reads while this one writes.
func TestReadBesideWriting(t *testing.T) {
	dir := t.TempDir()
	j, _ := open(t, dir, func(o *Options) { o.Size = 2000 })
	done := make(chan error, 1)
	go func() {
		for i := range 300 {
			if err := j.Append(fmt.Appendf(nil, "record %d", i)); err != nil {
				done <- err
				return
			}
		}
		done <- nil
	}()
	for running := true; running; {
		select {
		case err := <-done:
			if err != nil {
				t.Fatal(err)
			}
			running = false
		default:
		}
		i := 0
		if _, err := Read(dir, func(r []byte) error {
			if want := fmt.Sprintf("record %d", i); string(r) != want {
				return fmt.Errorf("%q, want %q", r, want)
			}
			i++
			return nil
		}); err != nil {
			t.Fatal(err)
		}
	}
}
