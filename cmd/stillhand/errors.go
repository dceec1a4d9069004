package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"stillhand/session/dashboard"
)

// Exit codes (a promise to scripts).
const (
	exitDone        = 0
	exitFailed      = 1
	exitUsage       = 2
	exitInterrupted = 130
)

// usageError is a mistake in how the program was called.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

func usage(format string, args ...any) error {
	return usageError{fmt.Errorf(format, args...)}
}

// exitCode says err on w, as one line, and returns the code to exit with.
func exitCode(ctx context.Context, w io.Writer, err error) int {
	if errors.Is(err, dashboard.ErrInterrupted) || ctx.Err() != nil {
		return exitInterrupted
	}
	if err != nil {
		fmt.Fprintln(w, "stillhand: "+strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, new(usageError)):
		return exitUsage
	}
	return exitFailed
}
