package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() { os.Exit(start(system())) }

// start carries out the process's command line until it ends or is interrupted.
func start(w *world) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	return run(ctx, os.Args[1:], w)
}
