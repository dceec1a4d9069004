package session

import (
	"errors"
	"fmt"
	"runtime/debug"

	"stillhand/midiin"
)

// CrashError is a panic in one part of the program, caught so that the terminal
// is restored and the take kept.
type CrashError struct {
	Part  string // "the input", "the sitting", "the screen"
	Value any
	Stack []byte // of the goroutine that panicked
}

func (e *CrashError) Error() string { return fmt.Sprintf("%s crashed: %v", e.Part, e.Value) }

// Catch is deferred: it turns a panic in part into a *CrashError. Panicking
// with a *CrashError hands on one that was caught in another goroutine.
func Catch(part string, err *error) {
	switch v := recover().(type) {
	case nil:
	case *CrashError:
		*err = v
	default:
		*err = &CrashError{part, v, debug.Stack()}
	}
}

// Crashed returns err, as a *CrashError in part if it is a crash in midiin.
func Crashed(part string, err error) error {
	var crash *midiin.CrashError
	if errors.As(err, &crash) {
		return &CrashError{part, crash.Value, crash.Stack}
	}
	return err
}
