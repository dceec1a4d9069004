package main

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
)

// lineEnding is that of lines written into a folder: these may be replaced, and
// are no recordings of the folder.
const lineEnding = ".shifts.mid"

// output is the name of one file to write, as the player gave it.
type output string

// check says what is wrong with writing the file: a recording is never
// overwritten, least of all the one of which it tells.
func (o output) check(recording string) error {
	path, err := filepath.EvalSymlinks(string(o))
	if errors.Is(err, fs.ErrNotExist) {
		if folder := filepath.Dir(o.place()); !isFolder(folder) {
			return fmt.Errorf("%s: there is no folder %s: make it first, or name a file elsewhere", o, folder)
		}
		return nil
	}
	if err != nil {
		return o.failed(err)
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return o.failed(err)
	case info.IsDir():
		return fmt.Errorf("%s: is a directory: name a file", o)
	case !info.Mode().IsRegular():
		return usage("%s: is a pipe or a device: name a file", o)
	}
	f, err := os.Open(path)
	if err != nil {
		return o.failed(err)
	}
	defer f.Close()
	var head [4]byte
	if _, err := io.ReadFull(f, head[:]); err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return o.failed(err)
	}
	if text := string(head[:]); text != "MThd" && text != "RIFF" {
		return nil
	}
	source, err := os.Stat(recording)
	if !strings.HasSuffix(path, lineEnding) || err == nil && os.SameFile(source, info) {
		return usage("%s is a recording: it will not be overwritten, name another file; only lines in *%s are replaced", o, lineEnding)
	}
	return nil
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// mostLinks is how many links are followed from one to the next, as Linux does.
const mostLinks = 40

// place is where the file is, or would be made, behind any links.
func (o output) place() string {
	path := string(o)
	for range mostLinks {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			return real
		}
		to, err := os.Readlink(path)
		if err != nil {
			break
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	if folder, err := filepath.EvalSymlinks(filepath.Dir(path)); err == nil {
		path = filepath.Join(folder, filepath.Base(path))
	}
	return path
}

// same reports whether o and other are one file, however they are written.
func (o output) same(other output) bool {
	a, errA := filepath.Abs(o.place())
	b, errB := filepath.Abs(other.place())
	if errA == nil && errB == nil && a == b {
		return true
	}
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(infoA, infoB)
}

// write writes the file that put makes. What stood there stays until the new one
// is whole.
func (o output) write(put func(io.Writer) error) error {
	var made bytes.Buffer
	if err := put(&made); err != nil {
		return o.failed(err)
	}
	if err := replace(o.place(), made.Bytes()); err != nil {
		return o.failed(err)
	}
	return nil
}

// replace makes or replaces the file at path by one beside it. Where the folder lets
// no other file in, or none take the place of this, it is written in place.
func replace(path string, data []byte) error {
	mode, there := os.FileMode(0o666), false
	if old, err := os.OpenFile(path, os.O_WRONLY, 0); err == nil {
		info, err := old.Stat()
		if err = errors.Join(err, old.Close()); err != nil {
			return err
		}
		mode, there = info.Mode().Perm(), true
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	beside := filepath.Join(filepath.Dir(path), ".stillhand-"+rand.Text()+".part")
	file, err := os.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if errors.Is(err, fs.ErrPermission) && there {
		return os.WriteFile(path, data, mode)
	}
	if err != nil {
		return err
	}
	defer os.Remove(beside)
	_, err = file.Write(data)
	if there && err == nil {
		err = os.Chmod(beside, mode) // the umask is for new files
	}
	if err = errors.Join(err, file.Close()); err != nil {
		return err
	}
	if err := os.Rename(beside, path); err == nil || !there {
		return err
	}
	return os.WriteFile(path, data, mode)
}

// failed says of an error that the file could not be written.
func (o output) failed(err error) error {
	var system syscall.Errno
	if errors.As(err, &system) {
		err = fmt.Errorf("%w: see that there is room and that you may write there, or name a file elsewhere", system)
	}
	return fmt.Errorf("%s could not be written: %w", o, err)
}
