package midiin

import (
	"fmt"
	"runtime/debug"
)

// CrashError is a panic in a goroutine of this package, or in a driver's thread
// on its way through it, turned into the error of the source or the click that
// it served: a panic that leaves its goroutine would end the program with the
// terminal in the state of a running screen.
type CrashError struct {
	Value any
	Stack []byte // of the goroutine that panicked
}

func (e *CrashError) Error() string { return fmt.Sprintf("crashed: %v", e.Value) }

// catch is deferred: it turns a panic into a *CrashError.
func catch(err *error) {
	if v := recover(); v != nil {
		*err = &CrashError{v, debug.Stack()}
	}
}
