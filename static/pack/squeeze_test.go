package pack

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestSqueezeSaves: what is squeezed is smaller, compressed, by more than a
// tenth. That the module comes back byte for byte is tested in the browser,
// where it has to (wasm/e2e/offline).
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
	module, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	small, err := squeeze(module)
	if err != nil {
		t.Fatal(err)
	}
	was, err := compress(module, true)
	if err != nil {
		t.Fatal(err)
	}
	is, err := compress(small, true)
	if err != nil {
		t.Fatal(err)
	}
	if len(is) > len(was)*9/10 {
		t.Errorf("%d bytes compressed, %d before", len(is), len(was))
	}
}

// One function with every kind of instruction, by hand after the specification:
// what squeezed does not name stays as it is.
func TestSqueezeFunc(t *testing.T) {
	const number = 0x1005
	at := func(point int64) []byte { return appendSigned([]byte{0x42}, number<<16|point) }
	for _, c := range []struct {
		what   string
		is     []byte
		become string
	}{
		{"locals", []byte{1, 2, 0x7e, 0x0b}, "\x01\x02\x7e\x0b"},
		{"an address", append(append([]byte{0}, at(3)...), 0x0b), "\x00\x27\x03\x0b"},
		{"addresses in blocks", slices.Concat([]byte{0, 2, 0x40, 2, 0x40, 2, 0x40, 0x0e, 4, 0, 0, 1, 1, 1, 0x0b}, at(1), []byte{4, 0x40, 0x0b}, at(2), []byte{0x0b}, at(2), at(0), []byte{0x0b, 0x0b}),
			"\x00\x02\x40\x02\x40\x02\x40\x0e\x04\x00\x7f\x00\x7f\x7f\x0b\x27\x7f\x04\x40\x0b\x27\x00\x0b\x27\x7d\x27\x7b\x0b\x0b"},
		{"jumps", []byte{0, 3, 0x40, 0x41, 5, 0x21, 0, 0x0c, 0, 2, 0x40, 0x41, 6, 0x21, 0, 0x0c, 0, 0x41, 7, 0x21, 0, 0x0c, 1, 0x41, 8, 0x21, 1, 0x0c, 1, 0x0b, 0x0b, 0x0b},
			"\x00\x03\x40\x06\x05\x02\x40\x07\x06\x06\x07\x41\x08\x21\x01\x0c\x01\x0b\x0b\x0b"},
		{"no jump: the number has a byte too many", []byte{0, 3, 0x40, 0x41, 0x85, 0x00, 0x21, 0, 0x0c, 0, 0x0b, 0x0b}, ""},
		{"a branch out", []byte{0, 2, 0x40, 2, 0x40, 0x0d, 1, 0x0d, 0, 0x0b, 0x0d, 0, 0x0b, 0x0b}, "\x00\x02\x40\x02\x40\x08\x0d\x00\x0b\x08\x0b\x0b"},
		{"another function's", append(append([]byte{0}, appendSigned([]byte{0x42}, (number+1)<<16)...), 0x0b), ""},
		{"a table", []byte{0, 0x0e, 3, 0, 1, 2, 7, 0x0b}, "\x00\x0e\x03\x00\x00\x00\x04\x0b"},
		{"numbers", []byte{0, 0x41, 0x80, 0x01, 0x43, 1, 2, 3, 4, 0x44, 1, 2, 3, 4, 5, 6, 7, 8, 0x28, 2, 8, 0x0b}, ""},
		{"copy and fill", []byte{0, 0xfc, 10, 0, 0, 0xfc, 11, 0, 0xfc, 3, 0x0b}, ""},
	} {
		got, err := squeezeFunc(c.is, number)
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		if c.become == "" {
			c.become = string(c.is)
		}
		if string(got) != c.become {
			t.Errorf("%s: % x became % x, want % x", c.what, c.is, got, c.become)
		}
	}
	for what, body := range map[string][]byte{
		"does not know":  {0, 0xd0, 0x0b},
		"0xfc 0xc":       {0, 0xfc, 12, 0x0b},
		"longer than":    {0, 0x0e, 0, 0x80, 0x00, 0x0b},
		"ends early":     {0, 0x44, 1, 2},
		"written longer": append(append([]byte{0}, at(3)[:len(at(3))-1]...), at(3)[len(at(3))-1]|0x80, 0x00, 0x0b),
	} {
		if _, err := squeezeFunc(body, number); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// Nothing that is not a module brings it down.
func TestSqueezeAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		junk := rapid.SliceOf(rapid.Byte()).Draw(t, "junk")
		kind := rapid.SampledFrom([]byte{sectionImport, sectionCode, 0}).Draw(t, "kind")
		_, _ = squeeze(bytes.Join([][]byte{[]byte("\x00asm\x01\x00\x00\x00"), {kind, byte(len(junk) & 0x7f)}, junk}, nil))
	})
}
