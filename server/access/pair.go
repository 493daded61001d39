package access

import (
	"crypto/rand"
	"crypto/subtle"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"portwright/server"
	"portwright/server/wire"
)

// What a pairing code is good for.
const (
	codeLength = 8
	CodeFor    = 10 * time.Minute
	CodeTries  = 5
)

// letters are Crockford's base 32: no letter is mistaken for a digit, and no
// I, L, O, U. Eight of them are 40 bits.
const letters = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// code is the one in force.
type code struct {
	text  string
	until time.Time
	wrong int
	from  string // address of the last wrong try
}

// Code is what a person sees of the code in force.
type Code struct {
	Text      string `json:"text"` // ABCD-EFGH
	UntilMS   int64  `json:"until_ms"`
	TriesLeft int    `json:"tries_left"`
	WrongFrom string `json:"wrong_from,omitempty"` // address that tried a wrong one
}

// NewCode makes a code; the one before is void.
func (r *Register) NewCode() Code {
	b := make([]byte, codeLength)
	_, _ = rand.Read(b) // never fails
	for i := range b {
		b[i] = letters[b[i]%32] // 256 is a multiple of 32: each letter as likely
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.code, r.used = &code{text: string(b), until: r.now().Add(CodeFor)}, ""
	return *r.current()
}

// Code returns the code in force, nil if there is none.
func (r *Register) Code() *Code {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.current()
}

func (r *Register) current() *Code {
	c := r.code
	if c == nil || c.wrong >= CodeTries || !r.now().Before(c.until) {
		return nil
	}
	return &Code{c.text[:4] + "-" + c.text[4:], c.until.UnixMilli(), CodeTries - c.wrong, c.from}
}

// CodeEnded says what became of the last code, "" while it is in force or when
// none was made since the start.
func (r *Register) CodeEnded() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch c := r.code; {
	case r.used != "":
		return "The code was used by " + r.used + "."
	case c == nil || r.current() != nil:
		return ""
	case c.wrong >= CodeTries:
		return fmt.Sprintf("The code ended after %d wrong tries, the last from %s.", CodeTries, c.from)
	}
	return fmt.Sprintf("The code ended after %.0f minutes.", CodeFor.Minutes())
}

// plain returns a typed code as it is kept: O is 0, I and L are 1, white space
// and hyphens are nothing.
func plain(typed string) string {
	return strings.Map(func(c rune) rune {
		switch c = unicode.ToUpper(c); {
		case c == 'O':
			return '0'
		case c == 'I', c == 'L':
			return '1'
		case c == '-', unicode.IsSpace(c):
			return -1
		}
		return c
	}, typed)
}

// maxName of a device for people, in characters.
const maxName = 40

// CheckName says whether a name can be shown to people: 1 to 40 printable
// characters.
func CheckName(name string) error {
	switch {
	case !utf8.ValidString(name):
		return fmt.Errorf("is not UTF-8")
	case strings.TrimSpace(name) == "":
		return fmt.Errorf("is missing; call the device by a word that people know, for example \"bench phone\"")
	case utf8.RuneCountInString(name) > maxName:
		return fmt.Errorf("has %d characters; up to %d are kept", utf8.RuneCountInString(name), maxName)
	}
	for _, c := range name {
		if !unicode.IsPrint(c) { // also what turns the writing round
			return fmt.Errorf("has the character %U in it; letters, digits, signs and spaces are kept", c)
		}
	}
	return nil
}

func triesLeft(n int) string {
	switch n {
	case 0:
		return "There are no tries left: make a new code there."
	case 1:
		return "1 more try."
	}
	return fmt.Sprintf("%d more tries.", n)
}

// named returns a name as it is kept: numbered when another device on the list
// has it. except is a row that does not count, nil for none. The caller holds mu.
func (r *Register) named(name string, except *row) string {
	name = strings.TrimSpace(name)
	for n, try := 1, name; ; {
		if !slices.ContainsFunc(r.rows, func(d *row) bool { return d != except && strings.EqualFold(d.Name, try) }) {
			return try
		}
		n++
		number := fmt.Sprintf(" %d", n)
		runes := []rune(name)
		try = string(runes[:min(len(runes), maxName-len(number))]) + number
	}
}

