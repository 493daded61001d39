package book_test

import (
	"bytes"
	"fmt"
	"testing"

	"portwright/engine/book"
)

// work returns about n entries of one build as the Bench makes them.
func work(n int) []book.Entry {
	p := newPhone("a")
	p.start()
	p.set("engine.stroke_mm", "32.5")
	p.set("engine.rod_mm", "58")
	for i := 0; p.log.Len() < n; i++ {
		id := p.read("p1", "w1", "opens", 104.5)
		if i%20 == 0 {
			p.write(book.StrikeItem("", theBuild, id, "misread"))
		}
	}
	return p.log.Entries()
}

func BenchmarkFold(b *testing.B) {
	for _, n := range []int{20, 200, 2000} {
		entries := work(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				book.Fold(entries)
			}
		})
	}
}

func BenchmarkBookFile(b *testing.B) {
	entries := work(2000)
	var f bytes.Buffer
	if err := book.EncodeBook(&f, entries); err != nil {
		b.Fatal(err)
	}
	b.Run("write 2000", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			var f bytes.Buffer
			if err := book.EncodeBook(&f, entries); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("read 2000", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, _, err := book.DecodeBook(bytes.NewReader(f.Bytes())); err != nil {
				b.Fatal(err)
			}
		}
	})
}
