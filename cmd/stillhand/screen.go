package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/dashboard"
	"stillhand/testdata"
)

func demoFile() (*midiin.File, error) {
	return midiin.ReadFile("demo.mid", testdata.Demo, midiin.FileOptions{})
}

// playBack shows a recording in the dashboard until the player leaves.
func playBack(ctx context.Context, w *world, rec *session.Recording, who *player, speed float64) error {
	if !w.terminal {
		return errNoTerminal
	}
	_, bell, err := who.controls()
	if err != nil {
		return err
	}
	events, err := rec.Events(ctx)
	if err != nil {
		return err
	}
	warning := ""
	if all := rec.File.Warnings(); len(all) > 0 {
		warning = all[0]
	}
	p := session.NewPlayer(ctx, session.PlayerOptions{
		Setup: who.setup, Name: rec.File.Name(), Events: events, Length: rec.File.Length(), Speed: speed, Warning: warning,
	})
	if ctx.Err() != nil {
		return ctx.Err()
	}
	playing, stop := context.WithCancel(ctx)
	defer stop()
	played := make(chan error, 1)
	go func() {
		played <- p.Run(playing)
		stop()
	}()
	err = w.show(playing, dashboard.Options{Feed: p, Controls: p, Bell: bell})
	stop()
	err = errors.Join(leaving(err), <-played)
	var said error
	func() { // after a crash the playback may be in any state
		defer session.Catch("the summary", &said)
		last := p.Whole()
		w.parting(ctx, func() { fmt.Fprint(w.out, dashboard.Summary(last, w.columns())) })
	}()
	return errors.Join(err, said)
}

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
			fmt.Fprint(w.out, dashboard.TakeLines("take ", take, w.columns()))
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
