//go:build linux || darwin || freebsd

package disk

import "syscall"

// Free returns how many bytes an ordinary program can still write where dir is.
func Free(dir string) (uint64, error) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, err
	}
	return uint64(max(0, int64(s.Bavail))) * uint64(s.Bsize), nil
}
