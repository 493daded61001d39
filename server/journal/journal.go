package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"portwright/server"
	"portwright/server/disk"
)

// DefaultSize is how large a file grows before the next is begun.
const DefaultSize = 8 << 20

// File is the file that is written to.
type File interface {
	io.Writer
	Sync() error
	Truncate(size int64) error
	Close() error
}

// Options of a journal.
type Options struct {
	Now  func() time.Time    // nil: time.Now
	Size int64               // of a file; 0: DefaultSize
	Wrap func(*os.File) File // tests put faults between; nil: none
}

// Journal is a server.Journal in a folder. One goroutine uses it at a time.
type Journal struct {
	dir    string
	opt    Options
	name   string // of the file written to
	file   File
	size   int64
	broken error // after which nothing is written
}

// Damage is a stretch of a file that can't be read, or a file that is gone.
type Damage struct {
	File     string
	Missing  bool
	From, To int64  // offsets in the file as it was found
	Aside    string // where a copy is of the file as it was found; "" for none
}

func (d Damage) String() string {
	if d.Missing {
		return d.File + " is missing"
	}
	s := fmt.Sprintf("%s can't be read from byte %d to %d", d.File, d.From, d.To)
	if d.Aside != "" {
		s += " (what could not be read is in " + d.Aside + ")"
	}
	return s
}

// Report says what Open found.
type Report struct {
	Records int
	Bytes   int64
	Torn    *Damage  // the end of a write that was cut off by a power cut
	Damage  []Damage // anything else
}

// fileName is the name of the n-th file.
func fileName(n int, at time.Time) string {
	return fmt.Sprintf("%06d-%s.log", n, at.UTC().Format("2006-01"))
}

// number reads a file's name; ok is false for other files.
func number(name string) (n int, ok bool) {
	var month string
	if c, err := fmt.Sscanf(name, "%06d-%7s.log", &n, &month); err != nil || c != 2 {
		return 0, false
	}
	at, err := time.Parse("2006-01", month)
	return n, err == nil && n > 0 && fileName(n, at) == name
}

// Files returns the names of a journal's files in order.
func Files(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if _, ok := number(e.Name()); ok && e.Type().IsRegular() {
			names = append(names, e.Name())
		}
	}
	slices.Sort(names)
	return names, nil
}

// Open opens the journal in a folder, which is made when it is not there, and
// repairs what can be repaired.
func Open(dir string, o Options) (*Journal, Report, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Size == 0 {
		o.Size = DefaultSize
	}
	if o.Wrap == nil {
		o.Wrap = func(f *os.File) File { return f }
	}
	j := &Journal{dir: dir, opt: o}
	if err := j.makeDir(); err != nil {
		return nil, Report{}, err
	}
	r, err := j.repair()
	if err != nil {
		return nil, r, fmt.Errorf("journal: %w", err)
	}
	if err := j.openLast(); err != nil {
		return nil, r, fmt.Errorf("journal: %w", err)
	}
	return j, r, nil
}

func (j *Journal) makeDir() error {
	if _, err := os.Stat(j.dir); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := os.MkdirAll(j.dir, 0o700); err != nil {
		return err
	}
	return disk.SyncDir(filepath.Dir(j.dir))
}

// openLast opens the newest file for writing.
func (j *Journal) openLast() error {
	names, err := Files(j.dir)
	if err != nil || len(names) == 0 {
		return err // the first Append begins a file
	}
	j.name = names[len(names)-1]
	f, err := os.OpenFile(filepath.Join(j.dir, j.name), os.O_WRONLY|os.O_APPEND, 0o600)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err != nil {
		f.Close()
		return err
	}
	j.file, j.size = j.opt.Wrap(f), info.Size()
	return nil
}

// Append implements server.Journal.
func (j *Journal) Append(records ...[]byte) error {
	if j.broken != nil {
		return fmt.Errorf("the journal is closed after a fault: %w", j.broken)
	}
	var b []byte
	for _, r := range records {
		if len(r) > MaxRecord {
			return fmt.Errorf("a record of %d bytes; a journal takes up to %d", len(r), MaxRecord)
		}
		b = AppendFrame(b, r)
	}
	if err := j.rotate(); err != nil {
		return full(err)
	}
	_, err := j.file.Write(b)
	if err == nil {
		if err = j.file.Sync(); err == nil {
			j.size += int64(len(b))
			return nil
		}
		// What a failed sync left on the disk is not known, and a second
		// one may say that all is well when it is not.
		j.broken = err
	}
	if err := j.file.Truncate(j.size); err != nil {
		j.broken = err
	}
	return full(err)
}

func full(err error) error {
	if disk.IsFull(err) {
		return fmt.Errorf("%w (%w)", server.ErrFull, err)
	}
	return err
}

// rotate begins a new file when there is none, the month is over or the last
// one has grown large.
func (j *Journal) rotate() error {
	n := 1
	if j.file != nil {
		last, _ := number(j.name)
		if fileName(last, j.opt.Now()) <= j.name && j.size < j.opt.Size {
			return nil
		}
		n = last + 1
	}
	name := fileName(n, j.opt.Now())
	f, err := os.OpenFile(filepath.Join(j.dir, name), os.O_WRONLY|os.O_APPEND|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	file := j.opt.Wrap(f)
	_, err = file.Write(header)
	if err == nil {
		err = file.Sync()
	}
	if err == nil {
		err = disk.SyncDir(j.dir)
	}
	if err != nil {
		return errors.Join(err, file.Close(), os.Remove(f.Name()))
	}
	old := j.file
	j.name, j.file, j.size = name, file, int64(len(header))
	if old != nil {
		return old.Close()
	}
	return nil
}

// Each implements server.Journal.
func (j *Journal) Each(f func(record []byte) error) error {
	tail, err := Read(j.dir, f)
	if err == nil && tail > 0 {
		err = fmt.Errorf("the last %d bytes of the journal can't be read", tail)
	}
	return err
}

// Unreadable is the error of a journal that is not whole.
type Unreadable struct{ What string }

func (u *Unreadable) Error() string { return u.What }

// Read calls f with each record of the journal in a folder, which a server may
// be writing to: tail is how many bytes at the very end are no whole record
// yet. Other damage is an *Unreadable, once every record that can be read was
// told, as after a repair.
func Read(dir string, f func(record []byte) error) (tail int, err error) {
	names, err := Files(dir)
	if err != nil {
		return 0, err
	}
	var hurt *Unreadable
	for i, name := range names {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return 0, err
		}
		bad, err := scan(b, f)
		if err != nil {
			return 0, err
		}
		if i == len(names)-1 && len(bad) == 1 && bad[0].to == len(b) {
			tail, bad = bad[0].to-bad[0].from, nil
		}
		if len(bad) > 0 && hurt == nil {
			hurt = &Unreadable{fmt.Sprintf("%s can't be read from byte %d to %d", filepath.Join(dir, name), bad[0].from, bad[0].to)}
		}
	}
	if gone := missing(names); len(gone) > 0 && hurt == nil {
		hurt = &Unreadable{fmt.Sprintf("%s is missing in %s", gone[0], dir)}
	}
	if hurt != nil {
		return 0, hurt
	}
	return tail, nil
}

// Close closes the journal. Everything appended is on the disk already.
func (j *Journal) Close() error {
	if j.file == nil {
		return nil
	}
	j.broken = os.ErrClosed
	return j.file.Close()
}
