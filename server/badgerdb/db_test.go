package badgerdb

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/server"
	"portwright/server/indextest"
)

// TestMain is also the child that Check runs in.
func TestMain(m *testing.M) {
	if len(os.Args) == 3 && os.Args[1] == "check" {
		s, err := Check(os.Args[2])
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		json.NewEncoder(os.Stdout).Encode(s.Head)
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func open(t *testing.T, dir string) *DB {
	t.Helper()
	x, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if !x.db.IsClosed() {
			x.Close()
		}
	})
	return x
}

func TestIndex(t *testing.T) {
	indextest.Run(t, func(t *testing.T) server.Index { return open(t, filepath.Join(t.TempDir(), "db")) })
}

func TestSecondOpener(t *testing.T) {
	dir := t.TempDir()
	open(t, dir)
	if _, err := Open(dir); err == nil {
		t.Error("two programs have one database")
	}
}

// check runs Check in a child and returns the head it found.
func check(t *testing.T, dir string) (uint64, error) {
	t.Helper()
	cmd := exec.Command(os.Args[0], "check", dir)
	var out, msg bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &msg
	if err := cmd.Run(); err != nil {
		text, _, _ := strings.Cut(msg.String(), "\n")
		return 0, fmt.Errorf("%w: %s", err, text)
	}
	var head uint64
	if err := json.Unmarshal(out.Bytes(), &head); err != nil {
		t.Fatalf("%v in %q", err, out.String())
	}
	return head, nil
}

// rows in the database: more than one memtable takes, or, in a short run, less.
func rowsIn() int {
	if testing.Short() {
		return 10_000
	}
	return 40_000
}

// filled fills a database with several tables and leaves some rows in the
// memtable's file; it returns folders as they are when it was closed and when
// it was killed.
func filled(t *testing.T) (closed, killed string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "db")
	x := open(t, dir)
	rows := indextest.Rows(1, "phone", rowsIn(), 150)
	for i := 0; i < len(rows); i += 2000 {
		if err := x.Put(rows[i:i+2000], nil); err != nil {
			t.Fatal(err)
		}
	}
	for mems := []string{"", ""}; len(mems) > 1; time.Sleep(10 * time.Millisecond) {
		// A full memtable that its table has not yet replaced could be damaged without loss.
		mems, _ = filepath.Glob(filepath.Join(dir, "*.mem"))
	}
	killed = filepath.Join(t.TempDir(), "db")
	copyFolder(t, dir, killed) // what the system has written when the program dies
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	return dir, killed
}

// copyFolder copies a folder that a database may have open: a file that went
// between the list and the copy begins it anew.
func copyFolder(t *testing.T, from, to string) {
	t.Helper()
	err := os.CopyFS(to, os.DirFS(from))
	for range 50 {
		if !errors.Is(err, fs.ErrNotExist) {
			break
		}
		if err = os.RemoveAll(to); err == nil {
			err = os.CopyFS(to, os.DirFS(from))
		}
	}
	if err != nil {
		t.Fatal(err)
	}
}

func one(t *testing.T, dir, pattern string) string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(dir, pattern))
	if err != nil || len(all) == 0 {
		t.Fatalf("no %s in %s (%v)", pattern, dir, err)
	}
	return all[0]
}

