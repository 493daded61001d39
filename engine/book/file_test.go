package book_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"

	"portwright/engine/book"
	"portwright/engine/unit"
)

func someEntries(n int) []book.Entry {
	entries := make([]book.Entry, n)
	for i := range entries {
		entries[i] = book.Entry{ID: fmt.Sprint("id", i), Device: "d", Seq: uint64(i + 1), Clock: book.Clock{MS: int64(1000 + i)}, Build: "b",
			Kind: book.KindSet, Body: json.RawMessage(`{"path":"note","value":"é` + strings.Repeat("x", i%7) + `"}`)}
	}
	return entries
}

func encoded(t testing.TB, entries []book.Entry) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := book.EncodeBook(&b, entries); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A file cut at any byte gives every entry whose line is whole, and says how
// many are missing.
func TestABookCutShort(t *testing.T) {
	entries := someEntries(12)
	file := encoded(t, entries)
	head := bytes.IndexByte(file, '\n') + 1
	footAt := bytes.LastIndexByte(file[:len(file)-1], '\n') + 1
	for cut := head; cut < len(file)-1; cut++ {
		got, warning, err := book.DecodeBook(bytes.NewReader(file[:cut]))
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		lines := bytes.Count(file[:cut], []byte{'\n'}) - 1
		// The last line may be whole but for its line end.
		if cut < footAt && bytes.HasPrefix(file[cut:], []byte("\n")) {
			lines++
		}
		if len(got) != lines || (lines > 0 && !reflect.DeepEqual(got, entries[:lines])) {
			t.Fatalf("cut at %d: %d entries, want %d", cut, len(got), lines)
		}
		if !strings.Contains(warning, "cut short") || strings.Contains(warning, "can't be read") {
			t.Fatalf("cut at %d: warning %q", cut, warning)
		}
		if missing := fmt.Sprintf("%d of 12 entries are missing", 12-lines); lines < 12 && !strings.Contains(warning, missing) {
			t.Fatalf("cut at %d: warning %q does not say %q", cut, warning, missing)
		}
	}
	if got, warning, err := book.DecodeBook(bytes.NewReader(file)); err != nil || warning != "" || !reflect.DeepEqual(got, entries) {
		t.Errorf("whole file: %d entries, %q, %v", len(got), warning, err)
	}
	if got, warning, err := book.DecodeBook(bytes.NewReader(file[:len(file)-1])); err != nil || warning != "" || len(got) != 12 {
		t.Errorf("without the last line end: %d entries, %q, %v", len(got), warning, err)
	}
}

func TestADamagedBook(t *testing.T) {
	entries := someEntries(5)
	file := string(encoded(t, entries))
	lines := strings.SplitAfter(file, "\n")
	for _, row := range []struct {
		name, file string
		entries    int
		warning    string // "" means none
	}{
		{"one letter changed", strings.Replace(file, "note", "nota", 1), 5, "check sum differs"},
		{"a line broken", strings.Replace(file, `{"id":"id2"`, `{"id""id2"`, 1), 4, "1 line can't be read (the first is line 4); 1 of 5 entries are missing"},
		{"a line lost", strings.Replace(file, lines[3], "", 1), 4, "1 of 5 entries are missing"},
		{"a line twice", strings.Replace(file, lines[3], lines[3]+lines[3], 1), 6, "1 entries more"},
		{"a field of a later version", strings.Replace(file, `"kind":"set","body":{"path":"note","value":"éx"`, `"prev":"00","kind":"set","body":{"path":"note","value":"éx"`, 1), 4, "line 3"},
		{"windows line ends", strings.ReplaceAll(file, "\n", "\r\n"), 5, "check sum differs"},
		{"no check sum", file[:strings.Index(file, `,"crc32"`)] + "}\n", 5, ""},
		{"more after the end", file + "hello", 5, ""},
		{"empty lines", strings.Replace(file, "\n", "\n\n", 1), 5, "check sum"},
		{"byte order mark", "\ufeff" + file, 5, ""},
	} {
		got, warning, err := book.DecodeBook(iotest.OneByteReader(strings.NewReader(row.file)))
		if err != nil || len(got) != row.entries || (warning == "") != (row.warning == "") || !strings.Contains(warning, row.warning) {
			t.Errorf("%s: %d entries, warning %q, error %v", row.name, len(got), warning, err)
		}
	}
}

