package build_test

import (
	"testing"

	"portwright/engine/build"
)

// BenchmarkFile reads, checks and writes a pass of 24 readings.
func BenchmarkFile(b *testing.B) {
	data := read(b, root+"builds/demo.json")
	doc, err := build.Decode(data)
	if err != nil {
		b.Fatal(err)
	}
	b.Run("decode", func(b *testing.B) {
		b.ReportAllocs()
		b.SetBytes(int64(len(data)))
		for b.Loop() {
			if _, err := build.Decode(data); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("check", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if err := build.Check(doc); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("encode", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := build.Encode(doc); err != nil {
				b.Fatal(err)
			}
		}
	})
}
