package backup

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"portwright/server/disk"
)

// How many nightly backups stay.
const (
	Daily  = 7
	Weekly = 8
)

const stamp = "20060102-150405"

// NameAt is the name of a nightly backup.
func NameAt(at time.Time) string { return "portwright-" + at.Format(stamp) + ".pwbackup" }

// When reads the time from a nightly backup's name; ok is false for other
// files, which are never touched.
func When(name string, in *time.Location) (at time.Time, ok bool) {
	at, err := time.ParseInLocation("portwright-"+stamp+".pwbackup", name, in)
	return at, err == nil && NameAt(at) == name
}

// Spare returns those of the names that need not stay: all but the newest of
// each of the last seven days that have one, and of each of the last eight
// weeks (ISO 8601) that have one.
func Spare(names []string, in *time.Location) (spare []string) {
	type one struct {
		name string
		at   time.Time
	}
	var all []one
	for _, name := range names {
		if at, ok := When(name, in); ok {
			all = append(all, one{name, at})
		}
	}
	slices.SortFunc(all, func(a, b one) int { return b.at.Compare(a.at) })
	days, weeks := map[string]bool{}, map[string]bool{}
	for _, o := range all {
		day := o.at.Format("20060102")
		year, n := o.at.ISOWeek()
		week := fmt.Sprint(year, n)
		stays := false
		if !days[day] && len(days) < Daily {
			days[day], stays = true, true
		}
		if !weeks[week] && len(weeks) < Weekly {
			weeks[week], stays = true, true
		}
		if !stays {
			spare = append(spare, o.name)
		}
	}
	return spare
}

// Newest is when the newest nightly backup of a folder was made, and its file;
// the zero time if there is none.
func Newest(dir string, in *time.Location) (at time.Time, name string) {
	_, newest, err := list(dir, in)
	if err != nil || newest.IsZero() {
		return time.Time{}, "" // no folder: none was made yet
	}
	return newest, filepath.Join(dir, NameAt(newest))
}

// list returns the nightly backups of a folder and the time of the newest.
func list(dir string, in *time.Location) (names []string, newest time.Time, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, newest, err
	}
	for _, e := range entries {
		if at, ok := When(e.Name(), in); ok {
			names = append(names, e.Name())
			if at.After(newest) {
				newest = at
			}
		}
	}
	return names, newest, nil
}

// thin removes the spare backups of a folder.
func thin(dir string, in *time.Location) error {
	names, _, err := list(dir, in)
	if err != nil {
		return err
	}
	for _, name := range Spare(names, in) {
		if err := os.Remove(filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	return disk.SyncDir(dir)
}
