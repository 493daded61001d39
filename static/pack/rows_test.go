package pack

import (
	"bytes"
	"encoding/binary"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Columns by hand: what stands in the lanes.
func TestRowsLanes(t *testing.T) {
	row := func(args uint32, tables, facts []uint32) []uint32 {
		words := make([]uint32, headWords)
		words[2], words[tablesWord], words[valuesWord] = args, uint32(len(tables)), uint32(len(facts))<<valuesShift|5
		return slices.Concat(words, tables, facts)
	}
	var c coder
	c.rows(rows{list: [][]uint32{
		row(16, nil, []uint32{40}), row(8, []uint32{noTable, 9}, []uint32{40, noFact}), row(16, []uint32{noTable, 12}, nil),
	}})
	zeros := "\x00\x00\x00"
	wantRows := "\x00\x01\x02" + "\x01\x01\x01" + zeros + "\x01\x01\x03" + zeros + zeros + zeros + zeros + zeros + zeros +
		"\x00\x00" + "\x01\x02" + "\x01\x01" + "\x00"
	if got := string(c.lanes[laneRows]); got != wantRows {
		t.Errorf("rows % x, want % x", got, wantRows)
	}
	var wantNew []byte
	for _, far := range []uint64{2 * 2, 2 * (1<<24 + 5), 2 * (1 << 24), 2*(2<<24) - 1, 2 * 16, 2*8 - 1, 2 * 40, 2 * 9, 2 * 3} {
		wantNew = binary.AppendUvarint(wantNew, far)
	}
	if !bytes.Equal(c.lanes[laneNew], wantNew) {
		t.Errorf("new ones % x, want % x", c.lanes[laneNew], wantNew)
	}
}

// Whatever stands in the table of functions comes back.
func TestRowsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.OneOf(rapid.SampledFrom([]uint32{0, 1, 7, 8, noFact, 1 << 31}), rapid.Uint32())
		var list [][]uint32
		for i := range rapid.IntRange(0, 12).Draw(t, "functions") {
			words := rapid.SliceOfN(word, headWords, headWords).Draw(t, "head")
			tables, facts := rapid.SliceOfN(word, 0, 4).Draw(t, "tables"), rapid.SliceOfN(word, 0, 4).Draw(t, "facts")
			words[0], words[tablesWord] = uint32(i+funcStartPC), uint32(len(tables))
			words[valuesWord] = words[valuesWord]&(1<<valuesShift-1) | uint32(len(facts))<<valuesShift
			list = append(list, slices.Concat(words, tables, facts))
		}
		r := rows{list: list, gap: []byte("gap!")}
		want := r.bytes()
		var c coder
		c.rows(r)
		var u unsqueezer
		for lane := range u.lane {
			u.lane[lane].rest = c.lanes[lane]
		}
		got, err := u.rows(len(list))
		got.gap = r.gap
		if err != nil || !bytes.Equal(got.bytes(), want) {
			t.Fatalf("% x, want % x, %v", got.bytes(), want, err)
		}
		if len(list) > 0 {
			u.lane[laneRows].rest = c.lanes[laneRows][:len(c.lanes[laneRows])-1]
			if _, err := u.rows(len(list)); err == nil {
				t.Fatal("a lane that ends early is taken for whole")
			}
		}
	})
}

// What rowsOf does not know stays where it is.
func TestRowsOfNothing(t *testing.T) {
	for _, section := range [][]byte{nil, {0}, {1, 0, 0x41, 0, 0x0b, 1, 'x'}, {1, 1}, writeSegments([]segment{{0, append(magic, make([]byte, 200)...)}})} {
		if r, at := rowsOf(section); len(r.list) > 0 || at != 0 || len(r.bytes()) > 0 {
			t.Errorf("% x has %d rows at %d", section, len(r.list), at)
		}
	}
}

func TestElements(t *testing.T) {
	for _, c := range []struct{ body, want string }{
		{"\x01\x00\x41\x80\x20\x0b\x04\x7e\x7f\x80\x01\x81\x01", "\x0d\x07\x01\x00\x41\x80\x20\x0b\x04\x7e"},
		{"\x01\x00\x41\x80\x20\x0b\x02\x7e\x7d", "\x09\x09\x01\x00\x41\x80\x20\x0b\x02\x7e\x7d\x00"},
		{"\x01\x00\x41\x80\x20\x0b\x02\x7e\xff\x00", "\x0a\x0a\x01\x00\x41\x80\x20\x0b\x02\x7e\xff\x00\x00"},
		{"\x01\x00\x41\x80\x20\x0b\x02\x7f\x80", "\x09\x09\x01\x00\x41\x80\x20\x0b\x02\x7f\x80\x00"},
		{"", "\x00\x00\x00"},
	} {
		if got := appendElements(nil, []byte(c.body)); string(got) != c.want {
			t.Errorf("% x became % x, want % x", c.body, got, c.want)
		}
		module := slices.Concat([]byte("\x00asm\x01\x00\x00\x00\x09"), appendNumbers(nil, len(c.body)), []byte(c.body))
		small, err := squeeze(module)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := unsqueeze(small); err != nil || !bytes.Equal(back, module) {
			t.Errorf("% x came back as % x, %v", module, back, err)
		}
	}
}
