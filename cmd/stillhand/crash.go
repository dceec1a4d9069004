package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"stillhand/session"
	"stillhand/session/store"
)

// crashed adds to an error with a crash in it where its stack stands: in a file
// in the data folder, so that the error stays one line.
// A crash that comes again, as of one recording after another, is kept once.
func crashed(w *world, err error) error {
	var crash *session.CrashError
	if !errors.As(err, &crash) {
		return err
	}
	if w.crashes == nil {
		w.crashes = map[string]string{}
	}
	what := fmt.Sprint(crash.Value)
	path, failed := w.crashes[what], error(nil)
	if path == "" {
		path, failed = keepCrash(crash, w.args)
	}
	if w.crashes[what] = path; failed != nil {
		fmt.Fprintln(w.err, printable(string(crash.Stack)))
		return errors.Join(err, fmt.Errorf("please report it with the stack above (not kept: %w)", failed))
	}
	return errors.Join(err, fmt.Errorf("please report it with %s", path))
}

// keepCrash writes what a developer needs to know of a crash and returns where.
func keepCrash(crash *session.CrashError, args []string) (path string, err error) {
	folder, err := store.DataDir()
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	now := time.Now().UTC()
	text := fmt.Sprintf("stillhand %s %s/%s\n%s\nstillhand %s\n%v\n\n%s", version(), runtime.GOOS, runtime.GOARCH,
		now.Format(time.RFC3339), strings.Join(args, " "), crash, crash.Stack)
	path = filepath.Join(folder, "crash-"+now.Format("2006-01-02T150405.000Z")+".txt")
	return path, os.WriteFile(path, []byte(text), 0o600)
}
