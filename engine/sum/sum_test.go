package sum

import (
	"encoding/hex"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Source: NIST, "Secure Hash Standard", examples of SHA-256 (one block, two
// blocks), and the million letters a of FIPS 180-2, B.3.
func TestSumOfItsStandard(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
		{"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
		{strings.Repeat("a", 1_000_000), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"},
	} {
		got := ownSum([]byte(c.text))
		if hex.EncodeToString(got[:]) != c.want {
			t.Errorf("%.60s: %x", c.text, got)
		}
	}
}

func TestOwnSumIsTheLibrarys(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.SliceOfN(rapid.Byte(), 0, 150), 0, 4).Draw(t, "parts")
		if got, want := ownSum(parts...), SHA256(parts...); got != want {
			t.Errorf("%x, the library says %x", got, want)
		}
	})
}
