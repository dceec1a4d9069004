package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"stillhand/coach"
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
input. Without it the only port there is. In the dashboard ? shows the keys and
the signs, q leaves.

The outline under the neck is the other system where it would cost least over
the same notes: saying where the hand is (w, Up, Down) moves the hand alone.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			source, err := w.open(strings.Join(args, ""))
			if err != nil {
				return err
			}
			over := func(live *session.Live, take string) {
				last := live.Pipeline().Whole(live.Latest())
				last.TakePath = take
				w.parting(cmd.Context(), func() { fmt.Fprint(w.out, dashboard.Summary(last, w.columns())) })
			}
			live, _, err := sit(cmd.Context(), w, who, sitting{source: source, save: !noSave, over: over})
			if live != nil {
				w.parting(cmd.Context(), func() { w.increases(!noSave) })
			}
			return err
		},
	}
	addSettings(c)
	addNoSave(c, &noSave)
	return c
}

func addNoSave(c *cobra.Command, noSave *bool) {
	c.Flags().BoolVar(noSave, "no-save", false, "keep neither take nor history")
}

// openSource opens what the player named, or the only port there is; a path says
// so by its slash, by being -, or by existing.
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

// sitting is what one live sitting is made of.
type sitting struct {
	source   midiin.Source
	save     bool
	practice session.Plan        // nil without practice
	beat     func(session.Pulse) // may be nil
	// over is told once the sitting is over and its take kept, while the take is
	// still being put into the history; may be nil.
	over func(live *session.Live, take string)
}

// sit plays one live sitting from beginning to end: dashboard, take, history.
// It returns what was played, nil if the sitting did not begin, and the take's
// path, "" if none was kept.
func sit(ctx context.Context, w *world, who *player, s sitting) (played *session.Live, path string, err error) {
	foot, bell, err := who.controls()
	if err != nil {
		return nil, "", err
	}
	who.setup.Keep = liveKeep
	asked := make(chan session.Action, 8)
	o := session.LiveOptions{Setup: who.setup, Source: s.source, Foot: foot, Practice: s.practice, Beat: s.beat, Screen: func(a session.Action) {
		select {
		case asked <- a:
		default: // a pedal pressed faster than the screen draws
		}
	}}
	var take *store.Recorder
	if s.save {
		if _, err := w.recoverTakes(ctx); err != nil {
			w.notice("stillhand: %v", crashed(w, err))
		}
		if take, err = record(who, s.source.Name()); err != nil {
			return nil, "", err
		}
		o.Recorder = recorder{take}
		o.Day = dayOf(time.Now())
		before, failed := loads(ctx, o.Day)
		if failed != nil {
			w.notice("stillhand: %v", failed)
		}
		o.Played = before
	}
	live := session.NewLive(o)
	// Whichever ends first, the source or the screen, ends the other.
	here, end := context.WithCancel(ctx)
	defer end()
	done := make(chan error, 1)
	go func() {
		done <- live.Run(here)
		end()
	}()
	lines := &plainFace{w: w}
	if w.terminal {
		err = w.show(here, dashboard.Options{
			Feed: live, Controls: live, Asked: asked, Bell: bell, Pedals: foot.Lines(" = "),
		})
	} else {
		lines.run(here, live)
	}
	end()
	err = errors.Join(leaving(err), <-done)
	if !w.terminal {
		lines.say(live.Latest()) // what the end has settled
	}
	var kept, added error
	if take != nil {
		path, kept = take.Finish()
	}
	var adding sync.WaitGroup
	if path != "" {
		adding.Go(func() {
			defer session.Catch("the history", &added)
			// The sitting's context may be over; what was played is kept all the same.
			added = w.addTake(context.Background(), path)
		})
	}
	var said error
	if s.over != nil {
		func() { // after a crash the sitting may be in any state
			defer session.Catch("the summary", &said)
			s.over(live, path)
		}()
	}
	adding.Wait()
	err = errors.Join(err, kept, added, said)
	if take != nil {
		// What an exercise makes a hand do is no habit, and a crash teaches nothing.
		if s.practice == nil && !errors.As(err, new(*session.CrashError)) {
			err = errors.Join(err, remember(who, live))
		}
	}
	return live, path, err
}

// takeName is a take's name in the history; "" if none was kept.
func takeName(path string) string {
	if path == "" {
		return ""
	}
	return filepath.Base(path)
}

// liveKeep is how many notes stay in memory while live, beyond what is
// counted: four minutes at eight notes a second, far more than any screen looks
// back. The take keeps them all.
const liveKeep = 2000

// controls are the player's pedals and whether the bell rings.
func (p *player) controls() (session.Foot, bool, error) {
	text, _ := p.values.Get("foot")
	foot, err := session.ParseFoot(text)
	if err != nil {
		return session.Foot{}, false, usage("%s: %w", p.values.Given("foot"), err)
	}
	bell, _ := p.values.Get("bell")
	if bell != "on" && bell != "off" {
		return session.Foot{}, false, usage("%s: %q is neither on nor off", p.values.Given("bell"), bell)
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
func record(who *player, source string) (*store.Recorder, error) {
	folder, err := store.DataDir()
	if err != nil {
		return nil, err
	}
	header := session.Head(who.values, who.profile.Habits, source)
	return store.NewRecorder(store.OS, store.TakesDir(folder), time.Now(), header), nil
}

// addTake puts a take into the history of its data folder.
func (w *world) addTake(ctx context.Context, path string) error {
	figures, err := w.figuresFor(ctx, path)
	if err != nil {
		return err
	}
	return withHistory(ctx, func(h *store.History) error { return h.Add(ctx, filepath.Base(path), figures) })
}

// recoverTakes turns what a crash left behind into takes, and says so. It returns
// of how many journals there was something to say: one of a sitting in which
// nothing was played goes without a word.
func (w *world) recoverTakes(ctx context.Context) (int, error) {
	folder, err := store.DataDir()
	if err != nil {
		return 0, err
	}
	found, err := store.Recover(store.OS, store.TakesDir(folder))
	for _, r := range found {
		for _, warning := range r.Warnings {
			w.notice("%s: %s", filepath.Base(r.Journal), warning)
		}
		if r.Path == "" {
			continue
		}
		w.notice("take recovered: %s (%s)", r.Path, coach.Many(r.Messages, "message"))
		err = errors.Join(err, w.addTake(ctx, r.Path))
	}
	return len(found), err
}

// remember keeps what the tracker has learnt of the player.
func remember(who *player, live *session.Live) error {
	if live.Latest().Notes == 0 {
		return nil
	}
	return who.profile.Learn(live.Pipeline().Habits())
}
