package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/store"
)

// roundOptions are the round's own flags.
type roundOptions struct {
	kind        coach.RoundKind
	tempo       float64
	bars, beats int
	low, high   int
	budget      int
	click       string
	save        bool
}

func roundCommand(w *world) *cobra.Command {
	var o roundOptions
	var noSave bool
	c := &cobra.Command{
		Use: "round hold|budget|call [SOURCE]", Short: "Improvise against the coach: hold, budget, call",
		Long: fmt.Sprintf(`Improvise against the coach, in time.

  hold     stay in the window it names
  budget   so many bars, so many shifts
  call     it calls a new window every two bars, and shows it half a bar ahead:
           be there on the bar line, and before the next beat

A note begins: it is beat 1 of a bar that is counted in, and bar 1 comes after
that. After the result and a silence of five seconds the next note begins again,
and other windows are named; with --no-save each sitting starts from the same ones.
SOURCE as for live.

A bar is worth %d points, and a score never falls under 0. A note outside the
window costs %d, at most %d in a bar; a shift over the budget %d. A window called
loses, of the %d for its two bars, a beat's share for each whole beat until you
are there, and all of it when you never are. A note that lies in the window costs
nothing, wherever the hand is thought to be. One up to half a beat before a bar
line where another window is called counts as on the line if it may lie there, and
costs only if it lies in neither. Notes that the tracker is not sure of cost
nothing, and a bar of nothing else does not count, nor one of hold or budget in
which no note is struck, nor one of which the input was gone for more than half a
beat. Of budget a note is sure when it is sure whether the hand shifted to it,
also where its place is a guess.`,
			coach.BarPoints, coach.LeavePoints, coach.BarPoints, coach.ShiftPoints, coach.BarsPerCall*coach.BarPoints),
		ValidArgs: []string{"hold", "budget", "call"},
		RunE: func(cmd *cobra.Command, args []string) error {
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			o.kind, o.save = coach.RoundKind(args[0]), !noSave
			if !cmd.Flags().Changed("budget") {
				o.budget = o.bars / 2
			} else if o.kind != coach.RoundBudget {
				return usage("--budget goes with round budget, not with %s", o.kind)
			}
			if err := coach.NoWindow(who.setup.Neck, who.setup.System, who.setup.ReachMM); err != nil {
				return fmt.Errorf("round: %w", err)
			}
			r := o.round(who.setup)
			r.Beat = time.Second // of no account: NewMeter checks the tempo
			if err := r.Validate(); errors.Is(err, coach.ErrNarrow) {
				return usage("%w; --low, --high and --reach set the region", err)
			} else if err != nil {
				return usage("%w; see stillhand round --help", err)
			}
			return improvise(cmd.Context(), w, who, o, r, strings.Join(args[1:], ""))
		},
	}
	addSettings(c)
	addNoSave(c, &noSave)
	f := c.Flags()
	f.Float64Var(&o.tempo, "tempo", 90, "beats a minute")
	f.IntVar(&o.bars, "bars", 8, "bars to play")
	f.IntVar(&o.beats, "beats", 4, "beats in a bar")
	f.IntVar(&o.low, "low", 0, "lowest position that may be named; 0 is the lowest within reach")
	f.IntVar(&o.high, "high", 0, "highest position that may be named; 0 is the octave, the neck's last, or what a call needs")
	f.IntVar(&o.budget, "budget", 0, "shifts for all bars")
	f.Lookup("budget").DefValue = "one in two bars"
	f.StringVar(&o.click, "click", "", "MIDI output that clicks on the beat, channel 10")
	return c
}

// round is the plan that the options ask for, but for its beat and number. Some
// window must lie within reach.
func (o roundOptions) round(s session.Setup) coach.Round {
	r := coach.Round{Kind: o.kind, Neck: s.Neck, System: s.System, Low: o.low, High: o.high, Bars: o.bars, Beats: o.beats, Budget: o.budget}
	top := s.Neck.Positions(s.System.Width())
	if r.Low == 0 {
		r.Low = coach.LowestWithin(s.Neck, s.System.Width(), s.ReachMM)
	}
	if r.High == 0 {
		r.High = max(r.Low, min(top, coach.StartPosition))
		if r.Kind == coach.RoundCall {
			r.High = max(r.High, min(top, r.Low+coach.LeastCalled-1))
		}
	}
	return r
}

// settings are what two rounds must share for their scores to be compared, as
// the history keeps it: every number with the plural.
func (o roundOptions) settings(r coach.Round) string {
	return o.describe(r, func(n int, noun string) string { return fmt.Sprintf("%d %ss", n, noun) })
}

// describe is the same with each count as many writes it.
func (o roundOptions) describe(r coach.Round, many func(n int, noun string) string) string {
	text := fmt.Sprintf("%s fingers, positions %d to %d, %s of %d at %g", r.System.Name, r.Low, r.High, many(r.Bars, "bar"), r.Beats, o.tempo)
	if r.Kind == coach.RoundBudget {
		text += ", " + many(r.Budget, "shift")
	}
	return text
}

// noBest is the best score where there is none: a score may be 0.
const noBest = -1

