package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestSqueezeSaves: what is squeezed is smaller, compressed, by more than a
// quarter, and comes back byte for byte. That it does so in the browser, where it
// has to, is tested in wasm/e2e/offline.
func TestSqueezeSaves(t *testing.T) {
	root, err := Root()
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "linked.wasm")
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", name, quiet)
	cmd.Dir, cmd.Env = root, append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=", "CGO_ENABLED=0")
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	linked, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := squeeze(linked); !errors.Is(err, errLong) { // the linker's lengths of sections are
		t.Errorf("what the linker wrote: %v", err)
	}
	app, err := slim(linked)
	if err != nil {
		t.Fatal(err)
	}
	module := app.Module
	small, err := squeeze(module)
	if err != nil {
		t.Fatal(err)
	}
	if back, err := unsqueeze(small); err != nil || !bytes.Equal(back, module) {
		t.Fatalf("it comes back as %d bytes of %d, %v", len(back), len(module), err)
	}
	if r, _ := rowsOf(sections(t, module)[sectionData]); len(r.list) != bytes.Count(app.Names, []byte("\n")) {
		t.Errorf("%d functions travel by columns, %d have names", len(r.list), bytes.Count(app.Names, []byte("\n")))
	}
	if elements := sections(t, module)[sectionElements]; len(appendElements(nil, elements)) > 20 {
		t.Errorf("%d bytes of elements are no run", len(elements))
	}
	if again, err := squeeze(module); err != nil || !bytes.Equal(again, small) {
		t.Errorf("a second time it becomes another %d bytes of %d, %v", len(again), len(small), err)
	}
	was, err := compress(module, true)
	if err != nil {
		t.Fatal(err)
	}
	is, err := compress(small, true)
	if err != nil {
		t.Fatal(err)
	}
	if len(is) > len(was)*3/4 {
		t.Errorf("%d bytes compressed, %d before", len(is), len(was))
	}
	for _, n := range []int{0, 3, 10, 100, 1000, len(small) / 2, len(small) - 1} {
		if _, err := unsqueeze(small[:n]); err == nil {
			t.Errorf("its first %d bytes of %d are taken for whole", n, len(small))
		}
	}
}

// moduleOf is a module whose code section has these functions.
func moduleOf(bodies ...[]byte) []byte {
	code := binary.AppendUvarint(nil, uint64(len(bodies)))
	for _, b := range bodies {
		code = append(binary.AppendUvarint(code, uint64(len(b))), b...)
	}
	out := append([]byte("\x00asm\x01\x00\x00\x00\x05\x03\x01\x00\x02\x0a"), binary.AppendUvarint(nil, uint64(len(code)))...)
	return append(append(out, code...), 0x0b, 1, 0)
}

