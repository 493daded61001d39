package store

import (
	"fmt"
	"strings"
	"testing"

	"portwright/wasm/sync/phonetest"
)

// filledPhone has n entries of about 300 bytes.
func filledPhone(n int) *phonetest.Phone {
	p := phonetest.New("phone", 500)
	for i := range n {
		p.Write(fmt.Sprintf(`"id":"%036d","clock":{"ms":%d,"ctr":0},"build":"%036d","kind":"reading","body":{"value":%d,"note":"%s"}`, i, i, i%20, i, strings.Repeat("x", 120)))
	}
	return p
}

func opened(b *testing.B, dir string) *Store {
	b.Helper()
	s, err := Open(options(dir))
	if err != nil {
		b.Fatal(err)
	}
	return s
}

func BenchmarkSync(b *testing.B) {
	const n = 10_000
	b.Run("push", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			p, s := filledPhone(n), opened(b, b.TempDir())
			b.StartTimer()
			if err := p.Sync(s.Keeper, 1); err != nil { // and pulls its own back once
				b.Fatal(err)
			}
			b.StopTimer()
			s.Close()
			b.StartTimer()
		}
	})
	p, s := filledPhone(n), opened(b, b.TempDir())
	defer s.Close()
	if err := p.Sync(s.Keeper, 1); err != nil {
		b.Fatal(err)
	}
	b.Run("pull", func(b *testing.B) {
		for b.Loop() {
			if err := phonetest.New("other", 500).Sync(s.Keeper, 1); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("nothing", func(b *testing.B) {
		for b.Loop() {
			if err := p.Sync(s.Keeper, 1); err != nil {
				b.Fatal(err)
			}
			if p.Asks != 1 {
				b.Fatalf("a sync with nothing to do took %d questions", p.Asks)
			}
		}
	})
}

func BenchmarkStart(b *testing.B) {
	dir := b.TempDir()
	s := opened(b, dir)
	if err := filledPhone(50_000).Sync(s.Keeper, 1); err != nil {
		b.Fatal(err)
	}
	s.Close()
	for b.Loop() {
		s := opened(b, dir)
		b.StopTimer()
		s.Close()
		b.StartTimer()
	}
}
