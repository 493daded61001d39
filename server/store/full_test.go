package store

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"portwright/server"
	"portwright/server/disk"
	"portwright/server/wire"
	"portwright/wasm/sync/phonetest"
)

// A disk fills: pushes are refused in plain words before anything breaks,
// reading goes on, also when the server is started on the full disk; with room
// again everything is kept.
func TestDiskFills(t *testing.T) {
	at, real := smallDisk(t, "96m")
	if err := fills(t, at, real); err != nil {
		t.Fatal(err)
	}
}

func TestDiskFillsAsMadeUp(t *testing.T) {
	if err := fills(t, t.TempDir(), false); err != nil {
		t.Fatal(err)
	}
}

func fills(t *testing.T, at string, real bool) error {
	dir := filepath.Join(at, "data")
	taken := uint64(0) // of the made-up disk, besides what the store holds
	o := options(dir)
	o.Reserve = 32 << 20
	o.Free = func() (uint64, error) {
		if real {
			return disk.Free(at)
		}
		return 96<<20 - min(96<<20, taken+held(dir)), nil
	}
	ballast := filepath.Join(at, "ballast")
	occupy := func(bytes uint64) error {
		taken = bytes
		if !real {
			return nil
		}
		if err := os.RemoveAll(ballast); err != nil {
			return err
		}
		free, err := disk.Free(at)
		if err != nil {
			return err
		}
		return os.WriteFile(ballast, make([]byte, min(free, bytes)), 0o600)
	}

	s, err := Open(o)
	if err != nil {
		return err
	}
	p := phonetest.New("a", 500)
	var refused error
	for i := 0; refused == nil && i < 400; i++ {
		for range 100 {
			p.Write(`"x":"` + strings.Repeat("x", 5000) + `"`)
		}
		if i == 40 { // something else takes the rest but little
			free, err := o.Free()
			if err != nil {
				return err
			}
			if err := occupy(free - min(free, o.Reserve+4<<20)); err != nil {
				return err
			}
		}
		refused = p.Sync(s.Keeper, 1)
	}
	if server.CodeOf(refused) != server.NoSpace || !strings.Contains(server.MessageOf(refused), "nearly full") {
		t.Errorf("refused with %v", refused)
	}
	before := s.Keeper.Have()
	reads := func(k *server.Keeper, what string) {
		q := phonetest.New("q", 500)
		if err := q.Sync(k, 1); err != nil || wire.Digest(q.Have()) != before.Digest {
			t.Errorf("%s: reading: %v", what, err)
		}
	}
	reads(s.Keeper, "nearly full")
	if err := s.Close(); err != nil {
		return err
	}

	if err := occupy(96 << 20); err != nil { // to the last byte
		return err
	}
	if s, err = Open(o); err != nil {
		return err
	}
	if said := strings.Join(s.Notices, "\n"); !strings.Contains(said, "MB left, so the index is kept in memory") {
		t.Errorf("notices %q", said)
	}
	reads(s.Keeper, "full")
	if _, err := s.Keeper.Push(wire.Push{Device: "b", Runs: []wire.Run{{Device: "b", From: 1, Before: wire.Chain{}.String(), Entries: []json.RawMessage{[]byte(`{"device":"b","seq":1}`)}}}}); server.CodeOf(err) != server.NoSpace {
		t.Errorf("on a full disk: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Errorf("closing on a full disk: %v", err)
	}

	if err := occupy(0); err != nil {
		return err
	}
	o.Reserve = 1 << 20
	if s, err = Open(o); err != nil {
		return err
	}
	if err := p.Sync(s.Keeper, 1); err != nil {
		t.Errorf("with room again: %v", err)
	}
	if got := s.Keeper.Have().Digest; got != wire.Digest(p.Have()) {
		t.Error("with room again: the phone holds something else")
	}
	return s.Close()
}

// held is what the files of a folder take on the disk.
func held(dir string) (sum uint64) {
	_ = filepath.Walk(dir, func(_ string, info os.FileInfo, err error) error {
		if err == nil && info.Mode().IsRegular() && !strings.HasSuffix(info.Name(), ".mem") && !strings.HasSuffix(info.Name(), ".vlog") {
			sum += uint64(info.Size())
		}
		return nil
	})
	return sum
}
