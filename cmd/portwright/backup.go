package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"portwright/server/backup"
	"portwright/server/store"
)

const verifyUsage = `usage: portwright verify [-data DIR] [-backups DIR]
       portwright verify BACKUP...

Reads all that the server keeps and its nightly backups, or the backups that
are named, and says whether it is whole. -backups is the folder that serve was
given for them (default: backups in the data folder).
Nothing is changed. Exit status 1: something is damaged.
`

func verifyCommand(args []string, _ io.Reader, stdout, stderr io.Writer) int {
	fs := flag.NewFlagSet("verify", flag.ContinueOnError)
	data := fs.String("data", "", dataUsage)
	backups := fs.String("backups", "", "`folder` of the nightly backups, as serve has it (default: backups in the data folder)")
	index := fs.String("index", "", "go through this index; the server asks itself so")
	files, status, done := parseArgs(fs, args, verifyUsage, 0, 1000, stdout, stderr)
	switch {
	case done:
		return status
	case *index != "":
		c, err := store.CheckIndex(*index)
		if err != nil {
			return fail(stderr, err)
		}
		if err := json.NewEncoder(stdout).Encode(c); err != nil {
			return fail(stderr, err)
		}
		return exitOK
	case len(files) > 0:
		return verifyFiles(files, stdout, stderr)
	}
	dir, err := dataFolder(*data)
	if err != nil {
		return fail(stderr, err)
	}
	v, err := store.Verify(store.Options{Dir: dir, Backups: *backups, Check: checkInChild})
	if err != nil {
		return refuse(stderr, fmt.Errorf("portwright verify: %w", err))
	}
	fmt.Fprintf(stdout, "%s: %d entries of %d devices, digest %.12s\n", dir, v.Tally.Entries, len(v.Tally.Tips), v.Tally.Digest())
	for _, n := range v.Notes {
		fmt.Fprintln(stdout, n)
	}
	if !v.Newest.IsZero() {
		fmt.Fprintf(stdout, "The newest whole backup is of %s; it holds %d of %d entries.\n", v.Newest.Format(time.DateTime), v.Holds, v.Tally.Entries)
	}
	if len(v.Problems) == 0 {
		fmt.Fprintln(stdout, "All of it is whole.")
		return exitOK
	}
	for _, p := range v.Problems {
		fmt.Fprintln(stderr, p)
	}
	return exitFailed
}

func verifyFiles(files []string, stdout, stderr io.Writer) int {
	status := exitOK
	for _, name := range files {
		seal, err := backup.Verify(name)
		if err != nil {
			fmt.Fprintln(stderr, err)
			status = exitFailed
			continue
		}
		fmt.Fprintf(stdout, "%s: %s\n", name, sealed(seal))
	}
	return status
}

func sealed(s backup.Seal) string {
	return fmt.Sprintf("%d entries as of %s, digest %.12s, whole", s.Entries, time.UnixMilli(s.AtMS).Format(time.DateTime), s.Digest)
}

const backupUsage = `usage: portwright backup [-data DIR] [-o FILE]

Copies what the server keeps into one file and reads it back. The server may be
running.
  -o FILE  the file, for example on a stick (default: in DIR/backups)
`

func backupCommand(args []string, _ io.Reader, stdout, stderr io.Writer) int {
	fs := flag.NewFlagSet("backup", flag.ContinueOnError)
	data := fs.String("data", "", dataUsage)
	out := fs.String("o", "", "write to this `file`")
	if _, status, done := parseArgs(fs, args, backupUsage, 0, 0, stdout, stderr); done {
		return status
	}
	dir, err := dataFolder(*data)
	if err != nil {
		return fail(stderr, err)
	}
	name := *out
	if name == "" {
		name = filepath.Join(dir, "backups", backup.NameAt(time.Now()))
		if _, err := os.Stat(filepath.Join(dir, "journal")); err == nil {
			if err := os.MkdirAll(filepath.Dir(name), 0o700); err != nil {
				return fail(stderr, err)
			}
		}
	}
	seal, err := store.Backup(store.Options{Dir: dir}, name)
	if err != nil {
		return fail(stderr, err)
	}
	fmt.Fprintf(stdout, "%s: %s\n", name, sealed(seal))
	return exitOK
}

const restoreUsage = `usage: portwright restore [-data DIR] [-damaged] BACKUP

Puts a backup in the place of what the server keeps, after it was read, unpacked
and compared. What stood there is kept beside. The server must be stopped. The
phones give back what came after the backup when they come by.
  -damaged  take what can be read of a damaged backup
`

func restoreCommand(args []string, _ io.Reader, stdout, stderr io.Writer) int {
	fs := flag.NewFlagSet("restore", flag.ContinueOnError)
	data := fs.String("data", "", dataUsage)
	damaged := fs.Bool("damaged", false, "take what can be read of a damaged backup")
	files, status, done := parseArgs(fs, args, restoreUsage, 1, 1, stdout, stderr)
	if done {
		return status
	}
	dir, err := dataFolder(*data)
	if err != nil {
		return fail(stderr, err)
	}
	r, err := store.Restore(store.Options{Dir: dir}, files[0], *damaged)
	if err != nil {
		return fail(stderr, err)
	}
	if r.Damage != nil {
		fmt.Fprintf(stderr, "%v; the rest was restored\n", r.Damage)
	}
	fmt.Fprintf(stdout, "%s: restored %d entries, digest %.12s\n", dir, r.Entries, r.Digest)
	if r.Replaced != "" {
		fmt.Fprintf(stdout, "What stood there is in %s\n", r.Replaced)
	}
	return exitOK
}
