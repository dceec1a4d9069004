package store

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// The locked byte lies far past any content: Windows locks are mandatory, and
// other programs may read the file.
const lockedByte = 1 << 30

func lockFile(file *os.File) error {
	at := &windows.Overlapped{OffsetHigh: lockedByte}
	err := windows.LockFileEx(windows.Handle(file.Fd()),
		windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, at)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, windows.ERROR_LOCK_VIOLATION), errors.Is(err, windows.ERROR_IO_PENDING):
		return ErrLocked
	default:
		return &os.PathError{Op: "lock", Path: file.Name(), Err: err}
	}
}

func isDiskFull(err error) bool {
	return errors.Is(err, windows.ERROR_DISK_FULL) || errors.Is(err, windows.ERROR_HANDLE_DISK_FULL)
}

func isReadOnly(err error) bool {
	return errors.Is(err, os.ErrPermission) || errors.Is(err, windows.ERROR_WRITE_PROTECT)
}
