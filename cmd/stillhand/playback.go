package main

import (
	"context"
	"errors"
	"fmt"

	"stillhand/session"
	"stillhand/session/dashboard"
)

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
	if all := rec.Warnings(who.setup); len(all) > 0 {
		warning = all[0]
	}
	p := session.NewPlayer(ctx, session.PlayerOptions{
		Setup: rec.Hearing(who.setup), Name: rec.File.Name(), Events: events, Length: rec.File.Length(), Bar: rec.File.Bar,
		Speed: speed, Warning: warning,
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
