package main

import (
	"context"
	"fmt"

	"stillhand/midiin"
	"stillhand/session"
)

// learn waits for a pedal of the source called name, and binds it to action in
// the profile.
func (w *world) learn(ctx context.Context, who *player, action, name string) error {
	if _, err := session.ParseAction(action); err != nil {
		return usageError{fmt.Errorf("--learn: %w", err)}
	}
	foot, err := session.ParseFoot(who.profile.Settings["foot"])
	if err != nil {
		return usage("profile %s: %w", who.profile.Path, err)
	}
	source, err := w.open(name)
	if err != nil {
		return err
	}
	w.notice("press the pedal for %s on %s", action, source.Name())
	listening, stop := context.WithCancel(ctx)
	defer stop()
	controller := -1
	err = source.Run(listening, func(e midiin.Event) {
		if number, ok := foot.Learn(e); ok && controller < 0 {
			controller = number
			stop()
		}
	})
	switch {
	case err != nil:
		return err
	case ctx.Err() != nil:
		return ctx.Err()
	case controller < 0:
		return fmt.Errorf("%s ended before a pedal was pressed: nothing is kept", source.Name())
	}
	before, err := foot.Bind(controller, action)
	if err != nil {
		return err
	}
	err = who.profile.Set(session.Field{Key: "foot", Value: foot.String()})
	if err != nil {
		return err
	}
	fmt.Fprintf(w.out, "cc%d=%s is kept in %s\n", controller, action, who.profile.Path)
	if before != "" && before != action {
		w.notice("cc%d did %s before", controller, before)
	}
	if _, origin := who.values.Get("foot"); origin == session.FromFlag || origin == session.FromEnv {
		w.notice("foot comes from the %s now, not from the profile", origin)
	}
	return nil
}
