package book

import (
	"bufio"
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"hash/crc32"
	"io"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// A whole-book file is UTF-8 text of one JSON value per line, each line ended
// by "\n":
//
//	{"format":"portwright-book","version":1,"entries":2}
//	{"id":"...","device":"...","seq":1,"clock":{"ms":...,"ctr":0},"build":"...","kind":"set","body":{...}}
//	{"id":"...", ... }
//	{"end":true,"entries":2,"crc32":"8f3a01bc"}
//
// crc32 is the IEEE sum of the bytes of all entry lines with their line ends,
// eight hexadecimal digits. A body stands byte for byte as it was written; one
// that holds a line end, or white space round it, stands as base64 under
// "body64" instead. The entries may stand in any order and more than once.
// A file that is cut short gives every entry whose line is whole. A change to
// the fields of an entry needs a new version, so that no older program can
// drop a field without noticing.
const (
	FileFormat  = "portwright-book"
	FileVersion = 1

	maxFile = 512 << 20 // bytes read of a book
	maxLine = 33 << 20  // bytes of one line: an imported build's largest field and a little more
)

type fileHead struct {
	Format  string
	Version int
	Entries int // -1: not said
}

type fileFoot struct {
	End     bool
	Entries int
	CRC32   string
}

type fileEntry struct {
	Entry
	Body64 *string
}

// EncodeBook writes a whole-book file. An entry that could not be read back
// (Validate) is an error and nothing more is written.
func EncodeBook(w io.Writer, entries []Entry) error {
	var line []byte
	return encode(w, len(entries), func(i int) ([]byte, error) {
		if err := Validate(entries[i]); err != nil {
			return nil, err
		}
		line = AppendEntry(line[:0], entries[i])
		return line, nil
	})
}

// EncodeLines writes a whole-book file of entries as they are kept, those of
// newer versions too, which Entry can't hold. One that stands on several lines,
// which this program writes none of, comes on one.
func EncodeLines(w io.Writer, lines [][]byte) error {
	return encode(w, len(lines), func(i int) ([]byte, error) {
		if !bytes.ContainsAny(lines[i], "\r\n") {
			return lines[i], nil
		}
		var b bytes.Buffer
		err := json.Compact(&b, lines[i])
		return b.Bytes(), err
	})
}

func encode(w io.Writer, n int, line func(i int) ([]byte, error)) error {
	bw := bufio.NewWriter(w)
	bw.WriteString(unit.Sprintf(`{"format":%q,"version":%d,"entries":%d}`+"\n", FileFormat, FileVersion, n))
	sum := crc32.NewIEEE()
	both := io.MultiWriter(sum, bw)
	for i := range n {
		text, err := line(i)
		if err != nil {
			return err
		}
		both.Write(text)
		if _, err := both.Write([]byte{'\n'}); err != nil {
			return err
		}
	}
	bw.WriteString(unit.Sprintf(`{"end":true,"entries":%d,"crc32":"%s"}`+"\n", n, hex8(sum.Sum32())))
	return bw.Flush()
}

// AppendEntry appends the entry as one line without its line end.
func AppendEntry(dst []byte, e Entry) []byte {
	dst = append(dst, `{"id":`...)
	dst = build.AppendText(dst, e.ID)
	dst = append(dst, `,"device":`...)
	dst = build.AppendText(dst, e.Device)
	dst = append(dst, `,"seq":`...)
	dst = strconv.AppendUint(dst, e.Seq, 10)
	dst = append(dst, `,"clock":{"ms":`...)
	dst = strconv.AppendInt(dst, e.Clock.MS, 10)
	dst = append(dst, `,"ctr":`...)
	dst = strconv.AppendUint(dst, uint64(e.Clock.Ctr), 10)
	dst = append(dst, `},"build":`...)
	dst = build.AppendText(dst, e.Build)
	dst = append(dst, `,"kind":`...)
	dst = build.AppendText(dst, e.Kind)
	if bytes.ContainsAny(e.Body, "\r\n") || len(bytes.TrimSpace(e.Body)) != len(e.Body) {
		dst = append(dst, `,"body64":"`...)
		dst = base64.StdEncoding.AppendEncode(dst, e.Body)
		return append(dst, `"}`...)
	}
	dst = append(dst, `,"body":`...)
	dst = append(dst, e.Body...)
	return append(dst, '}')
}

// ParseEntry reads one line of a book. A field that this version does not know
// is an error, for dropping it would change the entry.
func ParseEntry(line []byte) (Entry, error) {
	var f fileEntry
	if err := build.ReadWhole(line, &f); err != nil {
		return Entry{}, err
	}
	if f.Body64 != nil {
		body, err := base64.StdEncoding.DecodeString(*f.Body64)
		if err != nil {
			return Entry{}, unit.Errorf("body64: %v", err)
		}
		f.Entry.Body = body
	}
	return f.Entry, Validate(f.Entry)
}

// Validate says whether an entry can be stored and passed on: it has an ID, a
// device, a sequence from 1, a build, a kind and a JSON body. What the body
// says is not looked at.
func Validate(e Entry) error {
	bad := func(field, value, reason string) error {
		return &unit.InputError{Field: "entry." + field, Value: value, Reason: reason}
	}
	switch {
	case e.ID == "":
		return bad("id", "", "must be given")
	case e.Device == "":
		return bad("device", "", "must be given")
	case e.Seq == 0:
		return bad("seq", "0", "must count from 1")
	case e.Clock.MS < 0:
		return bad("clock.ms", strconv.FormatInt(e.Clock.MS, 10), "must be milliseconds since 1970")
	case e.Build == "":
		return bad("build", "", "must be given")
	case e.Kind == "":
		return bad("kind", "", "must be given")
	case !json.Valid(e.Body):
		return bad("body", "", "must be JSON")
	}
	return nil
}

// DecodeBook reads a whole-book file. It returns every entry whose line is
// whole, and a warning in plain words when the file is cut short or damaged
// ("" when all is well). The error is not nil when the file is no book, is of a
// newer version, or can't be read at all.
func DecodeBook(r io.Reader) (entries []Entry, warning string, err error) {
	br := bufio.NewReaderSize(io.LimitReader(r, maxFile), 16<<10)
	head, err := readHead(br)
	if err != nil {
		return nil, "", err
	}
	d := bookReader{promised: head.Entries, sum: crc32.NewIEEE()}
	for n := 2; ; n++ {
		line, whole, err := readLine(br)
		if err != nil {
			return nil, "", err
		}
		if len(line) == 0 && !whole {
			break
		}
		if d.line(n, line, whole) {
			break
		}
	}
	return d.entries, d.warning(), nil
}

func readHead(br *bufio.Reader) (fileHead, error) {
	bad := func(field, value, reason string) (fileHead, error) {
		return fileHead{}, &unit.InputError{Field: field, Value: value, Reason: reason}
	}
	line, _, err := readLine(br)
	if err != nil {
		return fileHead{}, err
	}
	line = bytes.TrimPrefix(line, []byte("\ufeff"))
	head := fileHead{Entries: -1}
	if build.ReadRecord(line, &head) != nil {
		return bad("book file", "", `must begin with a line {"format":"portwright-book","version":1,...}; this is no book, and a build file is taken in by "add"`)
	}
	if head.Format != FileFormat {
		return bad("format", strconv.Quote(head.Format), `must be "portwright-book"; this is no book, and a build file is taken in by "add"`)
	}
	if head.Version > FileVersion {
		return bad("version", strconv.Itoa(head.Version), unit.Sprintf("this program reads up to %d; get a newer one", FileVersion))
	}
	if head.Version < 1 {
		return bad("version", strconv.Itoa(head.Version), unit.Sprintf("must be a whole number from 1 to %d", FileVersion))
	}
	return head, nil
}

// readLine returns the next line without its end, and whether the end was there.
func readLine(br *bufio.Reader) (line []byte, whole bool, err error) {
	for {
		part, err := br.ReadSlice('\n')
		line = append(line, part...)
		if len(line) > maxLine {
			return nil, false, &unit.InputError{Field: "book file", Reason: unit.Sprintf("has a line longer than %d MB; this is no book", maxLine>>20)}
		}
		switch err {
		case nil:
			return line[:len(line)-1], true, nil
		case bufio.ErrBufferFull:
			continue
		case io.EOF:
			return line, false, nil
		}
		return nil, false, err
	}
}

type bookReader struct {
	entries  []Entry
	promised int // by the header; below 0: nothing
	foot     *fileFoot
	sum      interface {
		io.Writer
		Sum32() uint32
	}
	bad []int // numbers of lines that can't be read
}

// line takes one line and says whether it was the last.
func (d *bookReader) line(n int, line []byte, whole bool) (last bool) {
	if bytes.HasPrefix(line, []byte(`{"end":`)) {
		var foot fileFoot
		if build.ReadRecord(line, &foot) == nil && foot.End {
			d.foot = &foot
			return true
		}
	}
	if whole {
		d.sum.Write(line)
		d.sum.Write([]byte{'\n'})
	}
	text := bytes.TrimSpace(line)
	if len(text) == 0 {
		return false
	}
	e, err := ParseEntry(text)
	switch {
	case err == nil:
		d.entries = append(d.entries, e)
	case whole: // a line without its end is what was cut, not a bad line
		d.bad = append(d.bad, n)
	}
	return false
}

// warning says in one sentence each what is wrong with the file.
func (d *bookReader) warning() string {
	var say []string
	promised := d.promised
	if d.foot != nil {
		promised = d.foot.Entries
	}
	missing := 0
	if promised >= 0 {
		missing = promised - len(d.entries)
	}
	if d.foot == nil {
		say = append(say, "the file is cut short: its last line is missing")
	}
	if len(d.bad) > 0 {
		say = append(say, unit.Sprintf("%s can't be read (the first is line %d)", count(len(d.bad), "line"), d.bad[0]))
	}
	switch {
	case missing > 0:
		say = append(say, unit.Sprintf("%d of %d entries are missing", missing, promised))
	case missing < 0:
		say = append(say, unit.Sprintf("%d entries more than the %d that the file speaks of", -missing, promised))
	case d.foot != nil && d.foot.CRC32 != "" && d.foot.CRC32 != hex8(d.sum.Sum32()):
		say = append(say, "the check sum differs: the file was altered after it was written")
	}
	if len(say) == 0 {
		return ""
	}
	return strings.Join(say, "; ") + unit.Sprintf(". %s read.", count(len(d.entries), "entry"))
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	if strings.HasSuffix(what, "y") {
		what = strings.TrimSuffix(what, "y") + "ie"
	}
	return unit.Sprintf("%d %ss", n, what)
}

// hex8 writes a check sum in eight digits.
func hex8(sum uint32) string { return hex.EncodeToString(binary.BigEndian.AppendUint32(nil, sum)) }
