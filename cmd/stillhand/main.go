package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"
)

func main() { os.Exit(start(system())) }

// insistence is how long after a signal another one means that the program is to
// end at once. What comes sooner tells of the same thing: a terminal that closes
// tells a program twice, and what was played is still being kept.
const insistence = 500 * time.Millisecond

// start carries out the process's command line until it ends or is interrupted. A
// second signal is the system's own: it ends what does not look at the first. The
// process exits after it: signals stay caught, or a late one would take the code.
// Under nohup (POSIX) a hang-up stays ignored.
func start(w *world) int {
	ends := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) {
		ends = append(ends, syscall.SIGHUP)
	}
	ctx, stop := signal.NotifyContext(context.Background(), ends...)
	context.AfterFunc(ctx, func() { time.AfterFunc(insistence, stop) })
	return run(ctx, os.Args[1:], w)
}
