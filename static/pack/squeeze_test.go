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

// TestSqueezeSaves: what is squeezed is smaller, compressed, by more than a
// twentieth. That the module comes back byte for byte is tested in the browser,
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
	if len(is) > len(was)*19/20 {
		t.Errorf("%d bytes compressed, %d before", len(is), len(was))
	}
}

// One function with every kind of instruction, by hand after the specification:
// what is no address of the function itself stays as it is.
func TestSqueezeFunc(t *testing.T) {
	const number = 0x1005
	at := func(point int64) []byte { return appendSigned([]byte{0x42}, number<<16|point) }
	for _, c := range []struct {
		what   string
		is     []byte
		become string
	}{
		{"locals", []byte{1, 2, 0x7e, 0x0b}, "\x01\x02\x7e\x0b"},
		{"first address", append(append([]byte{0}, at(3)...), 0x0b), "\x00\x27\x03\x0b"},
		{"then the next and one back", append(append(append(append([]byte{0}, at(3)...), at(4)...), at(2)...), 0x0b), "\x00\x27\x03\x27\x01\x27\x7e\x0b"},
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
