package store

import (
	"os"
	"syscall"
	"testing"
)

// smallDisk mounts a file system in memory of so many bytes. Where that is not
// allowed it says so, and the disk's size is played by what is asked about it.
func smallDisk(t *testing.T, size string) (dir string, real bool) {
	dir = t.TempDir()
	if os.Geteuid() != 0 {
		t.Log("no small tmpfs: this needs root; the free room is made up instead")
		return dir, false
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size="+size); err != nil {
		t.Logf("no small tmpfs (%v): the free room is made up instead", err)
		return dir, false
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir, true
}
