package main

import (
	"context"
	"fmt"

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
	events, err := rec.Events(ctx)
	if err != nil {
		return err
	}
	warning := ""
	if all := rec.File.Warnings(); len(all) > 0 {
		warning = all[0]
	}
	p := session.NewPlayer(session.PlayerOptions{
		Setup: who.setup, Name: rec.File.Name(), Events: events, Length: rec.File.Length(), Speed: speed, Warning: warning,
	})
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	played := make(chan error, 1)
	go func() { played <- p.Run(ctx) }()
	err = dashboard.Run(ctx, dashboard.Options{Feed: p, Controls: p})
	stop()
	<-played
	fmt.Fprint(w.out, dashboard.Summary(p.Latest()))
	return leaving(err)
}
