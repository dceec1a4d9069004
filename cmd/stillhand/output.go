package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
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
		if folder := filepath.Dir(string(o)); !isFolder(folder) {
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

// write writes the file that put makes. What stood there stays until the new one
// is made.
func (o output) write(put func(io.Writer) error) error {
	var made bytes.Buffer
	if err := put(&made); err != nil {
		return o.failed(err)
	}
	if err := os.WriteFile(string(o), made.Bytes(), 0o666); err != nil {
		return o.failed(err)
	}
	return nil
}

// failed says of an error that the file could not be written.
func (o output) failed(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	return fmt.Errorf("%s could not be written: %w", o, err)
}
