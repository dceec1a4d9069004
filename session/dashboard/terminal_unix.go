//go:build unix

package dashboard

import (
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/gdamore/tcell/v2"
)

// openTerminal returns the process's controlling terminal.
func openTerminal() (tcell.Screen, *steadyTty, error) {
	inner, err := tcell.NewDevTty()
	if err != nil {
		return nil, nil, err
	}
	tty := &steadyTty{Tty: inner}
	s, err := tcell.NewTerminfoScreenFromTty(tty)
	if err != nil {
		_ = inner.Close()
		return nil, nil, err
	}
	return s, tty, nil
}

// onSuspend rings c when somebody else asks the program to stop for a while
// (kill -TSTP); the key arrives as a key.
func onSuspend(c chan os.Signal) { signal.Notify(c, syscall.SIGTSTP) }

// suspend stops the process group, as a shell expects, and returns when the
// process is continued. A group without a shell cannot be stopped; then it
// returns after a moment. c is what onSuspend rings.
func suspend(c chan os.Signal) {
	const moment = 300 * time.Millisecond
	continued := make(chan os.Signal, 1)
	signal.Notify(continued, syscall.SIGCONT)
	defer signal.Stop(continued)
	signal.Reset(syscall.SIGTSTP)
	_ = syscall.Kill(0, syscall.SIGTSTP)
	select {
	case <-continued:
	case <-time.After(moment):
	}
	onSuspend(c)
}
