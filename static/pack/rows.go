package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// The table of functions in the memory travels by columns: of all functions one
// word, then of all of them another. It is the list of the functions' numbers and
// places, a gap, and the functions one after the other (lines.go, funcs.go); the
// numbers and places follow from the rest.
//
// A word is 0 for none, 1 for one that is new in its column, and otherwise 2 and
// how many new ones have come since this one was new. A new one has in a lane of
// its own how far it is from the new one before, doubled, and one less than that
// when it is below.
type rows struct {
	list [][]uint32 // the words of each function
	gap  []byte
}

const (
	headWords   = funcOwn / 4
	tablesWord  = funcTables / 4
	valuesWord  = funcValues / 4 // in its highest byte
	valuesShift = 24
)

// wordOrder is in which order the first words of a function travel: those first
// that say how long it is. The very first is its number.
var wordOrder = [...]int{tablesWord, valuesWord, 1, 2, 3, 4, 5, 6, 8, 9}

// rowsOf finds the table of functions in a data section, and where. Without one
// of the form that is known, there are no rows.
func rowsOf(section []byte) (r rows, at int) {
	segments, err := readSegments(section)
	if err != nil {
		return rows{}, 0
	}
	head, err := header(segments)
	if err != nil {
		return rows{}, 0
	}
	n, table := binary.LittleEndian.Uint64(head[8:]), binary.LittleEndian.Uint64(head[8+8*wordFuncAt:])
	if n == 0 || n > uint64(len(head)) || table > uint64(len(head)) || table+8*n > uint64(len(head)) {
		return rows{}, 0
	}
	list, err := readFuncs(head, int(n), int(table))
	if err != nil {
		return rows{}, 0
	}
	for _, f := range list {
		var words []uint32
		for i := 0; i < funcOwn; i += 4 {
			words = append(words, uint32(f.get(i)))
		}
		for _, v := range append(f.tables, f.facts...) {
			words = append(words, uint32(v))
		}
		r.list = append(r.list, words)
	}
	first := int(binary.LittleEndian.Uint32(head[table+4:]))
	if first < 8*int(n) || first > len(head)-int(table) {
		return rows{}, 0
	}
	r.gap = head[int(table)+8*int(n) : int(table)+first]
	if !bytes.HasPrefix(head[table:], r.bytes()) {
		return rows{}, 0
	}
	return r, cap(section) - cap(head) + int(table)
}

// bytes is the table as it stands in the memory.
func (r *rows) bytes() []byte {
	var list, funcs []byte
	first := 8*len(r.list) + len(r.gap)
	for i, words := range r.list {
		list = binary.LittleEndian.AppendUint32(list, uint32(i+funcStartPC))
		list = binary.LittleEndian.AppendUint32(list, uint32(first+len(funcs)))
		words[0] = uint32(i + funcStartPC)
		for _, v := range words {
			funcs = binary.LittleEndian.AppendUint32(funcs, v)
		}
	}
	return append(append(list, r.gap...), funcs...)
}

func countOfTables(words []uint32) int { return int(min(words[tablesWord], mostTables)) }
func countOfFacts(words []uint32) int  { return int(words[valuesWord] >> valuesShift) }

// columns calls do for each column in order, with its words and the one that
// stands for none. The first two columns say how many words each function has.
func columns(list [][]uint32, do func(column []*uint32, none uint32)) {
	column := func(none uint32, where func(words []uint32) int) (any bool) {
		var out []*uint32
		for _, words := range list {
			if i := where(words); i > 0 {
				out = append(out, &words[i])
			}
		}
		do(out, none)
		return len(out) > 0
	}
	for k, word := range wordOrder {
		column(0, func([]uint32) int { return word })
		if k != 1 {
			continue
		}
		for i, words := range list {
			long := headWords + countOfTables(words) + countOfFacts(words)
			list[i] = append(words, make([]uint32, long-len(words))...)
		}
	}
	for k, more := 0, true; more; k++ {
		tables := column(noTable, func(words []uint32) int {
			if k < countOfTables(words) {
				return headWords + k
			}
			return 0
		})
		facts := column(noFact, func(words []uint32) int {
			if k < countOfFacts(words) {
				return headWords + countOfTables(words) + k
			}
			return 0
		})
		more = tables || facts
	}
}

func (c *coder) rows(r rows) {
	columns(r.list, func(column []*uint32, none uint32) {
		seen := map[uint32]int{}
		last := int64(0)
		for _, word := range column {
			is := *word
			n, old := seen[is]
			switch {
			case is == none:
				c.put(laneRows, 0)
			case old:
				c.put(laneRows, binary.AppendUvarint(nil, uint64(len(seen)-n+2))...)
			default:
				c.put(laneRows, 1)
				far := int64(is) - last
				last = int64(is)
				c.put(laneNew, binary.AppendUvarint(nil, uint64(max(2*far, -2*far-1)))...)
				seen[is] = len(seen) + 1
			}
		}
	})
}

// rows reads the words of n functions.
func (u *unsqueezer) rows(n int) (r rows, err error) {
	if n > len(u.lane[laneRows].rest) {
		return rows{}, errDamaged
	}
	r.list = make([][]uint32, n)
	for i := range r.list {
		r.list[i] = make([]uint32, headWords)
	}
	columns(r.list, func(column []*uint32, none uint32) {
		var seen []uint32
		last := int64(0)
		for _, word := range column {
			switch v := u.lane[laneRows].any(); {
			case v == 0:
				*word = none
			case v == 1:
				far := int64(u.lane[laneNew].any())
				if far%2 == 0 {
					last += far / 2
				} else {
					last -= far/2 + 1
				}
				seen = append(seen, uint32(last))
				*word = uint32(last)
			case v-1 <= uint64(len(seen)):
				*word = seen[len(seen)+1-int(v)]
			default:
				err = errDamaged
			}
		}
	})
	for _, lane := range [2]int{laneRows, laneNew} {
		err = errors.Join(err, u.lane[lane].err)
	}
	return r, err
}
