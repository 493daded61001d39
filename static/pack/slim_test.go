package pack

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// memoryOf writes segments over zeros: the memory a module starts with.
func memoryOf(segments []segment) []byte {
	var out []byte
	for _, s := range segments {
		if more := int(s.at) + len(s.data) - len(out); more > 0 {
			out = append(out, make([]byte, more)...)
		}
		copy(out[s.at:], s.data)
	}
	return bytes.TrimRight(out, "\x00")
}

// Whatever segments the linker chose, the memory afterwards is the same.
func TestJoinKeepsMemory(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var in []segment
		at := int64(0)
		for range rapid.IntRange(0, 20).Draw(t, "segments") {
			at += rapid.SampledFrom([]int64{0, 1, 9, joinGap, joinGap + 1, 1 << 20}).Draw(t, "gap")
			data := rapid.SliceOfN(rapid.Byte(), 1, 300).Draw(t, "data")
			in = append(in, segment{at, data})
			at += int64(len(data))
		}
		want := memoryOf(in)
		if n := len(in); n > 1 { // the order does not matter
			i := rapid.IntRange(1, n-1).Draw(t, "swapped")
			in[0], in[i] = in[i], in[0]
		}
		read, err := readSegments(writeSegments(in))
		if err != nil {
			t.Fatal(err)
		}
		got, err := join(read)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(memoryOf(got), want) {
			t.Fatal("another memory")
		}
		for i := 1; i < len(got); i++ {
			if got[i].at-got[i-1].at-int64(len(got[i-1].data)) <= joinGap {
				t.Fatalf("segments %d and %d lie close and were not joined", i-1, i)
			}
		}
	})
}

// Every word of a segment stands in it whole, and the memory is the same.
func TestWholeWords(t *testing.T) {
	in := []segment{{5, []byte("abc")}, {joinGap + 17, []byte("0123456789")}}
	want := memoryOf(in)
	whole(in)
	if got := memoryOf(in); !bytes.Equal(got[:len(want)], want) {
		t.Error("another memory")
	}
	for _, s := range in {
		if s.at%8 != 0 || len(s.data)%8 != 0 {
			t.Errorf("a segment of %d bytes at %d", len(s.data), s.at)
		}
	}
}

func TestJoinRefusesOverlap(t *testing.T) {
	if _, err := join([]segment{{0, []byte("four")}, {3, []byte("x")}}); err == nil || !strings.Contains(err.Error(), "overlap") {
		t.Errorf("error %v", err)
	}
}

// TestSlim holds a linked program against itself before: the code is the same
// byte for byte, and in the memory every function finds what it found before,
// but for what dropLines names.
func TestSlim(t *testing.T) {
	root, err := Root()
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "linked.wasm")
	cmd := exec.Command("go", "build", "-trimpath", "-o", name, quiet)
	cmd.Dir, cmd.Env = root, append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=", "CGO_ENABLED=0")
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	before, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	app, err := slim(before)
	if err != nil {
		t.Fatal(err)
	}
	after := app.Module
	was, is := sections(t, before), sections(t, after)
	for kind, body := range was {
		if kind == sectionCustom || kind == sectionData {
			continue
		}
		if !bytes.Equal(body, is[kind]) {
			t.Errorf("section %d has changed", kind)
		}
	}
	whole, err := readSegments(was[sectionData])
	if err != nil {
		t.Fatal(err)
	}
	left, err := readSegments(is[sectionData])
	if err != nil {
		t.Fatal(err)
	}
	checkFuncs(t, memoryOf(whole), memoryOf(left))
	checkNames(t, memoryOf(whole), memoryOf(left), app.Names)

	if _, err := slim(after); err != nil {
		t.Errorf("a second time: %v", err)
	}
	for n := range 200 {
		if _, err := slim(after[:len(after)*n/200]); err == nil && !whereSectionsMeet(t, after, len(after)*n/200) {
			t.Errorf("cut off after %d of 200 parts, nothing is said", n)
		}
	}
}

func sections(t *testing.T, module []byte) map[byte][]byte {
	t.Helper()
	out := map[byte][]byte{}
	for r := (reader{rest: module[moduleHeader:]}); len(r.rest) > 0; {
		kind := r.byte()
		out[kind] = r.bytes(r.unsigned())
		if r.err != nil {
			t.Fatal(r.err)
		}
	}
	return out
}

// whereSectionsMeet says whether a cut lies between two sections.
func whereSectionsMeet(t *testing.T, module []byte, cut int) bool {
	t.Helper()
	for r := (reader{rest: module[moduleHeader:]}); len(r.rest) > 0; {
		if len(module)-len(r.rest) == cut {
			return true
		}
		r.byte()
		r.bytes(r.unsigned())
	}
	return false
}

func TestSlimSaysWhatItCantRead(t *testing.T) {
	head := "\x00asm\x01\x00\x00\x00"
	for _, c := range []struct{ name, module, want string }{
		{"no module", "#!/bin/sh", "not a WebAssembly module"},
		{"another version", "\x00asm\x02\x00\x00\x00", "not a WebAssembly module"},
		{"a length past the end", head + "\x0b\x7f", "longer than what follows"},
		{"a passive segment", head + "\x0b\x02\x01\x01", "not one that Go's linker writes"},
		{"no functions", head + "\x0b\x07\x01\x00\x41\x00\x0b\x01x", "no table of functions"},
	} {
		if _, err := slim([]byte(c.module)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want %q in it", c.name, err, c.want)
		}
	}
}
