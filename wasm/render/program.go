package render

import (
	"encoding/binary"
	"strings"
	"unicode/utf8"
)

// opcode names one step of a program. render.js holds the same list.
type opcode uint32

const (
	opWord      opcode = iota + 1 // text: the next number of the word list
	opElement                     // id, namespace, word: create
	opText                        // id, text: create
	opComment                     // id, text: create
	opData                        // id, text: of a text or comment node
	opAttribute                   // id, word, text
	opNoAttr                      // id, word
	opStyle                       // id, text: the whole style attribute
	opProperty                    // id, word, text: JSON
	opValue                       // id, 1 for JSON, text: value of a form control
	opChecked                     // id, 0 or 1
	opListen                      // id, word, flags
	opUnlisten                    // id, word, flags
	opHTML                        // id, text: content as HTML
	opTextOnly                    // id, text: content as plain text
	opInsert                      // parent, child, before (0: at the end)
	opRemove                      // id: out of the page
	opForget                      // id: out of the table
	opNoValue                     // id: the value is no longer the model's
)

// Flags of opListen and of a delivered event.
const (
	flagCapture = 1
	flagPassive = 2
)

// program collects steps. Numbers go into code as 32-bit words, texts into one
// block that the page decodes at once and cuts by UTF-16 lengths.
type program struct {
	code  []byte
	text  []byte
	words map[string]uint32 // word -> number
	list  []string          // number -> word
}

func (p *program) reset() { p.code, p.text = p.code[:0], p.text[:0] }

func (p *program) num(n uint32) { p.code = binary.LittleEndian.AppendUint32(p.code, n) }

func (p *program) op(op opcode, args ...uint32) {
	p.num(uint32(op))
	for _, a := range args {
		p.num(a)
	}
}

// str adds a text argument. What is no valid UTF-8 becomes U+FFFD here, so
// that both sides count the same length.
func (p *program) str(s string) {
	if !utf8.ValidString(s) {
		s = strings.ToValidUTF8(s, "\uFFFD")
	}
	p.num(utf16Len(s))
	p.text = append(p.text, s...)
}

// word returns the number of a name that comes again and again: a tag, an
// attribute, an event. A new one is announced to the page first, so it must be
// asked for before its step is begun.
func (p *program) word(s string) uint32 {
	if n, ok := p.words[s]; ok {
		return n
	}
	if p.words == nil {
		p.words = map[string]uint32{}
	}
	n := uint32(len(p.list))
	p.words[s] = n
	p.list = append(p.list, s)
	p.op(opWord)
	p.str(s)
	return n
}

// utf16Len is the length that JavaScript counts for a valid UTF-8 text: one
// per character, two above U+FFFF.
func utf16Len(s string) uint32 {
	n := uint32(0)
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= 0xF0:
			n += 2
		case c < 0x80 || c >= 0xC0:
			n++
		}
	}
	return n
}