func edit(t *testing.T, path string, change func([]byte) []byte) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(path, change(b), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// Each kind of damage that was seen to lose rows silently, or to end the
// program, is either found by Check in its child, or takes the database back
// to an earlier state that is whole: then its head says so.
func TestDamageIsSeen(t *testing.T) {
	closed, killed := filled(t)
	many := uint64(rowsIn())
	used := func(b []byte) int { return len(bytes.TrimRight(b, "\x00")) } // a memtable's file ends in zeros
	for _, c := range []struct {
		name, of, file string
		change         func([]byte) []byte
		earlier        bool // an earlier state is what is expected
	}{
		{"untouched", closed, "MANIFEST", func(b []byte) []byte { return b }, false},
		{"killed", killed, "MANIFEST", func(b []byte) []byte { return b }, false},
		{"a torn page in the memtable", killed, "*.mem", func(b []byte) []byte {
			n := used(b) / 2 &^ 4095
			clear(b[n : n+4096])
			return b
		}, true},
		{"memtable cut short", killed, "*.mem", func(b []byte) []byte { return b[:used(b)/3] }, true},
		{"memtable with a changed bit", killed, "*.mem", func(b []byte) []byte { b[used(b)/2] ^= 1; return b }, true},
		{"table cut short", closed, "*.sst", func(b []byte) []byte { return b[:len(b)/2] }, true},
		{"table with changed bits", closed, "*.sst", func(b []byte) []byte {
			for i := range 4 {
				b[len(b)/3+i*50] ^= 4
			}
			return b
		}, true},
		{"table with a changed end", closed, "*.sst", func(b []byte) []byte { b[len(b)-20] ^= 4; return b }, true},
		{"table emptied", closed, "*.sst", func(b []byte) []byte { return nil }, true},
		{"manifest cut short", closed, "MANIFEST", func(b []byte) []byte { return b[:len(b)-3] }, true},
		{"manifest with a changed bit", closed, "MANIFEST", func(b []byte) []byte { b[len(b)/2] ^= 8; return b }, true},
		{"manifest emptied", closed, "MANIFEST", func(b []byte) []byte { return nil }, true},
	} {
		dir := filepath.Join(t.TempDir(), "db")
		copyFolder(t, c.of, dir)
		edit(t, one(t, dir, c.file), c.change)
		head, err := check(t, dir)
		switch {
		case !c.earlier && (err != nil || head != many):
			t.Errorf("%s: head %d, %v; nothing is wrong with it", c.name, head, err)
		case c.earlier && err == nil && head == many:
			t.Errorf("%s: not seen", c.name)
		}
		t.Logf("%s: head %d, %v", c.name, head, err)
	}
	for _, file := range []string{"MANIFEST", "*.sst"} {
		dir := filepath.Join(t.TempDir(), "db")
		copyFolder(t, closed, dir)
		if err := os.Remove(one(t, dir, file)); err != nil {
			t.Fatal(err)
		}
		head, err := check(t, dir)
		if err == nil && head == many {
			t.Errorf("without %s: not seen", file)
		}
		t.Logf("without %s: head %d, %v", file, head, err)
	}
}

// A row that says something else than the others is found, whatever the
// database's own sums say.
func TestCheckComparesRows(t *testing.T) {
	rows := indextest.Rows(1, "a", 5, 10)
	for _, c := range []struct {
		name   string
		change func([]server.Row)
		says   string
	}{
		{"nothing", func([]server.Row) {}, ""},
		{"entry", func(r []server.Row) { r[2].Entry = []byte(`{"device":"a","seq":3}`) }, "another chain"},
		{"chain", func(r []server.Row) { r[4].Chain[0] ^= 1 }, "another chain"},
		{"link", func(r []server.Row) { r[3].Linked = false }, "does not follow"},
		{"cursor", func(r []server.Row) { r[3].Cursor = 9 }, "is missing"},
		{"twice at one", func(r []server.Row) { r[4].Cursor = 4 }, "not at 4"},
	} {
		dir := filepath.Join(t.TempDir(), "db")
		x := open(t, dir)
		changed := append([]server.Row(nil), rows...)
		c.change(changed)
		if err := x.Put(changed, nil); err != nil {
			t.Fatal(err)
		}
		if err := x.Close(); err != nil {
			t.Fatal(err)
		}
		s, err := Check(dir)
		if c.says == "" && (err != nil || s.Head != 5) || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%s: %+v, %v; want %q", c.name, s, err, c.says)
		}
	}
}

func TestSeal(t *testing.T) {
	base := t.TempDir()
	dir, name := filepath.Join(base, "db"), filepath.Join(base, "seal")
	x := open(t, dir)
	if err := x.Put(indextest.Rows(1, "a", 5, 10), nil); err != nil {
		t.Fatal(err)
	}
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		harm func() error
		says string
	}{
		{"nothing", func() error { return nil }, ""},
		{"a bit", func() error { edit(t, one(t, dir, "*.sst"), func(b []byte) []byte { b[3] ^= 1; return b }); return nil }, ".sst is not as it was"},
		{"cut", func() error { return os.Truncate(one(t, dir, "MANIFEST"), 9) }, "MANIFEST is not as it was"},
		{"more", func() error { return os.WriteFile(filepath.Join(dir, "x"), nil, 0o600) }, "files and had"},
		{"fewer", func() error { return os.Remove(one(t, dir, "MANIFEST")) }, "MANIFEST is not as it was"},
		{"seal", func() error { return os.WriteFile(name, []byte("{"), 0o600) }, "seal: "},
	} {
		if err := Seal(dir, name); err != nil {
			t.Fatal(err)
		}
		if err := c.harm(); err != nil {
			t.Fatal(err)
		}
		err := Unseal(dir, name)
		if c.says == "" && err != nil || c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)) {
			t.Errorf("%s: %v, want %q", c.name, err, c.says)
		}
		if _, err := os.Stat(name); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("%s: the seal stays: %v", c.name, err)
		}
	}
	if err := Unseal(dir, name); err == nil {
		t.Error("no seal, no error")
	}
}
