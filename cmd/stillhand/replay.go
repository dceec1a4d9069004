package main

import (
	"errors"

	"github.com/spf13/cobra"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/report"
	"stillhand/testdata"
)

var errNoTerminal = errors.New("the dashboard needs a terminal; use review for files")

func replayCommand(w *world) *cobra.Command {
	var speed float64
	c := &cobra.Command{
		Use: "replay FILE", Short: "The dashboard over a recording",
		Long: `The dashboard over a recording. FILE is a MIDI file, or a take, named as for
stillhand review. ? shows the keys and the signs, q leaves.`,
		RunE: func(cmd *cobra.Command, files []string) error {
			if !(speed >= 0.25 && speed <= 4) {
				return usage("--speed %g: from 0.25 to 4 are possible", speed)
			}
			path, err := findTake(cmd.Context(), files[0])
			if err != nil {
				return err
			}
			rec, who, err := openRecording(w, cmd, path)
			if err != nil {
				return err
			}
			return playBack(cmd.Context(), w, rec, who, speed)
		},
	}
	addSettings(c)
	addTrack(c)
	c.Flags().Float64Var(&speed, "speed", 1, "from 0.25 to 4")
	c.ValidArgsFunction = recordingNames(1)
	return c
}

func demoFile() (*midiin.File, error) {
	return midiin.ReadFile("demo.mid", testdata.Demo, midiin.FileOptions{})
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
			who.setup.Habits, _ = rec.Habits() // of whoever plays it, not of us
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
