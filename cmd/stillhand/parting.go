package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"stillhand/session"
	"stillhand/session/dashboard"
)

// partingTime is how long a terminal may take for the last words once the
// program is told to end.
const partingTime = time.Second

// parting says the last words, once everything is kept. A terminal that does
// not read cannot hold up a program that is told to end. A crash in say is the
// caller's.
func (w *world) parting(ctx context.Context, say func()) {
	said := make(chan error, 1)
	go func() {
		var crash error
		defer func() { said <- crash }()
		defer session.Catch("the summary", &crash)
		say()
	}()
	var crash error
	select {
	case crash = <-said:
	case <-ctx.Done():
		select {
		case crash = <-said:
		case <-time.After(partingTime):
		}
	}
	if crash != nil {
		panic(crash)
	}
}

// lastWords ends a sitting of practice: what came of it, where the take is, and
// what care has to say of the day.
func (w *world) lastWords(ctx context.Context, result func(), saved bool, take string) {
	w.parting(ctx, func() {
		result()
		switch {
		case take != "":
			fmt.Fprint(w.out, dashboard.PathLines("take ", take, w.columns()))
		case saved:
			fmt.Fprintln(w.out, "no take: nothing was played")
		default:
			fmt.Fprintln(w.out, "no take: not saved")
		}
		w.increases(saved)
	})
}

// leaving is what the screen's end means: that the sitting is over is no
// failure.
func leaving(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}
