package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"stillhand/session"
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

// printable is text without what a terminal would act on: names of files may hold
// anything. Line ends and tabs stay, joiners of letters and signs too; other white
// space becomes a blank, the rest a sign that something was there.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' {
			return r
		}
		return session.Printable(r)
	}, text)
}

// oneLine is printable text on one line. Joined errors stand a line each.
func oneLine(text string) string {
	return strings.ReplaceAll(printable(strings.ReplaceAll(text, "\n", "; ")), "\t", " ")
}

// badFlag says in our words what a flag's value should have been.
func badFlag(c *cobra.Command, err error) error {
	var value *pflag.InvalidValueError
	if errors.As(err, &value) {
		is := map[string]string{"int": "is not a whole number", "float64": "is not a number", "bool": "is neither true nor false"}[value.GetFlag().Value.Type()]
		if is != "" {
			err = fmt.Errorf("--%s: %q %s", value.GetFlag().Name, value.GetValue(), is)
		}
	}
	return usage("%w; see %s --help", err, c.CommandPath())
}

// exitCode says err on w, as one line, and returns the code to exit with. That the
// program was interrupted goes without saying; what else went wrong does not.
func exitCode(ctx context.Context, w io.Writer, err error) int {
	interrupted := errors.Is(err, dashboard.ErrInterrupted) || ctx.Err() != nil
	if interrupted {
		err = besides(err)
	}
	if err != nil {
		fmt.Fprintln(w, "stillhand: "+oneLine(err.Error()))
	}
	switch {
	case interrupted:
		return exitInterrupted
	case err == nil:
		return exitDone
	case errors.As(err, new(usageError)):
		return exitUsage
	}
	return exitFailed
}

// besides is what err holds besides an interruption, nil if nothing.
func besides(err error) error {
	if !errors.Is(err, dashboard.ErrInterrupted) && !errors.Is(err, context.Canceled) {
		return err
	}
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		if inner := errors.Unwrap(err); inner != nil {
			return besides(inner)
		}
		return nil
	}
	var others []error
	for _, one := range joined.Unwrap() {
		others = append(others, besides(one))
	}
	return errors.Join(others...)
}
