package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/dashboard"
	"stillhand/session/store"
)

func reachCommand(w *world) *cobra.Command {
	var noSave bool
	c := &cobra.Command{
		Use: "reach [SOURCE]", Short: "Find and keep the comfortable reach",
		Long: `Find the comfortable reach. It asks for a window high on the neck, where frets
are close, and goes down one fret at a time; say of each whether it lies at ease
(e or u, or pedals bound to easy and uneasy). With SOURCE, as for live, playing
the next window down says as much as e. At the end it shows what was found, and
whether a note of it was heard or it is your word alone; e keeps it in the
profile with its date, u asks again. The answer is your own: nothing is
measured.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			if err := coach.NoWindow(who.setup.Neck, who.setup.System, 0); err != nil {
				return fmt.Errorf("reach: %w", err)
			}
			if !w.terminal {
				return errors.New("reach asks in a terminal: run it in one, or give --reach 105mm, or write it into the profile")
			}
			var source midiin.Source = silence{}
			if len(args) == 1 {
				if source, err = w.open(args[0]); err != nil {
					return err
				}
			}
			return findReach(cmd.Context(), w, who, source, !noSave)
		},
	}
	addSettings(c)
	addNoSave(c, &noSave)
	return c
}

// silence is the source of a player who only answers.
type silence struct{}

func (silence) Name() string { return "no instrument" }

func (silence) Run(ctx context.Context, _ func(midiin.Event)) error {
	<-ctx.Done()
	return nil
}

// findReach asks, and keeps the newest answer.
func findReach(ctx context.Context, w *world, who *player, source midiin.Source, save bool) error {
	neck, system := who.setup.Neck, who.setup.System
	plan := func(_ time.Duration, before []session.Practice) session.Practice {
		p := session.NewReachPractice(neck, system)
		p.Unsaved = !save
		if kept := session.LastKept(before); kept != nil && save {
			found, _ := kept.Reach(0)
			p.KeptMM = found.MM
		}
		return p
	}
	live, take, err := sit(ctx, w, who, sitting{source: source, save: save, practice: plan})
	if live == nil {
		return err
	}
	now := time.Now()
	none := fmt.Sprintf("no window of %s fingers was easy", system.Name)
	said, where := "no reach was found and confirmed with e: nothing is kept", ""
	done := live.Practised()
	switch p := session.LastKept(done); {
	case p != nil:
		found, _ := p.Reach(dayOf(now))
		said = fmt.Sprintf("%s, %s", found.Text(), p.Ground())
		if done[len(done)-1] != session.Practice(p) {
			said = fmt.Sprintf("in the last search %s; before it, %s", none, said)
		}
		if !save {
			said += "; not kept (--no-save)"
			break
		}
		said += reachBefore(ctx)
		if failed := keepReach(who, found, now, takeName(take)); failed != nil {
			err = errors.Join(err, failed)
			break
		}
		where = dashboard.PathLines(fmt.Sprintf("reach %s kept in ", who.profile.Settings["reach"]), who.profile.Path, w.columns())
	case len(done) > 0:
		said = none + ": nothing is kept"
	}
	w.lastWords(ctx, func() { fmt.Fprint(w.out, w.paragraph("", said), where) }, save, take)
	return err
}

// reachBefore says what was found last; "" the first time.
func reachBefore(ctx context.Context) (said string) {
	// What cannot be read is said when the new one is kept.
	_ = withHistory(ctx, func(h *store.History) error {
		all, err := h.Reaches(ctx, store.Filter{})
		if n := len(all); n > 0 {
			said = fmt.Sprintf("; on %s it was %.0f mm", dateOf(all[n-1].Day), all[n-1].MM)
		}
		return err
	})
	return said
}

// keepReach writes a reach to the profile, with its date, and to the history
// once it stands there.
func keepReach(who *player, r coach.Reach, now time.Time, take string) error {
	if err := coach.ValidReach(r.MM); err != nil {
		return fmt.Errorf("not kept: %w", err)
	}
	// Hundredths: what was found must still hold the window it comes from.
	if err := who.profile.SetReach(fmt.Sprintf("%.2fmm", r.MM), now.Format(time.DateOnly)); err != nil {
		return err
	}
	ctx := context.Background()
	return withHistory(ctx, func(h *store.History) error {
		return h.AddReach(ctx, store.Reach{
			At: now, Day: r.Day, MM: r.MM, Position: r.Position, System: r.System, AtLeast: r.AtLeast,
			ScaleMM: who.setup.Neck.ScaleMM, Take: take,
		})
	})
}