// Functions by hand after the specification and the compiler's source: what
// steps and lanes they become, before phrases are made.
func TestSteps(t *testing.T) {
	at := func(point int64) []byte { return appendSigned([]byte{opI64Const}, funcStartPC<<resumeBits|point) }
	join := func(parts ...[]byte) []byte { return slices.Concat(parts...) }
	spBy := func(n, op byte) []byte { return []byte{opGet, 1, opI32Const, n, op, opTee, 1, opGlobalSet, 0} }
	call := func(point int64, label byte) []byte {
		return join(spBy(8, opI32Sub), []byte{opGet, 1}, at(point), []byte{opI64Store, 3, 0, opI32Const, 0, opCall, 9, opGlobalGet, 0, opSet, 1, opBrIf, label, opEnd})
	}
	for _, c := range []struct {
		what, steps string
		lanes       map[int]string
		is          []byte
	}{
		{"none of the linker's layout", "\x02\x40\x0d\x00\x0b\x41\x05\x21\x00\x0b", map[int]string{laneLocals: "\x01\x02\x7e"},
			[]byte{1, 2, 0x7e, 2, 0x40, 0x0d, 0, 0x0b, opI32Const, 5, opSet, 0, 0x0b}},
		{"numbers", "\x41\x80\x01\x43\x44\x42\x17\x42\x28\x08\x0b", map[int]string{laneFloat: "abcdABCDEFGH", laneLong: "\x02\x85\x80\x80\x80\x80\x02", laneAddress: "\x00\x00", laneGaps: "\x83\x84\x04"},
			join([]byte{0, opI32Const, 0x80, 1, opF32Const}, []byte("abcd"), []byte{opF64Const}, []byte("ABCDEFGH"), []byte{opI64Const, 2},
				appendSigned([]byte{opI64Const}, 0x010203), appendSigned([]byte{opI64Const}, 1<<36+5), []byte{opLoad, 2, 8, 0x0b})},
		{"a table elsewhere", "\x41\x00\x0e\x02\x00\x00\x05\x0b", nil, []byte{0, opI32Const, 0, opBrTable, 2, 0, 1, 7, 0x0b}},
		{"copy and fill", "\xfc\x0a\x00\x00\xfc\x0b\x00\xfc\x03\x0b", nil, []byte{0, 0xfc, 10, 0, 0, 0xfc, 11, 0, 0xfc, 3, 0x0b}},
		// A call at the first point, another that does not resume, a jump
		// forward and one back; two blocks round it all, three points.
		{"the linker's layout", "\x09\x03" +
			"\x20\x01\x41\x08\x6b\x22\x01\x24\x00\x20\x01\x27\x00\x37\x00\x41\x00\x10\x09\x23\x00\x21\x01\x08\x0b" +
			"\x01\x06\x50\x04\x40\x07\x0b\x0c\x00\x06\x0b" +
			"\x07\x0b\x0a",
			map[int]string{laneJumps: "\x02\x7c"},
			join([]byte{0, 2, 0x40, 3, 0x40, 2, 0x40, 2, 0x40, 2, 0x40, 2, 0x40, opGet, 0, opBrTable, 5, 0, 1, 1, 1, 2, 3, opEnd},
				call(1, 4),
				[]byte{opNop, 0x50, opIf, emptyBlock, opI32Const, 4, opSet, 0, opBr, 3, opEnd, opBr, 0, opEnd},
				[]byte{opI32Const, 0, opSet, 0, opBr, 1, opEnd},
				[]byte{opEnd, opUnreachable, opEnd, opI32Const, 1, opEnd})},
		// A frame of 160 bytes, a slot in it, places for what a call is given, a parameter.
		{"a frame", "\x13\x6a\x1a\x20\x01\x12\x6b\x22\x01\x24\x00" + "\x20\x01\x20\x01\x15\x29\x14\x37" +
			"\x20\x01\xad\x14\x42\x7c\xa7\x42\x29\x00\x1a" + "\x20\x01\xad\x16\x7c\x1a" + "\x20\x01\xad\x15\x42\x7c\x1a" +
			"\x20\x01\x28\x03\x1a\x20\x01\x12\x6a\x22\x01\x24\x00\x20\x01\x0b",
			map[int]string{laneFrames: "\x14", laneSlot: "\x02", lanePlace: "\x03", laneParam: "\x01\x02", laneLong: "\x00"},
			join([]byte{0, opI32Const, 32, opI32Add, opDrop}, []byte{opGet, 1, opI32Const, 0xa0, 1, opI32Sub, opTee, 1, opGlobalSet, 0},
				[]byte{opGet, 1, opGet, 1, opI64Load, 3, 0xb0, 1, opI64Store, 3, 16},
				[]byte{opGet, 1, opI64Extend, opI64Const, 24, opI64Add, opI32Wrap, opI64Const, 0, opI64Load, 3, 0, opDrop},
				[]byte{opGet, 1, opI64Extend, opI64Const, 32, opI64Add, opDrop, opGet, 1, opI64Extend, opI64Const, 0xb8, 1, opI64Add, opDrop},
				[]byte{opGet, 1, opLoad, 2, 3, opDrop, opGet, 1, opI32Const, 0xa0, 1, opI32Add, opTee, 1, opGlobalSet, 0, opGet, 1, opEnd})},
	} {
		coder := coder{funcs: make([][]step, 1)}
		if err := coder.function(0, c.is); err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		coder.index()
		got := ""
		for _, s := range coder.funcs[0] {
			got += string([]byte{s.code}) + s.rest
		}
		if got != c.steps {
			t.Errorf("%s: steps\n% x, want\n% x", c.what, got, c.steps)
		}
		if c.lanes[laneLocals] == "" {
			c.lanes = with(c.lanes, laneLocals, "\x00")
		}
		if c.lanes[laneFrames] == "" {
			c.lanes = with(c.lanes, laneFrames, "\x00")
		}
		for lane, data := range coder.lanes {
			if string(data) != c.lanes[lane] {
				t.Errorf("%s: lane %d has % x, want % x", c.what, lane, data, c.lanes[lane])
			}
		}
		module := moduleOf(c.is)
		if small, err := squeeze(module); err != nil {
			t.Errorf("%s: %v", c.what, err)
		} else if back, err := unsqueeze(small); err != nil || !bytes.Equal(back, module) {
			t.Errorf("%s: comes back as\n% x, %v", c.what, back, err)
		}
	}
}

