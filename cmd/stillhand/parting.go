package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"stillhand/session/dashboard"
)

// partingTime is how long a terminal may take for the last words once the
// program is told to end.
const partingTime = time.Second

// parting says the last words, once everything is kept. A terminal that does
// not read cannot hold up a program that is told to end.
func (w *world) parting(ctx context.Context, say func()) {
	said := make(chan struct{})
	go func() {
		say()
		close(said)
	}()
	select {
	case <-said:
		return
	case <-ctx.Done():
	}
	select {
	case <-said:
	case <-time.After(partingTime):
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
