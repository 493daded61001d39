package wire

import (
	"encoding/json"
	"errors"
	"strconv"
	"strings"

	"portwright/engine/sum"
)

// MaxDevice is the longest name of a device in bytes.
const MaxDevice = 64

// MaxSeq is the largest sequence number: every JSON reader holds it exactly.
const MaxSeq = 1 << 53

// CheckDevice says whether a device's name can be kept: 1 to 64 of the
// characters 0-9, A-Z, a-z, ".", "_" and "-". A UUID is one.
func CheckDevice(name string) error {
	if name == "" || len(name) > MaxDevice {
		return errors.New("a device's name has 1 to " + strconv.Itoa(MaxDevice) + " characters, not " + strconv.Itoa(len(name)))
	}
	for _, c := range []byte(name) {
		if (c < '0' || c > '9') && (c < 'A' || c > 'Z') && (c < 'a' || c > 'z') && c != '.' && c != '_' && c != '-' {
			return errors.New("a device's name is made of 0-9, A-Z, a-z, \".\", \"_\" and \"-\"; " + strconv.Quote(name) + " is not")
		}
	}
	return nil
}

// span is where a value stands among the bytes of an entry.
type span struct{ from, to int }

// fields finds the device and the sequence number of an entry. Everything else
// in it is left unread: it may be of a version that is not known here.
func fields(entry []byte) (device, seq span, err error) {
	if !json.Valid(entry) { // also what stands behind the first value
		return device, seq, errors.New("the entry is not JSON")
	}
	i := skipSpace(entry, 0)
	if entry[i] != '{' {
		return device, seq, errors.New("the entry is not a JSON object")
	}
	for i = skipSpace(entry, i+1); entry[i] != '}'; i = skipSpace(entry, i) {
		if entry[i] == ',' {
			i = skipSpace(entry, i+1)
		}
		end := skipValue(entry, i)
		name := unquote(entry[i:end])
		at := span{from: skipSpace(entry, skipSpace(entry, end)+1)} // behind the colon
		at.to = skipValue(entry, at.from)
		i = at.to
		var found *span
		switch {
		case strings.EqualFold(name, "device"):
			found = &device
		case strings.EqualFold(name, "seq"):
			found = &seq
		default:
			continue
		}
		if found.to > 0 || name != "device" && name != "seq" { // readers differ on which of two counts
			return device, seq, errors.New(strconv.Quote(name) + " stands twice or in another spelling")
		}
		*found = at
	}
	if device.to == 0 || seq.to == 0 {
		return device, seq, errors.New("\"device\" or \"seq\" is missing")
	}
	return device, seq, nil
}

// skipSpace and skipValue walk over JSON that is known to be valid.
func skipSpace(b []byte, i int) int {
	for b[i] == ' ' || b[i] == '\t' || b[i] == '\n' || b[i] == '\r' {
		i++
	}
	return i
}

func skipValue(b []byte, i int) int {
	depth := 0
	for {
		switch b[i] {
		case '"':
			for i++; b[i] != '"'; i++ {
				if b[i] == '\\' {
					i++
				}
			}
			i++
		case '{', '[':
			depth++
			i++
			continue
		case '}', ']':
			depth--
			i++
		case ',', ':', ' ', '\t', '\n', '\r': // inside of an object or a list
			i++
			continue
		default: // a number, true, false, null
			for i < len(b) && strings.IndexByte(",:}] \t\n\r", b[i]) < 0 {
				i++
			}
		}
		if depth == 0 {
			return i
		}
	}
}

// Address returns the device and the sequence number that an entry names.
func Address(entry []byte) (device string, seq uint64, err error) {
	d, s, err := fields(entry)
	if err != nil {
		return "", 0, err
	}
	if entry[d.from] != '"' {
		return "", 0, errors.New("\"device\" is not a text")
	}
	device = unquote(entry[d.from:d.to])
	if err := CheckDevice(device); err != nil {
		return "", 0, err
	}
	text := string(entry[s.from:s.to])
	seq, err = strconv.ParseUint(text, 10, 64)
	if err != nil || seq == 0 || seq > MaxSeq || strconv.FormatUint(seq, 10) != text {
		return "", 0, errors.New("\"seq\" is " + text[:min(len(text), 30)] + "; it counts 1, 2, 3 ... up to 2^53")
	}
	return device, seq, nil
}

// Readdress returns a copy of an entry under another device and sequence
// number; every other byte stays as it is.
func Readdress(entry []byte, device string, seq uint64) ([]byte, error) {
	d, s, err := fields(entry)
	if err != nil {
		return nil, err
	}
	if err := CheckDevice(device); err != nil {
		return nil, err
	}
	var w writer
	first, second := d, s
	if s.from < d.from {
		first, second = s, d
	}
	w.bytes(entry[:first.from])
	w.address(first == d, device, seq)
	w.bytes(entry[first.to:second.from])
	w.address(second == d, device, seq)
	w.bytes(entry[second.to:])
	return w.b, nil
}

// address writes the one or the other.
func (w *writer) address(named bool, device string, seq uint64) {
	if named {
		w.text("", device)
	} else {
		w.count("", seq)
	}
}

// BranchName returns the name under which the entries of a forked device are
// sent again: a UUID of version 8 (RFC 9562, 5.8) made of
//
//	SHA-256("portwright branch" "\n" device "\n" seq "\n" bytes of entry)
//
// where entry is the first that differs from the shop PC's. Every phone that
// holds the same branch gives it the same name, so that it is taken once,
// whoever brings it.
func BranchName(device string, seq uint64, entry []byte) string {
	s := sum.SHA256(addressLines([]byte("portwright branch\n"), device, seq), entry)
	b := s[:16]
	b[6] = b[6]&0x0f | 0x80
	b[8] = b[8]&0x3f | 0x80
	x := hexOf(b)
	return x[:8] + "-" + x[8:12] + "-" + x[12:16] + "-" + x[16:20] + "-" + x[20:]
}
