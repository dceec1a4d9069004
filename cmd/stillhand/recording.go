package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"stillhand/midiin"
	"stillhand/session"
)

// openRecording reads the file at path, as findTake gave it, and the values in force for it.
func openRecording(w *world, c *cobra.Command, path string) (*session.Recording, *player, error) {
	track, err := c.Flags().GetString("track")
	if err != nil {
		return nil, nil, err
	}
	o := midiin.FileOptions{Track: track}
	switch path {
	case "":
		return nil, nil, usage("\"\" names no recording: name a file, or a take as stillhand history shows it")
	case "-":
		return nil, nil, usage("-: a recording is read from a file, not from standard input: name one")
	}
	who, wrong := whoPlays(w, c, nil) // said once the file is there
	if wrong == nil {
		o.Strings = who.setup.Strings
	}
	rec, err := session.OpenRecording(path, o)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil, fmt.Errorf("%w: name a file, or a take as stillhand history shows it", err)
	case errors.As(err, new(syscall.Errno)):
		return nil, nil, fmt.Errorf("%w: see that it is a file that you may read, or name another", err)
	case err != nil:
		return nil, nil, err
	}
	if rec.File.Drums() && !c.Flags().Changed("track") && !rec.Owned() {
		return nil, nil, fmt.Errorf("%s: only drums (channel 10) have notes: name another file, or with --track the track if it is a bass all the same", path)
	}
	if rec.Owned() {
		who, wrong = whoPlays(w, c, rec.Lookup)
		if _, damaged := setupOf(rec); wrong != nil && damaged != nil {
			wrong = damaged
		}
	}
	if wrong != nil {
		return nil, nil, wrong
	}
	// A file may be anybody's: what was learnt of us is not of them.
	who.setup.Habits, _ = rec.Habits()
	return rec, who, nil
}

// setupOf is what a take was played with, by its head alone.
func setupOf(take *session.Recording) (session.Setup, error) {
	setup, err := session.Resolve(session.Layer{Origin: session.FromTake, Lookup: take.Lookup}).Setup()
	if err != nil {
		err = fmt.Errorf("%s: %w", take.File.Name(), err)
	}
	return setup, err
}

// recordings lists the files and takes named, and those in the folders named but for hidden
// ones and lines that were written of them. Folders in those that could not be read are left out,
// each with an error in unread.
func recordings(ctx context.Context, names []string) (paths []string, unread []error, err error) {
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil || !info.IsDir() {
			path, err := findTake(ctx, name)
			if err != nil {
				return nil, nil, err
			}
			paths = append(paths, path) // reading it says what is wrong
			continue
		}
		before := len(paths) + len(unread)
		root := filepath.Clean(name) + string(filepath.Separator) // what a link leads to, not the link
		_ = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			switch hidden := path != root && strings.HasPrefix(d.Name(), "."); {
			case hidden && d.IsDir():
				return fs.SkipDir
			case hidden:
			case err != nil:
				unread = append(unread, err)
			case !d.IsDir() && slices.Contains(endings, strings.ToLower(filepath.Ext(path))) && !strings.HasSuffix(path, lineEnding):
				paths = append(paths, path)
			}
			return nil
		})
		if len(paths)+len(unread) == before {
			return nil, nil, fmt.Errorf("%s: no recording in this folder (%s): name another, or a file", name, strings.Join(endings, " "))
		}
	}
	return paths, unread, nil
}

// endings are those of MIDI files in use (common practice; .rmi is RP-029's).
var endings = []string{".mid", ".midi", ".smf", ".rmi"}