// Pair takes a device in that knows the code. From is the address that asks.
func (r *Register) Pair(p wire.Pair, from string) (wire.PairAnswer, error) {
	if err := wire.CheckDevice(p.Device); err != nil {
		return wire.PairAnswer{}, &server.Error{Code: server.BadAsk, Field: "device", Message: "device: " + err.Error() + "."}
	}
	if err := CheckName(p.Name); err != nil {
		return wire.PairAnswer{}, &server.Error{Code: server.BadAsk, Field: "name", Message: "name: " + err.Error() + "."}
	}
	typed := plain(p.Code)
	if len(typed) != codeLength { // a slip of the finger costs no try
		return wire.PairAnswer{}, &server.Error{Code: server.BadAsk, Field: "code", Message: fmt.Sprintf("code: has %d characters; the one at Shop on the PC has %d.", len(typed), codeLength)}
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.current() == nil {
		return wire.PairAnswer{}, &server.Error{Code: server.NoCode, Field: "code", Message: fmt.Sprintf(
			"No code is in force: it was used, is older than %.0f minutes, or was tried wrongly %d times. Make a new one at Shop on the PC.", CodeFor.Minutes(), CodeTries)}
	}
	if subtle.ConstantTimeCompare([]byte(typed), []byte(r.code.text)) != 1 {
		r.code.wrong++
		r.code.from = from
		return wire.PairAnswer{}, &server.Error{Code: server.WrongCode, Field: "code", Message: "code: is not the one at Shop on the PC. " + triesLeft(CodeTries-r.code.wrong)}
	}
	owner := r.owner(p.Device)
	if owner != nil && owner.RevokedMS == 0 {
		return wire.PairAnswer{}, &server.Error{Code: server.NameTaken, Field: "device", Message: fmt.Sprintf("A device that writes as this one is paired already, as %q. Revoke it at Shop on the PC first, then pair again.", owner.Name)}
	}
	code := r.code
	r.code = nil
	d := server.Device{Name: r.named(p.Name, owner), Names: []server.Mark{{Device: p.Device}}}
	if owner == nil {
		return r.paired(d, code)
	}
	// The same device again: its names and how far it brought them go over.
	d.Names = owner.Names
	names := owner.Names
	owner.Names = nil
	answer, err := r.paired(d, code)
	if err != nil {
		owner.Names = names
	}
	return answer, err
}

// paired adds the device; when that fails the code stays good.
func (r *Register) paired(d server.Device, used *code) (wire.PairAnswer, error) {
	token, err := r.add(d)
	if err != nil {
		r.code = used
		return wire.PairAnswer{}, err
	}
	r.used = d.Name
	return wire.PairAnswer{Token: token}, nil
}

// Link returns the key of the one-time link for the PC's own browser. Once one
// was used there is another.
func (r *Register) Link() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.link
}

// Enter trades the key of the one-time link for a token of the PC's own
// browser. Old is the token that it had, "" for none: its row is replaced.
func (r *Register) Enter(key, old string) (token string, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if subtle.ConstantTimeCompare([]byte(key), []byte(r.link)) != 1 {
		return "", &server.Error{Code: server.WrongCode, Field: "key", Message: "This link was used already, or is of an earlier start. Run: portwright link"}
	}
	hash, before := sum(old), r.rows
	r.rows = slices.DeleteFunc(slices.Clone(r.rows), func(d *row) bool {
		return d.Shop && subtle.ConstantTimeCompare([]byte(d.Hash), []byte(hash)) == 1
	})
	token, err = r.add(server.Device{Name: r.named("Browser on the shop PC", nil), Shop: true, Names: []server.Mark{}})
	if err != nil {
		r.rows = before
		return "", err
	}
	r.link = secret()
	return token, nil
}
