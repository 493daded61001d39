package journal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"portwright/server/disk"
)

// repair reads every file, cuts off a write that was not finished, and writes
// damaged files again without what can't be read.
func (j *Journal) repair() (Report, error) {
	var r Report
	names, err := Files(j.dir)
	if err != nil {
		return r, err
	}
	for _, name := range missing(names) { // an empty one in its place, so that it is told once
		r.Damage = append(r.Damage, Damage{File: name, Missing: true})
		if err := disk.WriteFile(filepath.Join(j.dir, name), header); err != nil {
			return r, err
		}
	}
	if names, err = Files(j.dir); err != nil {
		return r, err
	}
	for i, name := range names {
		path := filepath.Join(j.dir, name)
		b, err := os.ReadFile(path)
		if err != nil {
			return r, err
		}
		r.Bytes += int64(len(b))
		bad, err := scan(b, func([]byte) error { r.Records++; return nil })
		if err != nil {
			return r, err
		}
		if len(b) < len(header) && len(bad) == 0 {
			bad = []stretch{{0, len(b)}} // made, and its header not written
		}
		if len(bad) == 0 {
			continue
		}
		if err := j.mend(&r, name, b, bad, i == len(names)-1); err != nil {
			return r, err
		}
	}
	return r, nil
}

// missing returns the names of files that are not there though later ones are.
func missing(names []string) (out []string) {
	next := 1
	for _, name := range names {
		n, _ := number(name)
		for ; next < n; next++ {
			out = append(out, fmt.Sprintf("%06d", next)+name[6:])
		}
		next = n + 1
	}
	return out
}

// mend cuts off what a power cut left unfinished, or writes a damaged file
// again with the records that can be read.
func (j *Journal) mend(r *Report, name string, b []byte, bad []stretch, last bool) error {
	end := bad[len(bad)-1]
	torn := last && end.to == len(b)
	if torn && len(bad) == 1 && end.from >= len(header) {
		return j.cut(r, name, b, int64(end.from))
	}
	aside, err := j.setAside(name, b)
	if err != nil {
		return err
	}
	for i, s := range bad {
		d := Damage{File: name, From: int64(s.from), To: int64(s.to), Aside: aside}
		if torn && i == len(bad)-1 {
			r.Torn = &d
		} else {
			r.Damage = append(r.Damage, d)
		}
	}
	whole := append([]byte(nil), header...)
	if _, err := scan(b, func(record []byte) error {
		whole = AppendFrame(whole, record)
		return nil
	}); err != nil {
		return err
	}
	return disk.WriteFile(filepath.Join(j.dir, name), whole)
}

// cut ends a file at size. The bytes behind it are no record that was ever
// answered for; a full disk does not stop this.
func (j *Journal) cut(r *Report, name string, b []byte, size int64) error {
	aside, err := j.setAside(name, b[size:])
	if err != nil && !disk.IsFull(err) {
		return err
	}
	f, err := os.OpenFile(filepath.Join(j.dir, name), os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Truncate(size), f.Sync(), f.Close()); err != nil {
		return err
	}
	r.Torn = &Damage{File: name, From: size, To: int64(len(b)), Aside: aside}
	return nil
}

// setAside keeps a file as it was found.
func (j *Journal) setAside(name string, b []byte) (string, error) {
	dir := filepath.Join(j.dir, "aside")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	aside := filepath.Join(dir, name+"."+j.opt.Now().UTC().Format("20060102T150405.000000000"))
	if err := disk.WriteFile(aside, b); err != nil {
		return "", err
	}
	return aside, nil
}
