//go:build !linux

package store

import "testing"

// smallDisk needs Linux; elsewhere the free room is made up.
func smallDisk(t *testing.T, _ string) (dir string, real bool) {
	t.Log("no small tmpfs on this system: the free room is made up instead")
	return t.TempDir(), false
}
