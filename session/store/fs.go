package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
)

// ErrLocked is returned by FS.OpenLocked when a living program holds the file.
var ErrLocked = errors.New("in use by another program")

// FS is the part of a file system that takes need, small enough for tests to
// stand in a disk that fills up, fails or loses power. Errors are those of
// package os. Methods may be called from several goroutines.
type FS interface {
	// MkdirAll makes a folder and its parents, private to the user, and makes
	// an existing one private.
	MkdirAll(dir string) error
	// Create makes a file that must not exist, private to the user, for
	// appending and reading, and locks it.
	Create(name string) (File, error)
	// OpenLocked opens an existing file for appending and reading and locks
	// it. It returns ErrLocked if a living program holds the lock, and
	// fs.ErrNotExist if the name no longer means the file that was locked.
	OpenLocked(name string) (File, error)
	// WriteFile writes a file, private to the user, and fsyncs it. On an error
	// the file may exist in part.
	WriteFile(name string, data []byte) error
	// ReadFile reads a whole file.
	ReadFile(name string) ([]byte, error)
	// ReadFrom reads a file from a byte to its end; nothing where it ends before.
	ReadFrom(name string, at int64) ([]byte, error)
	// Rename renames, replacing nothing that the caller has not looked for.
	Rename(from, to string) error
	Remove(name string) error
	// Size returns a file's length in bytes.
	Size(name string) (int64, error)
	// ReadDir lists the names of a folder's files, sorted; none if the folder
	// does not exist.
	ReadDir(dir string) ([]string, error)
	// SyncDir makes the names of a folder durable.
	SyncDir(dir string) error
}

// File is one open, locked file. Write appends. The lock ends with Close or
// with the process.
type File interface {
	io.Writer
	io.ReaderAt
	Sync() error
	Close() error
}

// OS is the operating system's file system.
var OS FS = osFS{}

type osFS struct{}

// errNoFile is what no take, journal or logbook can be, such as a pipe, which could
// keep a reader waiting.
var errNoFile = errors.New("is no file: move it away")

// ordinary is errNoFile for what is there and no file.
func ordinary(name string) error {
	info, err := os.Stat(name)
	if err != nil || info.Mode().IsRegular() {
		return err
	}
	return &fs.PathError{Op: "open", Path: name, Err: errNoFile}
}

func (osFS) MkdirAll(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	info, err := os.Stat(dir)
	if err != nil || runtime.GOOS == "windows" || info.Mode().Perm()&0o077 == 0 {
		return err
	}
	return os.Chmod(dir, 0o700)
}

func (f osFS) Create(name string) (File, error) {
	return f.openLocked(name, os.O_CREATE|os.O_EXCL)
}

func (f osFS) OpenLocked(name string) (File, error) {
	if err := ordinary(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return f.openLocked(name, 0)
}

func (osFS) openLocked(name string, flags int) (File, error) {
	file, err := os.OpenFile(name, os.O_RDWR|os.O_APPEND|flags, 0o600)
	if err != nil {
		return nil, err
	}
	if err := lockFile(file); err != nil {
		_ = file.Close()
		return nil, err
	}
	// Between open and lock another program may have finished with the file
	// and removed it: then the lock is on a file that has no name.
	held, err := file.Stat()
	if err == nil {
		var named os.FileInfo
		if named, err = os.Stat(name); err == nil && !os.SameFile(held, named) {
			err = &fs.PathError{Op: "lock", Path: name, Err: fs.ErrNotExist}
		}
	}
	if err != nil {
		_ = file.Close()
		return nil, err
	}
	return file, nil
}

func (osFS) WriteFile(name string, data []byte) error {
	file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = file.Write(data)
	if err == nil {
		err = file.Sync()
	}
	if closeErr := file.Close(); err == nil {
		err = closeErr
	}
	return err
}

func (osFS) ReadFile(name string) ([]byte, error) {
	if err := ordinary(name); err != nil {
		return nil, err
	}
	return os.ReadFile(name)
}

func (osFS) ReadFrom(name string, at int64) ([]byte, error) {
	if err := ordinary(name); err != nil {
		return nil, err
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.NewSectionReader(file, at, 1<<62))
}

func (osFS) Rename(from, to string) error { return os.Rename(from, to) }
func (osFS) Remove(name string) error     { return os.Remove(name) }

func (osFS) Size(name string) (int64, error) {
	info, err := os.Lstat(name)
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}

func (osFS) ReadDir(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	names := make([]string, 0, len(entries))
	for _, entry := range entries {
		if !entry.IsDir() {
			names = append(names, entry.Name())
		}
	}
	return names, nil
}

func (osFS) SyncDir(dir string) error {
	if runtime.GOOS == "windows" { // folders cannot be flushed there; NTFS journals its names
		return nil
	}
	file, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = file.Sync()
	if closeErr := file.Close(); err == nil {
		err = closeErr
	}
	return err
}

// writeAtomic writes a file so that its name means either nothing or all of
// data, whenever the power fails.
func writeAtomic(fsys FS, path string, data []byte) error {
	part := path + ".part"
	err := fsys.WriteFile(part, data)
	if err == nil {
		err = fsys.Rename(part, path)
	}
	if err != nil {
		_ = fsys.Remove(part)
		return err
	}
	return fsys.SyncDir(filepath.Dir(path))
}

// makeDir makes a folder, private to the user, and its parents, all of which are
// there however the power fails afterwards.
func makeDir(disk FS, dir string) error {
	var in []string // folders that get a new name
	for d := dir; d != filepath.Dir(d); d = filepath.Dir(d) {
		if there, err := exists(disk, d); there || err != nil {
			break // making it says what is wrong
		}
		in = append(in, filepath.Dir(d))
	}
	if err := disk.MkdirAll(dir); err != nil {
		return err
	}
	for _, parent := range in {
		if err := disk.SyncDir(parent); err != nil {
			return err
		}
	}
	return nil
}

func exists(disk FS, name string) (bool, error) {
	_, err := disk.Size(name)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

// maxNumber bounds the search for a free name.
const maxNumber = 10_000

// freeName returns the first of the names for 1, 2 and so on that nothing has.
func freeName(disk FS, name func(n int) string) (string, error) {
	for n := 1; n < maxNumber; n++ {
		if taken, err := exists(disk, name(n)); err != nil || !taken {
			return name(n), err
		}
	}
	return "", fmt.Errorf("%s and too many like it are there: move them away", name(1))
}

// numbered returns stem, stem-2, stem-3 and so on.
func numbered(stem string, n int) string {
	if n == 1 {
		return stem
	}
	return fmt.Sprintf("%s-%d", stem, n)
}
