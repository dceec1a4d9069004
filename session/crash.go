package session

import (
	"fmt"
	"runtime/debug"
)

// CrashError is a panic in one part of a sitting, caught so that the terminal
// is restored and the take kept.
type CrashError struct {
	Part  string // "the input", "the sitting"
	Value any
	Stack []byte // of the goroutine that panicked
}

func (e *CrashError) Error() string {
	return fmt.Sprintf("%s crashed: %v; the take is kept, please report this", e.Part, e.Value)
}

// catch is deferred: it turns a panic in part into a *CrashError.
func catch(part string, err *error) {
	if v := recover(); v != nil {
		*err = &CrashError{part, v, debug.Stack()}
	}
}
