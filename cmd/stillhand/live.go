package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/dashboard"
	"stillhand/session/store"
)

func liveCommand(w *world) *cobra.Command {
	var noSave bool
	c := &cobra.Command{
		Use: "live [SOURCE]", Short: "Coach what is played now",
		Long: `Coach what is played now. SOURCE is a port's name (a part of it that no other
port has) or number, the path of a MIDI device or FIFO, or - for standard
input. Without it the only port there is.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			source, err := openSource(strings.Join(args, ""))
			if err != nil {
				return err
			}
			return sit(cmd.Context(), w, who, source, !noSave)
		},
	}
	addSettings(c)
	c.Flags().BoolVar(&noSave, "no-save", false, "keep neither take nor history")
	return c
}

// openSource opens what the player named; a path says so by its slash, by
// being -, or by existing.
func openSource(name string) (midiin.Source, error) {
	if name == "-" || strings.ContainsRune(name, os.PathSeparator) {
		return midiin.OpenStream(name)
	}
	if name != "" {
		if _, err := os.Stat(name); err == nil {
			return midiin.OpenStream(name)
		}
	}
	return midiin.OpenPort(name)
}

// sit plays one live sitting from beginning to end: dashboard, take, history.
func sit(ctx context.Context, w *world, who *player, source midiin.Source, save bool) error {
	foot, bell, err := who.controls()
	if err != nil {
		return err
	}
	who.setup.Keep = liveKeep
	o := session.LiveOptions{Setup: who.setup, Source: source, Foot: foot}
	var take *store.Recorder
	if save {
		if take, err = w.record(who, source.Name()); err != nil {
			w.notice("nothing will be saved: %v", err)
		} else {
			o.Recorder = recorder{take}
		}
	}
	live := session.NewLive(o)
	// The sitting ends with its own context: the screen's end or a signal ends
	// the source, and what was played is settled before anything is closed.
	sitting, end := context.WithCancel(ctx)
	defer end()
	played := make(chan error, 1)
	go func() { played <- live.Run(sitting) }()
	var shown error
	if w.terminal {
		shown = dashboard.Run(sitting, dashboard.Options{Feed: live, Controls: live, Bell: bell, Pedals: foot.Lines(" = ")})
	} else {
		face, done := context.WithCancel(sitting)
		go func() { err := <-played; done(); played <- err }()
		(&plainFace{w: w}).run(face, live)
	}
	end()
	err = errors.Join(shown, <-played)
	if take != nil {
		path, finishErr := take.Finish()
		if finishErr == nil && live.Latest().Notes > 0 {
			w.notice("take kept: %s", path)
		}
		err = errors.Join(err, finishErr, w.remember(who, live, path))
	}
	fmt.Fprint(w.out, dashboard.Summary(live.Latest()))
	return err
}

// liveKeep is how many notes stay in memory while live, beyond what is
// counted: forty minutes at eight notes a second, far more than any screen
// looks back. The take keeps them all.
const liveKeep = 20000

// controls are the player's pedals and whether the bell rings.
func (p *player) controls() (session.Foot, bool, error) {
	text, _ := p.values.Get("foot")
	foot, err := session.ParseFoot(text)
	if err != nil {
		return session.Foot{}, false, usageError{err}
	}
	bell, origin := p.values.Get("bell")
	if bell != "on" && bell != "off" {
		return session.Foot{}, false, usage("--bell (from %s): %q is neither on nor off", origin, bell)
	}
	return foot, bell == "on", nil
}

// recorder is a store.Recorder as a session takes it.
type recorder struct{ *store.Recorder }

func (r recorder) Status() (path, warning string) {
	s := r.Recorder.Status()
	return s.Path, s.Warning
}

// record begins the take of a sitting.
func (w *world) record(who *player, source string) (*store.Recorder, error) {
	folder, err := store.DataDir()
	if err != nil {
		return nil, err
	}
	var header store.TakeHeader
	for _, f := range session.Head(who.values, who.profile.Habits, source) {
		header = append(header, store.Field(f))
	}
	return store.NewRecorder(store.OS, store.TakesDir(folder), time.Now(), header)
}

// remember keeps what the tracker has learnt of the player.
func (w *world) remember(who *player, live *session.Live, path string) error {
	if live.Latest().Notes == 0 {
		return nil
	}
	who.profile.Habits = live.Pipeline().Habits()
	return who.profile.Write()
}
