// Package access says who may ask the shop PC: the devices that were paired,
// their tokens, the pairing code and the one-time link of the PC's own browser.
//
// A token is 256 random bits, told once to the device; here its SHA-256 alone
// is kept. A guess has nothing to work on: there are no cookies and no
// passwords.
package access

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"sync"
	"time"

	"portwright/server"
	"portwright/server/disk"
)

// Bounds of the register: what a client that sends nonsense can make it hold.
const (
	maxDevices = 256 // rows, revoked ones included
	maxNames   = 64  // names one device writes under, of which all but the first come from forks
)

// row is a device with what is nobody's business.
type row struct {
	server.Device
	Hash string `json:"token_sha256"` // hexadecimal
}

// kept is the register's file.
type kept struct {
	Version int    `json:"version"`
	Devices []*row `json:"devices"`
}

// Register is the list of devices, in a file that is written whole.
type Register struct {
	file string
	now  func() time.Time

	mu    sync.Mutex
	rows  []*row
	code  *code
	used  string   // name of the device that the last code let in, "" when it let none in
	link  string   // key of the one-time link; "" when it was used
	dirty bool     // SeenMS or OffsetMS differ from the file's
	owed  []string // IDs that are revoked here and not yet in the file
}

// Open reads the register. Of one that can't be read a notice is returned and
// nobody is paired: the file is set aside.
func Open(file string, now func() time.Time) (r *Register, notice string, err error) {
	if now == nil {
		now = time.Now
	}
	r = &Register{file: file, now: now, link: secret()}
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return r, "", nil
	}
	if err != nil {
		return nil, "", fmt.Errorf("list of paired devices: %w", err)
	}
	var k kept
	if err := json.Unmarshal(data, &k); err == nil && k.Version == 1 && !slices.Contains(k.Devices, nil) {
		r.rows = k.Devices
		return r, "", nil
	}
	bad := file + ".bad-" + now().UTC().Format("20060102T150405")
	if err := disk.Rename(file, bad); err != nil {
		return nil, "", fmt.Errorf("the list of paired devices is damaged and can't be set aside: %w", err)
	}
	return r, "The list of paired devices was damaged; it lies in " + bad + ". Each phone has to be paired again.", nil
}

// save writes the register. The caller holds mu.
func (r *Register) save() error {
	data, err := json.MarshalIndent(kept{1, r.rows}, "", " ")
	if err == nil {
		err = disk.WriteFile(r.file, data)
	}
	if err != nil {
		return &server.Error{Code: server.NotNow, Message: "The shop PC can't write its list of devices. Try again.", Err: err}
	}
	r.dirty, r.owed = false, nil
	return nil
}

// Unwritten returns the IDs of devices that are refused now and would be let in
// again after a restart, since the list could not be written. It tries once more
// to write it.
func (r *Register) Unwritten() []string {
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.owed) > 0 {
		_ = r.save() // what is still owed is the answer
	}
	return append([]string{}, r.owed...)
}

// Close writes what was only noted.
func (r *Register) Close() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.dirty && len(r.owed) == 0 {
		return nil
	}
	return r.save()
}

// secret returns 256 random bits as text.
func secret() string {
	b := make([]byte, 32)
	_, _ = rand.Read(b) // never fails: the program ends where the system has no randomness
	return base64.RawURLEncoding.EncodeToString(b)
}

func sum(token string) string {
	s := sha256.Sum256([]byte(token))
	return hex.EncodeToString(s[:])
}

// Who returns the device that a token is of.
func (r *Register) Who(token string) (server.Device, error) {
	if token == "" {
		return server.Device{}, &server.Error{Code: server.NoToken, Message: "This device is not paired with the shop PC. Make a code at Shop on the PC and type it in."}
	}
	hash := []byte(sum(token))
	r.mu.Lock()
	defer r.mu.Unlock()
	var found *row
	for _, d := range r.rows { // each row is compared, whichever it is
		if subtle.ConstantTimeCompare([]byte(d.Hash), hash) == 1 {
			found = d
		}
	}
	switch {
	case found == nil:
		return server.Device{}, &server.Error{Code: server.NoToken, Message: "The shop PC does not know this device. Pair it again: make a code at Shop on the PC."}
	case found.RevokedMS != 0:
		return server.Device{}, &server.Error{Code: server.Revoked, Message: "This device was taken off the shop PC's list. What it keeps is safe here; to go on, pair it again."}
	}
	found.SeenMS, r.dirty = r.now().UnixMilli(), true
	return found.copy(), nil
}

func (d *row) copy() server.Device {
	c := d.Device
	c.Names = slices.Clone(d.Names)
	return c
}

// Devices lists all devices in the order in which they were paired.
func (r *Register) Devices() []server.Device {
	r.mu.Lock()
	defer r.mu.Unlock()
	out := make([]server.Device, 0, len(r.rows))
	for _, d := range r.rows {
		out = append(out, d.copy())
	}
	return out
}

// add puts a device on the list and returns its token. The caller holds mu.
func (r *Register) add(d server.Device) (token string, err error) {
	if len(r.rows) >= maxDevices {
		return "", &server.Error{Code: server.TooMany, Message: fmt.Sprintf("The shop PC has %d devices on its list already. Forget some at Shop first.", maxDevices)}
	}
	token = secret()
	d.ID, d.PairedMS = secret()[:12], r.now().UnixMilli()
	r.rows = append(r.rows, &row{d, sum(token)})
	if err := r.save(); err != nil {
		r.rows = r.rows[:len(r.rows)-1]
		return "", err
	}
	return token, nil
}

// index returns where the device with an ID stands. The caller holds mu.
func (r *Register) index(id string) (int, error) {
	i := slices.IndexFunc(r.rows, func(d *row) bool { return d.ID == id })
	if i < 0 {
		return 0, &server.Error{Code: server.NotFound, Field: "id", Message: fmt.Sprintf("id: no device %.20q is on the list.", id)}
	}
	return i, nil
}

// Revoke refuses a device from now on, also when the list can't be written; the
// error then says what that means.
func (r *Register) Revoke(id string) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	i, err := r.index(id)
	if err != nil {
		return err
	}
	d := r.rows[i]
	if d.RevokedMS == 0 {
		d.RevokedMS = r.now().UnixMilli()
		r.owed = append(r.owed, id)
	}
	if !slices.Contains(r.owed, id) {
		return nil
	}
	if err := r.save(); err != nil {
		return &server.Error{Code: server.NotNow, Err: err, Message: fmt.Sprintf(
			"%s is refused from now on, but the shop PC can't write its list of devices: after a restart it would be let in again. Make room on the disk; the list is written as soon as it can be.", d.Name)}
	}
	return nil
}

// Forget takes a device off the list. Nobody speaks for its names any more, so
// other devices may give what they hold of them.
func (r *Register) Forget(id string) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	i, err := r.index(id)
	if err != nil {
		return err
	}
	before := slices.Clone(r.rows)
	r.rows = slices.Delete(r.rows, i, i+1)
	if err := r.save(); err != nil {
		r.rows = before
		return &server.Error{Code: server.NotNow, Message: fmt.Sprintf("%s is still on the list: the shop PC can't write it. Make room on the disk, then try again.", before[i].Name), Err: err}
	}
	return nil
}

// owner returns the row that a device's name belongs to, nil if none.
func (r *Register) owner(device string) *row {
	for _, d := range r.rows {
		if d.mark(device) != nil {
			return d
		}
	}
	return nil
}

func (d *row) mark(device string) *server.Mark {
	for i := range d.Names {
		if d.Names[i].Device == device {
			return &d.Names[i]
		}
	}
	return nil
}