// The addresses stand in order, each once.
func TestIndex(t *testing.T) {
	c := coder{addresses: []int64{9000, 8200, 9000, 8201}}
	for a := range int64(300) {
		c.addresses = append(c.addresses, 10000+a)
	}
	c.index()
	if got, want := string(c.lanes[laneAddress]), "\x00\x02\x00\x00\x00\x02\x00\x01\x00\x03"; !strings.HasPrefix(got, want) || !strings.HasSuffix(got, "\x01\x2e") {
		t.Errorf("% x, want % x ... 01 2e", got, want)
	}
	if got, want := string(c.lanes[laneGaps]), "\x88\x40\x01\x9f\x06\xe8\x07\x01"; !strings.HasPrefix(got, want) || len(got) != 7+299 {
		t.Errorf("%d bytes of gaps % x, want 306, % x ...", len(got), got, want)
	}
}

func with(lanes map[int]string, lane int, data string) map[int]string {
	out := map[int]string{lane: data}
	for k, v := range lanes {
		if k != lane {
			out[k] = v
		}
	}
	return out
}

func TestSqueezeSaysWhatItDoesNotKnow(t *testing.T) {
	for what, body := range map[string][]byte{
		"instruction 0xd0":    {0, 0xd0, 0x0b},
		"instruction 0x6,":    {0, opCount, 0x0b},
		"0xfc 0xc":            {0, 0xfc, 12, 0x0b},
		"longer than it need": {0, opBrTable, 0, 0x80, 0x00, 0x0b},
		"longer than what":    {0, opBrTable, 90, 0x0b},
		"ends early":          {0, opF64Const, 1, 2},
		"aligned to 1<<1":     {0, opI64Load, 1, 0, 0x0b},
	} {
		if _, err := squeeze(moduleOf([]byte{0, 0x0b}, body)); err == nil || !strings.Contains(err.Error(), what) || !strings.Contains(err.Error(), "function 1 of 2") {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// Functions that are nearly of the linker's layout come back, too.
func TestSqueezeComesBack(t *testing.T) {
	pieces := [][]byte{
		{opBlock, emptyBlock}, {opLoop, emptyBlock}, {opIf, emptyBlock}, {opEnd}, {opEnd}, {opUnreachable}, {opNop}, {opEnd, opUnreachable, opEnd},
		{opGet, 0, opBrTable, 2, 0, 0, 1, opEnd}, {opGet, 0, opBrTable, 1, 0, 1, opEnd}, {opBrTable, 2, 1, 0, 0}, {opGet, 0, opBrTable, 0, 0, opEnd},
		{opI32Const, 3, opSet, 0, opBr, 0}, {opI32Const, 1, opSet, 0, opBr, 2}, {opI32Const, 0x7f, opSet, 0, opBr, 1}, {opBrIf, 0}, {opBrIf, 3}, {opBr, 1},
		{opI32Const, 8, opI32Sub, opTee, 1, opGlobalSet, 0}, {opI32Const, 0xa0, 1, opI32Sub, opTee, 1, opGlobalSet, 0}, {opI32Const, 12, opI32Sub, opTee, 1, opGlobalSet, 0},
		{opI32Const, 32, opI32Add}, {opI32Const, 0xa0, 1, opI32Add, opTee, 1, opGlobalSet, 0, opGet, 1}, {opI32Const, 0x58, opI32Add},
		{opGet, 1}, {opGet, 1, opI64Load, 3, 16}, {opGet, 1, opGet, 3, opI64Store, 3, 0xb8, 1}, {opGet, 1, opI64Load, 3, 3}, {opGet, 1, opI64Load, 3, 0xff, 0xff, 0xff, 0xff, 0x0f},
		{opGet, 1, opI64Extend, opI64Const, 16, opI64Add}, {opGet, 1, opI64Extend, opI64Const, 24, opI64Add}, {opGet, 1, opI64Extend, opI64Const, 0x78, opI64Add},
		appendSigned([]byte{opGet, 1, opI64Extend, opI64Const}, 1<<60), {opI64Add},
		appendSigned([]byte{opI64Const}, funcStartPC<<resumeBits|1), appendSigned([]byte{opI64Const}, (funcStartPC+1)<<resumeBits), appendSigned([]byte{opI64Const}, addressTo-1), appendSigned([]byte{opI64Const}, addressFrom), appendSigned([]byte{opI64Const}, -9),
		{opI64Store, 3, 0}, {opCall, 0xda, 0}, {opI32Const, 1, opEnd}, {opF32Const, 1, 2, 3, 4}, {0xfc, 11, 0},
	}
	rapid.Check(t, func(t *rapid.T) {
		body := rapid.Custom(func(t *rapid.T) []byte {
			picked := rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 40).Draw(t, "pieces")
			depth, out := 0, []byte{0}
			add := func(piece []byte) bool { // until the function ends
				out = append(out, piece...)
				for r := (reader{rest: piece}); len(r.rest) > 0; {
					in, err := r.instruction()
					if err != nil {
						t.Fatal(err)
					}
					if in.op >= opBlock && in.op <= opIf {
						depth++
					}
					if in.op == opEnd {
						depth--
					}
				}
				return depth >= 0
			}
			if rapid.Bool().Draw(t, "laid out") {
				add([]byte{opBlock, emptyBlock, opLoop, emptyBlock, opBlock, emptyBlock, opBlock, emptyBlock, opBlock, emptyBlock, opGet, 0, opBrTable, 3, 0, 0, 1, 2, opEnd})
				picked = append(picked, []byte{opEnd}, []byte{opEnd}, []byte{opEnd, opUnreachable, opEnd, opI32Const, 1, opEnd})
			}
			for _, p := range picked {
				if bytes.Contains(p, []byte{opEnd}) && depth < bytes.Count(p, []byte{opEnd}) {
					continue
				}
				add(p)
			}
			for depth >= 0 {
				add([]byte{opEnd})
			}
			return out
		})
		module := moduleOf(rapid.SliceOfN(body, 0, 4).Draw(t, "functions")...)
		small, err := squeeze(module)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := unsqueeze(small); err != nil || !bytes.Equal(back, module) {
			t.Fatalf("% x came back as % x, %v", module, back, err)
		}
	})
}

// Nothing that is not a module brings it down.
func TestSqueezeAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		junk := rapid.SliceOf(rapid.Byte()).Draw(t, "junk")
		kind := rapid.SampledFrom([]byte{sectionCode, 0}).Draw(t, "kind")
		_, _ = squeeze(bytes.Join([][]byte{[]byte("\x00asm\x01\x00\x00\x00"), {kind, byte(len(junk) & 0x7f)}, junk}, nil))
	})
}

func FuzzUnsqueeze(f *testing.F) {
	for _, bodies := range [][][]byte{{}, {{0, opEnd}}, {{0, 2, 0x40, 2, 0x40, opGet, 0, opBrTable, 1, 0, 0, opEnd, opEnd, opUnreachable, opEnd}, {1, 2, 0x7e, opGet, 1, opDrop, opEnd}}} {
		small, err := squeeze(moduleOf(bodies...))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(small)
	}
	f.Fuzz(func(t *testing.T, small []byte) {
		module, err := unsqueeze(small)
		if err == nil && !bytes.HasPrefix(small, []byte(squeezed)) {
			t.Errorf("% x is taken for a squeezed module: % x", small, module)
		}
	})
}
