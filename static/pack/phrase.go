package pack

import (
	"cmp"
	"encoding/binary"
	"slices"
)

// A phrase is two steps that often follow each other, under one code. What
// follows each of the two either is the same always and stands in the list of
// phrases, or it follows the phrase. A step of a phrase may be a phrase.
type phrase struct {
	code byte
	of   [2]step // rest "": follows the phrase
}

const (
	mostPhrases = 80
	longestRest = 12  // bytes that stand in the list
	worthwhile  = 200 // bytes that a phrase has to save in the functions looked at
	looksAt     = 16  // one function of so many is looked at for phrases
)

// text is a step while phrases are looked for: codes from firstPhrase on are
// phrases, and rest is a number in finder.rests.
type text struct{ code, rest int32 }

const (
	firstPhrase = 256
	open        = -1 // a rest that follows the phrase
)

type finder struct {
	funcs  [][]text
	rests  []string
	number map[string]int32
	codes  int32 // the next phrase's
}

func (f *finder) rest(s string) int32 {
	n, ok := f.number[s]
	if !ok {
		n = int32(len(f.rests))
		f.number[s], f.rests = n, append(f.rests, s)
	}
	return n
}

func newFinder(funcs [][]step) *finder {
	f := &finder{number: map[string]int32{}, codes: firstPhrase}
	f.rest("")
	for _, steps := range funcs {
		out := make([]text, len(steps))
		for i, s := range steps {
			out[i] = text{int32(s.code), f.rest(s.rest)}
		}
		f.funcs = append(f.funcs, out)
	}
	return f
}

// best returns the pair that saves most bytes as a phrase; of two that save as
// much the one whose codes are less.
func (f *finder) best() (best [2]text, most int) {
	often := map[[2]text]int{}
	for n := 0; n < len(f.funcs); n += looksAt {
		for i, b := range f.funcs[n][min(1, len(f.funcs[n])):] {
			a := f.funcs[n][i]
			openA, openB := text{a.code, open}, text{b.code, open}
			fixA, fixB := f.fixes(a), f.fixes(b)
			often[[2]text{openA, openB}]++
			if fixA {
				often[[2]text{a, openB}]++
			}
			if fixB {
				often[[2]text{openA, b}]++
			}
			if fixA && fixB {
				often[[2]text{a, b}]++
			}
		}
	}
	for pair, n := range often {
		each := 1
		for _, t := range pair {
			if t.rest != open {
				each += len(f.rests[t.rest])
			}
		}
		if c := cmp.Compare(n*each, most); c > 0 || c == 0 && less(pair, best) {
			best, most = pair, n*each
		}
	}
	return best, most
}

func (f *finder) fixes(t text) bool { return t.rest != 0 && len(f.rests[t.rest]) <= longestRest }

func less(a, b [2]text) bool {
	return slices.CompareFunc(a[:], b[:], func(x, y text) int {
		return cmp.Or(cmp.Compare(x.code, y.code), cmp.Compare(x.rest, y.rest))
	}) < 0
}

// replace puts a phrase in the place of a pair everywhere.
func (f *finder) replace(pair [2]text) {
	for n, steps := range f.funcs {
		out := steps[:0]
		for i := 0; i < len(steps); i++ {
			t := steps[i]
			if i+1 < len(steps) && t.code == pair[0].code && steps[i+1].code == pair[1].code {
				a, okA := f.follows(pair[0], t)
				b, okB := f.follows(pair[1], steps[i+1])
				if okA && okB {
					t = text{f.codes, f.rest(a + b)}
					i++
				}
			}
			out = append(out, t)
		}
		f.funcs[n] = out
	}
	f.codes++
}

// follows returns what follows a phrase of the step t when that is part p of it.
func (f *finder) follows(p, t text) (rest string, ok bool) {
	if p.rest == open {
		return f.rests[t.rest], true
	}
	return "", p.rest == t.rest
}

// phrases puts phrases in the place of steps and returns them. Their codes are
// those that no step has.
func (c *coder) phrases() []phrase {
	var used [256]bool
	for _, code := range [...]byte{opCount, opJump, opLeave, opEnter, opLast, opFrame, opGuard, opSlot, opParam, opNextSlot, opAddress, opResume} {
		used[code] = true
	}
	for _, steps := range c.funcs {
		for _, s := range steps {
			used[s.code] = true
		}
	}
	var codes []byte
	for code := range used {
		if !used[code] {
			codes = append(codes, byte(code))
		}
	}
	f := newFinder(c.funcs)
	as := func(t text) step {
		code := byte(t.code)
		if t.code >= firstPhrase {
			code = codes[t.code-firstPhrase]
		}
		if t.rest == open {
			return step{code, ""}
		}
		return step{code, f.rests[t.rest]}
	}
	var list []phrase
	for len(list) < min(mostPhrases, len(codes)) {
		pair, saved := f.best()
		if saved < worthwhile {
			break
		}
		list = append(list, phrase{codes[len(list)], [2]step{as(pair[0]), as(pair[1])}})
		f.replace(pair)
	}
	for n, steps := range f.funcs {
		c.funcs[n] = c.funcs[n][:0]
		for _, t := range steps {
			c.funcs[n] = append(c.funcs[n], as(t))
		}
	}
	return list
}

// append appends how many functions and phrases there are; of each phrase its
// code, and of its two steps the code, the length of what follows, and that; how
// many bytes each lane has, in four bytes; and the lanes.
func (c *coder) append(out []byte) []byte {
	c.index()
	list := c.phrases()
	for _, steps := range c.funcs {
		for _, s := range steps {
			c.put(laneSteps, s.code)
			c.put(laneSteps, []byte(s.rest)...)
		}
	}
	out = binary.AppendUvarint(out, uint64(len(c.funcs)))
	out = append(out, byte(len(list)))
	for _, p := range list {
		out = append(out, p.code)
		for _, s := range p.of {
			out = append(append(out, s.code, byte(len(s.rest))), s.rest...)
		}
	}
	for _, lane := range c.lanes {
		out = binary.LittleEndian.AppendUint32(out, uint32(len(lane)))
	}
	for _, lane := range c.lanes {
		out = append(out, lane...)
	}
	return out
}