func TestWhatIsNoBook(t *testing.T) {
	for _, row := range []struct{ name, file, field, want string }{
		{"empty", "", "book file", "this is no book"},
		{"text", "hello\n", "book file", "this is no book"},
		{"a build file", `{"format":"portwright-build","version":1}`, "format", `must be "portwright-book"`},
		{"a newer version", `{"format":"portwright-book","version":2}`, "version", "version = 2: this program reads up to 1; get a newer one"},
		{"version 0", `{"format":"portwright-book"}`, "version", "must be a whole number from 1"},
		{"one endless line", `{"format":"portwright-book","version":1}` + "\n" + strings.Repeat("x", 34<<20), "book file", "longer than"},
	} {
		entries, _, err := book.DecodeBook(strings.NewReader(row.file))
		var in *unit.InputError
		if entries != nil || !errors.As(err, &in) || in.Field != row.field || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %d entries, %v", row.name, len(entries), err)
		}
	}
	broken := errors.New("the stick was pulled out")
	if _, _, err := book.DecodeBook(iotest.ErrReader(broken)); !errors.Is(err, broken) {
		t.Errorf("read error: %v", err)
	}
}

func TestWhatIsNoEntry(t *testing.T) {
	good := someEntries(1)[0]
	for field, spoil := range map[string]func(*book.Entry){
		"entry.id": func(e *book.Entry) { e.ID = "" }, "entry.device": func(e *book.Entry) { e.Device = "" }, "entry.seq": func(e *book.Entry) { e.Seq = 0 },
		"entry.build": func(e *book.Entry) { e.Build = "" }, "entry.kind": func(e *book.Entry) { e.Kind = "" },
		"entry.body": func(e *book.Entry) { e.Body = json.RawMessage("{") }, "entry.clock.ms": func(e *book.Entry) { e.Clock.MS = -1 },
	} {
		e := good
		spoil(&e)
		var in *unit.InputError
		if err := book.Validate(e); !errors.As(err, &in) || in.Field != field {
			t.Errorf("%s: %v", field, err)
		}
		if err := book.EncodeBook(&bytes.Buffer{}, []book.Entry{e}); err == nil {
			t.Errorf("%s: written", field)
		}
	}
	if err := book.Validate(good); err != nil {
		t.Error(err)
	}
}

// Whatever is in a file, reading it gives an error or entries that can be
// written and read again, byte for byte.
func FuzzDecodeBook(f *testing.F) {
	file := encoded(f, someEntries(3))
	f.Add(file)
	f.Add(file[:len(file)/2])
	f.Add([]byte(`{"format":"portwright-book","version":1}` + "\n" + `{"id":"a","device":"d","seq":1,"clock":{"ms":1,"ctr":0},"build":"b","kind":"k","body64":"IHt9Cg=="}` + "\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		entries, _, err := book.DecodeBook(bytes.NewReader(data))
		if err != nil {
			return
		}
		again, warning, err := book.DecodeBook(bytes.NewReader(encoded(t, entries)))
		if err != nil || warning != "" || len(again) != len(entries) {
			t.Fatalf("%d entries, then %d: %q %v", len(entries), len(again), warning, err)
		}
		for i := range entries {
			if book.Order(entries[i], again[i]) != 0 {
				t.Fatalf("%+v\n%+v", entries[i], again[i])
			}
		}
		f := book.Fold(entries)
		if f.Build == nil || f.Entries > len(entries) {
			t.Fatalf("%+v", f)
		}
	})
}

func FuzzFoldBody(f *testing.F) {
	for _, kind := range []string{"set", "reading", "stop", "strike", "unstrike", "correct", "uncorrect"} {
		f.Add(kind, []byte(`{"path":"engine.rod_mm","value":58,"pass":"p","window":"w","event":"opens","check":"c","target":"0","reason":"r","correction":{"kind":"mirror"}}`))
	}
	f.Add("reading", []byte(`{"pass":"p1","window":"w1","event":"opens","value":{"in":1},"feeler_mm":0.1,"extra":{"value":"x"}}`))
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		p := newPhone("a")
		p.start()
		p.read("p1", "w1", "opens", 100)
		e := book.Entry{ID: "fuzz", Device: "d", Seq: 1, Clock: book.Clock{MS: 5_000_000}, Build: theBuild, Kind: kind, Body: body}
		if book.Validate(e) != nil {
			return
		}
		p.log.Add(e)
		folded := p.fold()
		if len(folded.Build.Passes) > 0 && len(folded.Build.Windows) > 0 && len(folded.Build.Passes[0].Readings) == 0 {
			t.Fatalf("the reading is gone: %+v", folded)
		}
		if !reflect.DeepEqual(folded, p.fold()) {
			t.Fatal("two folds differ")
		}
	})
}
