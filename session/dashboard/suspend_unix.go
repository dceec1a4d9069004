//go:build unix

package dashboard

import (
	"os"
	"os/signal"
	"syscall"
	"time"
)

// onContinue rings c when the process goes on after it was stopped.
func onContinue(c chan<- os.Signal) { signal.Notify(c, syscall.SIGCONT) }

// suspend stops the process group, as a shell expects, and reports whether the
// process was stopped and continued. The kernel does not stop a group that no
// shell could continue; then suspend returns after a moment.
//
// Nobody may have asked to be notified of SIGTSTP: Go would keep its handler,
// and the process would not stop.
func suspend() (continued bool) {
	const moment = 300 * time.Millisecond
	c := make(chan os.Signal, 1)
	onContinue(c)
	defer signal.Stop(c)
	if err := syscall.Kill(0, syscall.SIGTSTP); err != nil {
		return false
	}
	select {
	case <-c:
		return true
	case <-time.After(moment):
		return false
	}
}
