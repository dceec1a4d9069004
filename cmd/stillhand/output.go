package main

import (
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

// output is one file to write. What stood there before stays until the new one is
// whole.
type output struct {
	name string // as the player gave it
	path string // without symbolic links
	mode fs.FileMode
	old  bool // a file is there, with this mode
}

// openOutput says what is wrong with writing a file called name: a recording is
// never overwritten, least of all the one of which it tells.
func openOutput(name, recording string) (output, error) {
	o := output{name: name, path: name, mode: 0o666}
	path, err := filepath.EvalSymlinks(name)
	if errors.Is(err, fs.ErrNotExist) {
		if folder := filepath.Dir(name); !isFolder(folder) {
			return o, fmt.Errorf("%s: there is no folder %s: make it first, or name a file elsewhere", name, folder)
		}
		return o, nil
	}
	if err != nil {
		return o, o.failed(err)
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return o, o.failed(err)
	case info.IsDir():
		return o, fmt.Errorf("%s: is a directory: name a file", name)
	case !info.Mode().IsRegular():
		return o, usage("%s: is a pipe or a device: name a file", name)
	}
	o.path, o.mode, o.old = path, info.Mode().Perm(), true
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return o, o.failed(err)
	}
	defer f.Close()
	var head [4]byte
	if _, err := io.ReadFull(f, head[:]); err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return o, o.failed(err)
	}
	if text := string(head[:]); text != "MThd" && text != "RIFF" {
		return o, nil
	}
	source, err := os.Stat(recording)
	if !strings.HasSuffix(path, lineEnding) || err == nil && os.SameFile(source, info) {
		return o, usage("%s is a recording: it will not be overwritten, name another file; only lines in *%s are replaced", name, lineEnding)
	}
	return o, nil
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// write writes the file that put makes.
func (o output) write(put func(io.Writer) error) error {
	part := o.path + ".part"
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, o.mode)
	if err != nil {
		return o.failed(err)
	}
	err = put(f)
	if err == nil && o.old { // the file's own mode, whatever new ones get
		err = f.Chmod(o.mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(part, o.path)
	}
	if err != nil {
		return o.failed(errors.Join(err, os.Remove(part)))
	}
	return nil
}

// failed says of an error that the file could not be written.
func (o output) failed(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	return fmt.Errorf("%s could not be written: %w", o.name, err)
}
