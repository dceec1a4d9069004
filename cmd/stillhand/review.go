package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/report"
)

func reviewCommand(w *world) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use: "review FILE...", Short: "Answers about recordings, without a screen",
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			for _, path := range files {
				rec, r, err := reviewFile(cmd.Context(), w, cmd, path)
				if err != nil {
					return err
				}
				if asJSON {
					err = report.JSON(w.out, r)
				} else {
					err = report.Text(w.out, r, rec.File)
				}
				if err != nil {
					return err
				}
			}
			return nil
		},
	}
	addSettings(c)
	addTrack(c)
	c.Flags().BoolVar(&asJSON, "json", false, "print one JSON document")
	return c
}

func addTrack(c *cobra.Command) {
	c.Flags().String("track", "auto", "track to read: a number from 1, part of a name, or auto")
}

// openRecording reads the file at path and the values in force for it.
func openRecording(w *world, c *cobra.Command, path string) (*session.Recording, *player, error) {
	track, err := c.Flags().GetString("track")
	if err != nil {
		return nil, nil, err
	}
	rec, err := session.OpenRecording(path, midiin.FileOptions{Track: track})
	if err != nil {
		return nil, nil, err
	}
	who, err := whoPlays(w, c, rec.Lookup)
	if err != nil {
		return nil, nil, err
	}
	if h, ok := rec.Habits(); ok {
		who.setup.Habits = h
	}
	return rec, who, nil
}

func reviewFile(ctx context.Context, w *world, c *cobra.Command, path string) (*session.Recording, *session.Review, error) {
	rec, who, err := openRecording(w, c, path)
	if err != nil {
		return nil, nil, err
	}
	r, err := rec.Review(ctx, who.setup)
	if err != nil {
		return nil, nil, err
	}
	return rec, r, playable(r)
}

// playable reports a recording with no note to say anything about.
func playable(r *session.Review) error {
	if r.Input.Notes > 0 {
		return nil
	}
	if n := len(r.Input.Dropped); n > 0 {
		return fmt.Errorf("%s: none of its %d notes can be played on this neck (first reason: %s); try --neck or --track", r.Source, n, r.Input.Dropped[0].Reason)
	}
	return fmt.Errorf("%s: no note to be played in it (%s); try --track", r.Source, r.Input.Track)
}

var errNoTerminal = errors.New("the dashboard needs a terminal; use review for files")

func replayCommand(w *world) *cobra.Command {
	var speed float64
	c := &cobra.Command{
		Use: "replay FILE", Short: "The dashboard over a recording",
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			if !(speed >= 0.25 && speed <= 4) {
				return usage("--speed %g: from 0.25 to 4 are possible", speed)
			}
			rec, who, err := openRecording(w, cmd, files[0])
			if err != nil {
				return err
			}
			return playBack(cmd.Context(), w, rec, who, speed)
		},
	}
	addSettings(c)
	addTrack(c)
	c.Flags().Float64Var(&speed, "speed", 1, "from 0.25 to 4")
	return c
}

func demoCommand(w *world) *cobra.Command {
	c := &cobra.Command{
		Use: "demo", Short: "The built-in recording in the dashboard; without a terminal, its review",
		RunE: func(cmd *cobra.Command, _ []string) error {
			f, err := demoFile()
			if err != nil {
				return err
			}
			rec := session.NewRecording(f)
			who, err := whoPlays(w, cmd, rec.Lookup)
			if err != nil {
				return err
			}
			if w.terminal {
				return playBack(cmd.Context(), w, rec, who, 1)
			}
			r, err := rec.Review(cmd.Context(), who.setup)
			if err != nil {
				return err
			}
			return report.Text(w.out, r, rec.File)
		},
	}
	addSettings(c)
	return c
}

// notice says something that is no result and no failure.
func (w *world) notice(format string, args ...any) {
	fmt.Fprintf(w.err, format+"\n", args...)
}
