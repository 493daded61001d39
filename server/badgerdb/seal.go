package badgerdb

import (
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"portwright/server/disk"
)

// A seal says how the files of a closed database were: what a damaged or
// unclean one is known by, before it is opened.
type seal map[string]sealed

type sealed struct {
	Size   int64  `json:"size"`
	CRC32C uint32 `json:"crc32c"`
}

func look(dir string) (seal, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	s := seal{}
	for _, e := range entries {
		f, err := os.Open(filepath.Join(dir, e.Name()))
		if err != nil {
			return nil, err
		}
		sum := crc32.New(crc32.MakeTable(crc32.Castagnoli))
		n, err := io.Copy(sum, f)
		if err := errors.Join(err, f.Close()); err != nil {
			return nil, err
		}
		s[e.Name()] = sealed{n, sum.Sum32()}
	}
	return s, nil
}

// Seal writes the seal of a database that was closed.
func Seal(dir, name string) error {
	s, err := look(dir)
	if err != nil {
		return err
	}
	b, err := json.Marshal(s)
	if err != nil {
		return err
	}
	return disk.WriteFile(name, b)
}

// Unseal takes the seal away, for the database is about to change. It returns
// nil when the files are as they were sealed; else an error says what differs.
func Unseal(dir, name string) error {
	b, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("it was not closed")
	}
	if err != nil {
		return err
	}
	if err := errors.Join(os.Remove(name), disk.SyncDir(filepath.Dir(name))); err != nil {
		return err
	}
	var was seal
	if err := json.Unmarshal(b, &was); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	is, err := look(dir)
	if err != nil {
		return err
	}
	for file, s := range was {
		if is[file] != s {
			return fmt.Errorf("%s is not as it was", file)
		}
	}
	if len(is) != len(was) {
		return fmt.Errorf("it has %d files and had %d", len(is), len(was))
	}
	return nil
}
