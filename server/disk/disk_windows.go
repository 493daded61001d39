package disk

import (
	"errors"
	"os"
	"syscall"
	"unsafe"
)

// SyncDir does nothing: NTFS journals its names, and a folder can't be synced.
func SyncDir(string) error { return nil }

// System error codes of winerror.h.
const (
	sharingViolation = syscall.Errno(32)
	handleDiskFull   = syscall.Errno(39)
	diskFull         = syscall.Errno(112)
)

// IsFull says whether an error means that there is no room.
func IsFull(err error) bool {
	return errors.Is(err, diskFull) || errors.Is(err, handleDiskFull)
}

// openLock opens the file for this program alone.
func openLock(name string) (*os.File, error) {
	path, err := syscall.UTF16PtrFromString(name)
	if err != nil {
		return nil, err
	}
	h, err := syscall.CreateFile(path, syscall.GENERIC_READ|syscall.GENERIC_WRITE, 0, nil, syscall.OPEN_ALWAYS, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	if errors.Is(err, sharingViolation) {
		return nil, ErrLocked
	}
	if err != nil {
		return nil, err
	}
	return os.NewFile(uintptr(h), name), nil
}

// Free returns how many bytes this user can still write where dir is.
func Free(dir string) (uint64, error) {
	path, err := syscall.UTF16PtrFromString(dir)
	if err != nil {
		return 0, err
	}
	var free uint64
	ask := syscall.NewLazyDLL("kernel32.dll").NewProc("GetDiskFreeSpaceExW")
	if ok, _, err := ask.Call(uintptr(unsafe.Pointer(path)), uintptr(unsafe.Pointer(&free)), 0, 0); ok == 0 {
		return 0, err
	}
	return free, nil
}
