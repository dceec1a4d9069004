package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/session"
	"stillhand/session/dashboard"
	"stillhand/session/store"
)

func ladderCommand(w *world) *cobra.Command {
	var noSave bool
	var tempo float64
	var discomfort int
	c := &cobra.Command{
		Use: "ladder [SOURCE]", Short: "The practice ladder: today's rung, practise it, what comes next",
		Long: `The practice ladder. Without SOURCE: today's rung drawn on the neck, why it is
today's, and the way so far. With SOURCE, as for live: a note begins, as beat 1
of the four that count in; from bar 1 after them play the cell, one note a beat,
on whichever string you like, and see at once what held. After a silence of five
seconds the next note begins again. Afterwards it asks for discomfort in hand or
arm, 0 none to 10 the worst; what comes later in the day can be said with
--discomfort. After 5 or more it counts in again only when less has been said,
on a later day. An attempt that did not pass is not kept when the input was gone
meanwhile.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			l := ladder{w: w, who: who, tempo: tempo, save: !noSave}
			if len(args) == 0 && cmd.Flags().Changed("tempo") {
				return usage("--tempo is for practising: give SOURCE too")
			}
			if cmd.Flags().Changed("discomfort") {
				if discomfort < 0 || discomfort > 10 {
					return usage("--discomfort %d: say 0 (none) to 10 (the worst)", discomfort)
				}
				if len(args) > 0 || noSave {
					return usage("--discomfort is kept for today and goes without SOURCE and --no-save")
				}
				if err := l.report(cmd.Context(), discomfort); err != nil {
					return err
				}
			}
			if len(args) == 0 {
				return l.show(cmd.Context())
			}
			return l.practise(cmd.Context(), args[0])
		},
	}
	addSettings(c)
	addNoSave(c, &noSave)
	c.Flags().Float64Var(&tempo, "tempo", 60, "beats a minute, one note each")
	c.Flags().IntVar(&discomfort, "discomfort", 0, "what is felt in hand or arm today, 0 none to 10 the worst")
	c.Flag("discomfort").DefValue = "nothing said"
	return c
}

// ladder is one call of the command.
type ladder struct {
	w     *world
	who   *player
	tempo float64
	save  bool
}

// today reads the log and tells where the ladder stands.
func (l ladder) today(ctx context.Context) (coach.Today, error) {
	var log []coach.LadderDay
	err := withHistory(ctx, func(h *store.History) error {
		attempts, err := h.Attempts(ctx, store.Filter{})
		for _, a := range attempts {
			log = append(log, coach.LadderDay{
				Day: a.Day, Rung: coach.Rung{Kind: coach.CellKind(a.Cell), System: a.System, Position: a.Position},
				Passed: a.Passed, Discomfort: a.Discomfort,
			})
		}
		return err
	})
	if err != nil {
		return coach.Today{}, err
	}
	s := l.who.setup
	return coach.Ladder(s.Neck, s.System, s.ReachMM, log, dayOf(time.Now()))
}

// show prints today's rung, drawn on the neck, and the way so far.
func (l ladder) show(ctx context.Context) error {
	t, err := l.today(ctx)
	if err != nil {
		return err
	}
	cell, err := t.Rung.Cell(drawnString(l.who.setup.Neck))
	if err != nil {
		return err
	}
	var b strings.Builder
	b.WriteString(l.w.paragraph("", fmt.Sprintf("Today: %s, %.0f mm. Rung %d of %d.", t.Rung.Text(), t.StretchMM, t.Step+1, t.Of)))
	b.WriteString(l.w.paragraph("", t.Why))
	fmt.Fprintf(&b, "\n%s\n", l.w.neckDrawing(l.who.setup.Neck).cell(cell))
	b.WriteString(l.w.paragraph("", fmt.Sprintf("Fingers %s and back, twice, one note a beat, on any string; drawn on string %d, the digits are fingers.", fingering(cell), cell.String)))
	b.WriteString(l.w.paragraph("", fmt.Sprintf("It passes with all notes right and in order, in one window%s, intervals within %.0f per cent, and %.0f per cent of the pairs connected, on %d separate days.",
		exceptShifts(cell), 100*coach.MaxEvenness, 100*coach.MinConnection, t.Needed)))
	b.WriteString(l.w.paragraph("", "Where the input tells no strings, that the hand is where it is asked is taken on your word: the same pitches lie elsewhere too."))
	if l.who.setup.ReachMM == 0 {
		b.WriteString(l.w.paragraph("", "Your reach is not known, so the way goes to the end of the neck: stillhand reach finds it."))
	}
	fmt.Fprintln(&b, "\nThe way so far")
	for _, turn := range t.Way {
		b.WriteString(l.w.paragraph("  ", fmt.Sprintf("%s: %s, from %s", dateOf(turn.Day), turn.To.Text(), turn.From.Text())))
	}
	if len(t.Way) == 0 {
		fmt.Fprintln(&b, "  no rung changed yet")
	}
	fmt.Fprintln(&b)
	b.WriteString(l.w.paragraph("", coach.CareText))
	b.WriteString(l.w.paragraph("", coach.LightText))
	_, err = fmt.Fprint(l.w.out, b.String())
	return err
}

// practise plays a sitting of attempts at today's rung.
func (l ladder) practise(ctx context.Context, name string) error {
	today, err := l.today(ctx)
	if err != nil {
		return err
	}
	if today.Stop {
		return fmt.Errorf("%s On a later day, say first how it is: stillhand ladder --discomfort", today.Why)
	}
	plan, err := l.plan(today)
	if err != nil {
		return err
	}
	source, err := l.w.open(name)
	if err != nil {
		return err
	}
	live, take, err := sit(ctx, l.w, l.who, sitting{source: source, save: l.save, practice: plan})
	if live == nil {
		return err
	}
	gave := attempts(live.Start(), live.Practised(), takeName(take))
	l.w.parting(ctx, func() { l.say(live.Practised()) })
	outlook := ""
	if l.save && tried(live.Practised()) {
		err = errors.Join(err, l.keep(gave))
		if ctx.Err() == nil && !errors.Is(err, dashboard.ErrInterrupted) {
			err = errors.Join(err, l.ask(ctx, gave))
		}
		next, failed := l.today(context.Background())
		outlook, err = next.Why, errors.Join(err, failed)
	}
	l.w.lastWords(ctx, func() {
		if outlook != "" {
			l.w.tell("", "%s", outlook)
		}
	}, l.save, take)
	return err
}

// plan makes attempts at the rung.
func (l ladder) plan(t coach.Today) (session.Plan, error) {
	cell, err := t.Rung.Cell(drawnString(l.who.setup.Neck))
	if err != nil {
		return nil, err
	}
	begin := func(start time.Duration) (session.Practice, error) {
		m, err := session.NewMeter(start, l.tempo, 4, 1, 1)
		if err != nil {
			return nil, usage("%w; see stillhand ladder --help", err)
		}
		p, err := session.NewRungPractice(l.who.setup.Neck, cell, m)
		if err != nil {
			return nil, err
		}
		p.Why = t.Why
		return p, nil
	}
	if _, err := begin(0); err != nil {
		return nil, err
	}
	return func(start time.Duration, _ []session.Practice) session.Practice {
		p, err := begin(start)
		if err != nil {
			panic(fmt.Sprintf("a rung that could begin at 0 cannot at %v: %v", start, err))
		}
		return p
	}, nil
}

// attempts are what a sitting that began at start gave, as the history keeps it:
// each on its own day, also when a day ended meanwhile.
func attempts(start time.Time, done []session.Practice, take string) []store.Attempt {
	var out []store.Attempt
	for _, p := range done {
		rung, ok := p.(*session.RungPractice)
		if !ok {
			continue
		}
		a, _ := rung.Attempt()
		if a.Heard == 0 || !rung.Counts() { // nobody played, or not all of it was heard
			continue
		}
		cell := rung.Cell()
		at := start.Add(rung.Clock().Start)
		out = append(out, store.Attempt{
			At: at, Day: dayOf(at),
			Cell: string(cell.Kind), System: cell.System.Name, Position: cell.Position,
			Passed: a.Passed(), Asked: a.Asked, Heard: a.Heard, InOrder: a.InOrder, OneWindow: a.OneWindow,
			Evenness: store.Figure(a.Evenness), Connection: store.Figure(a.Connection),
			Discomfort: coach.NotSaid, Take: take,
		})
	}
	return out
}

// tried reports whether anything was played in an attempt, kept or not.
func tried(done []session.Practice) bool {
	return slices.ContainsFunc(done, func(p session.Practice) bool {
		rung, ok := p.(*session.RungPractice)
		if !ok {
			return false
		}
		a, _ := rung.Attempt()
		return a.Heard > 0
	})
}

// say prints what each attempt showed.
func (l ladder) say(done []session.Practice) {
	if len(done) == 0 {
		l.w.tell("", "no attempt came to its end: nothing is kept")
	}
	for i, p := range done {
		rung, ok := p.(*session.RungPractice)
		if !ok {
			continue
		}
		a, _ := rung.Attempt()
		if !rung.Counts() {
			l.w.tell("", "Attempt %d: does not count, %s (%d of %d notes heard)", i+1, session.InputGone, a.Heard, a.Asked)
			continue
		}
		verdict := "not yet"
		if a.Passed() {
			verdict = "passed"
		}
		on := "" // begun on none: the first note is not one that was asked
		if s := rung.Chosen(); s > 0 {
			on = fmt.Sprintf(", string %d", s)
		}
		fmt.Fprintf(l.w.out, "Attempt %d%s: %s\n", i+1, on, verdict)
		for _, f := range a.Findings() {
			mark := "     "
			if !f.Passed {
				mark = "  not"
			}
			fmt.Fprint(l.w.out, l.w.entry(fmt.Sprintf("%s %-10s  ", mark, f.Name), f.Text))
		}
	}
}

// keep writes attempts to the history, also when the sitting was interrupted.
func (l ladder) keep(attempts []store.Attempt) error {
	ctx := context.Background()
	return withHistory(ctx, func(h *store.History) error {
		for _, a := range attempts {
			if err := h.AddAttempt(ctx, a); err != nil {
				return err
			}
		}
		return nil
	})
}

// ask asks for the discomfort and keeps it with the last attempt, or as what is said
// of the day if none is kept: a hand that played may hurt whatever was heard of it.
func (l ladder) ask(ctx context.Context, gave []store.Attempt) error {
	discomfort := askDiscomfort(ctx, l.w)
	switch {
	case discomfort == coach.NotSaid:
		return nil
	case len(gave) == 0:
		return l.report(context.Background(), discomfort)
	}
	last := gave[len(gave)-1]
	last.Discomfort = discomfort
	return l.keep([]store.Attempt{last})
}

// report keeps the discomfort of today: with the latest attempt if nothing was
// said of it, otherwise alone. What was said earlier in the day stays.
func (l ladder) report(ctx context.Context, discomfort int) error {
	return withHistory(ctx, func(h *store.History) error {
		attempts, err := h.Attempts(ctx, store.Filter{})
		if err != nil {
			return err
		}
		now := time.Now()
		said := store.Attempt{At: now, Day: dayOf(now)}
		if n := len(attempts); n > 0 && attempts[n-1].Day == said.Day && attempts[n-1].Discomfort == coach.NotSaid {
			said = attempts[n-1]
		}
		said.Discomfort = discomfort
		return h.AddAttempt(ctx, said)
	})
}

// askDiscomfort reads a number from the keys. An empty line, or nobody there to
// ask, is not said.
func askDiscomfort(ctx context.Context, w *world) int {
	if w.keys == nil {
		return coach.NotSaid
	}
	lines := make(chan string)
	go func() {
		defer close(lines)
		for in := bufio.NewScanner(w.keys); in.Scan(); {
			lines <- in.Text()
		}
	}()
	for {
		fmt.Fprint(w.err, strings.TrimSpace(w.paragraph("", "Discomfort in hand or arm, 0 none to 10 the worst (Enter: not said):"))+" ")
		select {
		case <-ctx.Done():
			fmt.Fprintln(w.err) // what follows begins a line of its own
			return coach.NotSaid
		case line, ok := <-lines:
			if !ok {
				fmt.Fprintln(w.err)
			}
			line = strings.TrimSpace(line)
			if line == "" {
				return coach.NotSaid
			}
			if n, err := strconv.Atoi(line); err == nil && n >= 0 && n <= 10 {
				return n
			}
		}
	}
}

// fingering is the cell's way up: 1-2-3-4-4.
func fingering(c coach.Cell) string {
	steps := c.Steps(1)
	names := make([]string, (len(steps)+1)/2)
	for i := range names {
		names[i] = fmt.Sprint(steps[i].Finger)
	}
	return strings.Join(names, "-")
}

func exceptShifts(c coach.Cell) string {
	if c.Kind == coach.FiveCell {
		return " but for the cell's own shifts"
	}
	return ""
}

// drawnString is the string that a cell is drawn on: one in the middle.
func drawnString(n coach.Neck) int { return (n.Strings() + 1) / 2 }