// improvise plays a sitting of rounds, prints the results and keeps them.
func improvise(ctx context.Context, w *world, who *player, o roundOptions, r coach.Round, name string) (err error) {
	settings := o.settings(r)
	best := noBest
	if o.save {
		err := withHistory(ctx, func(h *store.History) error {
			rounds, err := h.Rounds(ctx, store.Filter{})
			for _, old := range rounds {
				if old.Kind == string(r.Kind) {
					r.Nth++
				}
			}
			if before, found := store.BestRound(rounds, string(r.Kind), settings); found {
				best = before.Points
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	if _, err := session.NewMeter(0, o.tempo, o.beats, 1, o.bars); err != nil {
		return usage("%w; see stillhand round --help", err)
	}
	source, err := w.open(name)
	if err != nil {
		return err
	}
	s := sitting{source: source, save: o.save, practice: roundPlan(r, o.tempo, best)}
	if o.click != "" {
		click, err := midiin.OpenClick(o.click)
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, session.Crashed("the click", click.Close())) }()
		s.beat = func(b session.Pulse) { click.Strike(b.Beat == 1) }
	}
	live, take, err := sit(ctx, w, who, s)
	if live == nil {
		return err
	}
	if o.save {
		err = errors.Join(err, keepRounds(live, settings, takeName(take)))
	}
	w.lastWords(ctx, func() { say(w, live.Practised(), o.describe(r, coach.Many), best) }, o.save, take)
	return err
}

// roundPlan makes rounds like r, each with the next number and the best score
// so far, or noBest.
func roundPlan(r coach.Round, tempo float64, best int) session.Plan {
	return func(start time.Duration, before []session.Practice) session.Practice {
		next, most := r, best
		next.Nth += len(before)
		for _, p := range before {
			if s := p.(*session.RoundPractice).Score(); s.Enough {
				most = max(most, s.Points)
			}
		}
		m, err := session.NewMeter(start, tempo, r.Beats, 1, r.Bars)
		if err != nil {
			panic("round: " + err.Error()) // the command has checked the same values
		}
		p, err := session.NewRoundPractice(next, m, max(0, most))
		if err != nil {
			panic("round: " + err.Error())
		}
		return p
	}
}

// say prints the results of a sitting's rounds; best is the best score before them,
// or noBest.
func say(w *world, done []session.Practice, settings string, best int) {
	if len(done) == 0 {
		w.tell("", "no round came to its end: nothing is kept")
	}
	for _, p := range done {
		round := p.(*session.RoundPractice)
		score := round.Score()
		w.tell("", "Round %s, number %d: %s", round.Plan().Kind, round.Plan().Nth+1, settings)
		switch {
		case !score.Enough:
			w.tell("  ", "%s", round.Doubt())
			continue
		case best == noBest:
			w.tell("  ", "%d of %d points, the first score with these settings", score.Points, score.Of)
		case score.Points > best:
			w.tell("  ", "%d of %d points, the best so far; it was %d", score.Points, score.Of, best)
		default:
			w.tell("  ", "%d of %d points, best so far %d", score.Points, score.Of, best)
		}
		best = max(best, score.Points)
		if text := round.Doubt(); text != "" {
			w.tell("  ", "%s", text)
		}
		for _, l := range score.Losses {
			fmt.Fprint(w.out, w.entry(fmt.Sprintf("  -%-2d ", l.Points), l.Text))
		}
		if len(score.Arrivals) > 0 {
			w.tell("  ", "in the window, seconds after the bar line: %s", arrivalText(round.Plan().System, score.Arrivals))
		}
		w.tell("  ", "%s, %d too doubtful to count, %s",
			coach.Many(score.Notes, "note"), score.Doubtful, coach.Many(score.Shifts, "shift"))
	}
}

// arrivalText lists how many seconds after its bar line the hand was in each
// window called.
func arrivalText(system coach.System, arrivals []coach.Arrival) string {
	parts := make([]string, len(arrivals))
	for i, a := range arrivals {
		when := fmt.Sprintf("%.1f", a.After.Seconds())
		switch {
		case a.Unclear:
			when = "not known"
		case a.After < 0:
			when = "never"
		case !a.Sure:
			when = "perhaps " + when
		}
		parts[i] = fmt.Sprintf("bar %d (%s) %s", a.Bar, system.Frets(a.Position, " to "), when)
	}
	return strings.Join(parts, ", ")
}

// keepRounds writes the results to the history, also when the sitting was
// interrupted.
func keepRounds(live *session.Live, settings, take string) error {
	done := live.Practised()
	if len(done) == 0 {
		return nil
	}
	ctx := context.Background()
	return withHistory(ctx, func(h *store.History) error {
		for _, p := range done {
			round := p.(*session.RoundPractice)
			plan, score := round.Plan(), round.Score()
			at := live.Start().Add(round.Clock().Start)
			err := h.AddRound(ctx, store.Round{
				At: at, Day: dayOf(at), Kind: string(plan.Kind), System: plan.System.Name, Settings: settings,
				Points: score.Points, Of: score.Of, Notes: score.Notes, Shifts: score.Shifts, Enough: score.Enough, Take: take,
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
}
