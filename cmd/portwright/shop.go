package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"portwright/server"
	"portwright/server/access"
	"portwright/server/backup"
	"portwright/server/disk"
	"portwright/server/setup"
	"portwright/server/store"
)

// machine is this computer's name, "" when it has none.
func machine() string {
	name, err := os.Hostname()
	if err != nil {
		return ""
	}
	return name
}

// linkFile in the data folder has the one-time link to Shop, for its owner
// alone, as long as the server runs.
const linkFile = "shop-link"

// shop is what the Shop station shows and does.
type shop struct {
	*access.Register
	kept    *store.Store
	phones  *phones
	where   string // address for this computer's own browser
	file    string // that has the link
	backups string
}

// link is the one-time link. What stands behind the # stays in the browser.
func (s *shop) link() string { return s.where + "shop#" + s.Link() }

func (s *shop) writeLink() error {
	if err := disk.WriteFile(s.file, []byte(s.link()+"\n")); err != nil {
		return fmt.Errorf("keeping the link to Shop: %w", err)
	}
	return nil
}

// Enter trades the key of the link for a token; the next link is another.
func (s *shop) Enter(key, old string) (string, error) {
	token, err := s.Register.Enter(key, old)
	if err != nil {
		return "", err
	}
	return token, s.writeLink()
}

// NewCode makes a pairing code.
func (s *shop) NewCode() { s.Register.NewCode() }

// shopState is what the station shows; times in milliseconds since 1970.
type shopState struct {
	NowMS       int64           `json:"now_ms"`
	Own         string          `json:"own"` // the device that asks
	Code        *access.Code    `json:"code"`
	CodeEnded   string          `json:"code_ended,omitempty"` // what became of the last code
	Devices     []server.Device `json:"devices"`
	Unwritten   []string        `json:"unwritten"` // IDs revoked until the next start alone: the list can't be written
	Addresses   []string        `json:"addresses"` // of the app, for phones
	Setup       string          `json:"setup,omitempty"`
	QR          *setup.QR       `json:"qr,omitempty"`
	NoNumber    bool            `json:"no_number,omitempty"` // Setup has a name in it, since no private address is there
	Entries     uint64          `json:"entries"`
	BackupMS    int64           `json:"backup_ms"`              // 0: there is none
	BackupHolds *uint64         `json:"backup_holds,omitempty"` // entries in the newest; nil: it can't be told
	Space       *shopSpace      `json:"space,omitempty"`        // nil: there is enough
	Backups     string          `json:"backups"`
	Notices     []string        `json:"notices"`
	Certificate *shopCert       `json:"certificate"`
}

// shopSpace is a disk with too little room, in bytes.
type shopSpace struct {
	Free   uint64 `json:"free"`
	Wanted uint64 `json:"wanted"`
}

type shopCert struct {
	UntilMS          int64  `json:"until_ms"`
	Name             string `json:"name,omitempty"` // of the authority
	Fingerprint      string `json:"fingerprint,omitempty"`
	AuthorityUntilMS int64  `json:"authority_until_ms,omitempty"`
}

// State is how things stand.
func (s *shop) State(browser string) any {
	st := shopState{
		NowMS: time.Now().UnixMilli(), Own: browser, Code: s.Code(), CodeEnded: s.CodeEnded(), Unwritten: s.Unwritten(), Devices: s.Devices(), Addresses: []string{},
		Entries: s.kept.Keeper.Have().Entries, Backups: s.backups, Notices: append([]string{}, s.kept.Notices...),
	}
	if free, wanted, err := s.kept.Keeper.Space(); err == nil && free < wanted {
		st.Space = &shopSpace{free, wanted}
	}
	if at, name := backup.Newest(s.backups, time.Local); !at.IsZero() {
		st.BackupMS = at.UnixMilli()
		if seal, err := backup.Sealed(name); err == nil {
			st.BackupHolds = &seal.Entries
		}
	}
	p := s.phones
	if p.cert == nil {
		return st
	}
	st.Certificate = &shopCert{UntilMS: p.cert.Until().UnixMilli()}
	for _, host := range p.hostNames() {
		if ip := net.ParseIP(host); host != "localhost" && !ip.IsLoopback() {
			st.Addresses = append(st.Addresses, "https://"+net.JoinHostPort(host, strconv.Itoa(p.port))+"/")
		}
	}
	slices.Sort(st.Addresses)
	if p.authority != nil {
		st.Certificate.Name, st.Certificate.Fingerprint, st.Certificate.AuthorityUntilMS = p.authority.Name(), p.authority.Fingerprint(), p.authority.Until().UnixMilli()
	}
	if p.setup != 0 {
		places := p.places()
		st.Setup, st.NoNumber = places.Page(), places.Addr == ""
		if qr, err := setup.Draw(st.Setup); err == nil { // without it the address stands there
			st.QR = &qr
		}
	}
	return st
}

// linkCommand prints the one-time link of the server that runs.
func linkCommand(args []string, _ io.Reader, stdout, stderr io.Writer) int {
	set := flag.NewFlagSet("link", flag.ContinueOnError)
	data := set.String("data", "", dataUsage)
	_, status, done := parseArgs(set, args, "usage: portwright link [-data DIR]\n\nThe link opens Shop in a browser on this computer. It works once.\n", 0, 0, stdout, stderr)
	if done {
		return status
	}
	dir, err := dataFolder(*data)
	if err != nil {
		return fail(stderr, err)
	}
	link, err := os.ReadFile(filepath.Join(dir, linkFile))
	if errors.Is(err, fs.ErrNotExist) {
		return fail(stderr, fmt.Errorf("no server runs with the folder %s: start portwright serve, or name its folder with -data", dir))
	}
	if err != nil {
		return fail(stderr, err)
	}
	_, err = stdout.Write(link)
	if err != nil {
		return fail(stderr, err)
	}
	return exitOK
}
