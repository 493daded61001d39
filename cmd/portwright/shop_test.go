package main

import (
	"os"
	"path/filepath"
	"testing"

	"portwright/server/access"
	"portwright/server/store"
	"portwright/wasm/sync/phonetest"
)

// The state of Shop has what the disk lacks, what the newest backup holds and
// which revocations are not written.
func TestShopState(t *testing.T) {
	data, free := t.TempDir(), uint64(1<<30)
	kept, err := store.Open(store.Options{Dir: data, Free: func() (uint64, error) { return free, nil }})
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	list, _, err := access.Open(filepath.Join(data, "access.json"), nil)
	if err != nil {
		t.Fatal(err)
	}
	backups := filepath.Join(data, "backups")
	s := &shop{Register: list, kept: kept, phones: &phones{}, where: "http://localhost/", file: filepath.Join(data, linkFile), backups: backups}
	state := func() shopState { return s.State("").(shopState) }
	if st := state(); st.BackupMS != 0 || st.BackupHolds != nil || st.Space != nil || st.Unwritten == nil {
		t.Errorf("at first: %+v", st)
	}
	if _, _, err := kept.Nightly(backups, nil).Once(); err != nil {
		t.Fatal(err)
	}
	p := phonetest.New("phone", 50)
	p.Write(`"x":1`)
	if err := p.Sync(kept.Keeper, 1); err != nil {
		t.Fatal(err)
	}
	if st := state(); st.BackupHolds == nil || *st.BackupHolds != 0 || st.Entries != 1 {
		t.Errorf("after an empty backup: %+v", st)
	}
	free = 100 << 20
	if st := state(); st.Space == nil || *st.Space != (shopSpace{Free: 100 << 20, Wanted: 512 << 20}) {
		t.Errorf("with little room: %+v", st.Space)
	}
	if _, err := s.Enter(s.Link(), ""); err != nil {
		t.Fatal(err)
	}
	own := list.Devices()[0].ID
	file := filepath.Join(data, "access.json")
	if err := os.Rename(file, file+".was"); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(file, 0o700); err != nil { // can't be replaced by a file
		t.Fatal(err)
	}
	if err := s.Revoke(own); err == nil {
		t.Error("a list that can't be written is no error")
	}
	if st := state(); len(st.Unwritten) != 1 || st.Unwritten[0] != own || st.Devices[0].RevokedMS == 0 {
		t.Errorf("unwritten: %+v", st)
	}
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if st := state(); len(st.Unwritten) != 0 {
		t.Errorf("written again: %v", st.Unwritten)
	}
}
