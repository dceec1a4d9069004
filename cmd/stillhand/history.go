package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/session/report"
	"stillhand/session/store"
)

// How many days and takes the tables show; --json has all.
const (
	daysShown  = 14
	takesShown = 20
)

// remembering is one call of history.
type remembering struct {
	w                        *world
	cmd                      *cobra.Command
	json, systems            bool
	rebuild, recover, remove bool
	since, take, student     string
	name, tag, note          string
}

func historyCommand(w *world) *cobra.Command {
	v := &remembering{w: w}
	c := &cobra.Command{
		Use: "history", Short: "Takes and progress",
		Long: fmt.Sprintf(`Takes and progress: days and takes with time played, notes, shifts a minute, what
not seeing ahead cost, the notes low (frets 1 to %d) and high on the neck (from fret
%d on), the widest stretch; what the ladder, rounds and the reach gave, day by day.
With --take one take, which --name, --tag and --note write on and --delete moves
to the trash. Nothing leaves this machine.`, coach.LowTo, coach.HighFrom),
		RunE: func(cmd *cobra.Command, _ []string) error {
			v.cmd = cmd
			return v.run(cmd.Context())
		},
	}
	addSettings(c)
	withoutScreen(c)
	f := c.Flags()
	f.BoolVar(&v.json, "json", false, "print one JSON document")
	f.BoolVar(&v.systems, "systems", false, "which system costs what, where on the neck, over all takes chosen")
	f.StringVar(&v.since, "since", "", "only what was played on this day or later, like 2026-11-25, or in the last days, like 14d")
	f.StringVar(&v.take, "take", "", "only this take: its file's name or the beginning of it, or the name it was given")
	f.StringVar(&v.student, "student", "", "only takes tagged with this name")
	f.StringVar(&v.name, "name", "", "with --take: give the take a name")
	f.StringVar(&v.tag, "tag", "", "with --take: tag it with a student's name of your choosing")
	f.StringVar(&v.note, "note", "", "with --take: write a note on it")
	f.BoolVar(&v.remove, "delete", false, "with --take: move it to the trash folder")
	f.BoolVar(&v.rebuild, "rebuild", false, "compute all of the history again from the takes")
	f.BoolVar(&v.recover, "recover", false, "turn what a crash left behind into takes")
	offer(c, "take", takeNames)
	offer(c, "student", students)
	offer(c, "tag", students)
	for _, free := range []string{"since", "name", "note"} {
		offer(c, free, oneOf())
	}
	return c
}

// historyGC is how much garbage, in per cent of what is in use, is let gather
// while takes are listed: all of a history is small, and Go's 100 made a sixth
// of the time of ten thousand takes.
const historyGC = 400

// given refuses options that would be ignored.
func (v *remembering) given() error {
	changed := v.cmd.Flags().Changed
	if v.take == "" && (v.remove || changed("name") || changed("tag") || changed("note")) {
		return usage("--name, --tag, --note and --delete are for one take: give --take too")
	}
	for _, work := range []struct {
		asked         bool
		option, about string
	}{{v.rebuild, "rebuild", ""}, {v.recover, "recover", ""}, {v.remove, "delete", "take"}} {
		for _, other := range []string{"rebuild", "recover", "delete", "take", "since", "student", "name", "tag", "note", "json", "systems"} {
			if work.asked && changed(other) && other != work.option && other != work.about {
				return usage("--%s and --%s do not go together: give one", work.option, other)
			}
		}
	}
	return nil
}

func (v *remembering) run(ctx context.Context) error {
	if err := v.given(); err != nil {
		return err
	}
	filter, err := v.filter(ctx, time.Now())
	if err != nil {
		return err
	}
	if v.recover {
		found, err := v.w.recoverTakes(ctx)
		if found == 0 && err == nil {
			v.w.notice("nothing to recover: no sitting in which something was played was left unfinished")
		}
		return err
	}
	err = v.look(ctx, filter)
	if v.rebuild && errors.Is(err, store.ErrDamaged) {
		if err = v.setAside(); err == nil {
			err = v.look(ctx, filter)
		}
	}
	return err
}

// look opens the history and does what was asked.
func (v *remembering) look(ctx context.Context, filter store.Filter) error {
	return withHistory(ctx, func(h *store.History) error {
		if _, err := v.w.recoverTakes(ctx); err != nil && ctx.Err() == nil {
			v.w.notice("stillhand: %v", crashed(v.w, err))
		}
		return v.answer(ctx, h, filter)
	})
}

// setAside makes room for a new history.
func (v *remembering) setAside() error {
	folder, err := store.DataDir()
	if err != nil {
		return err
	}
	aside, err := store.SetAside(folder)
	if err == nil {
		v.w.notice("the damaged history is kept as %s", aside)
	}
	return err
}

func (v *remembering) filter(ctx context.Context, now time.Time) (f store.Filter, err error) {
	f.Student = v.student
	if v.take != "" {
		f.Take, err = takeFile(ctx, v.take)
		if f.Take == "" && err == nil {
			f.Take, err = takeFile(ctx, filepath.Base(v.take)) // its file, wherever that is said to be
		}
		if err != nil {
			return f, err
		}
		if f.Take == "" { // looking for it says what is wrong
			f.Take = strings.TrimSuffix(filepath.Base(v.take), ".mid") + ".mid"
		}
	}
	f.Since, err = sinceWhen(v.since, now)
	if f.Take != "" { // one take is one, however old and whoever's
		f.Since, f.Student = time.Time{}, ""
	}
	return f, err
}

// sinceWhen reads a day, or a number of days back, in the player's zone.
func sinceWhen(text string, now time.Time) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	var days int
	if n, err := fmt.Sscanf(text, "%dd", &days); n == 1 && err == nil && days > 0 && fmt.Sprintf("%dd", days) == text {
		y, m, d := now.Date()
		return store.DayStart(time.Date(y, m, d+1-days, 0, 0, 0, 0, time.UTC), now.Location()), nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, usage("--since %q: write a day like 2026-11-25, or days back like 14d", text)
	}
	return store.DayStart(day, now.Location()), nil
}

func (v *remembering) answer(ctx context.Context, h *store.History, filter store.Filter) error {
	if v.rebuild {
		return v.computeAgain(ctx, h)
	}
	if v.remove {
		to, err := h.Delete(ctx, filter.Take)
		if err == nil {
			v.w.notice("moved to %s", to)
		}
		return err
	}
	if err := v.catchUp(ctx, h); err != nil {
		return err
	}
	if filter.Take != "" {
		if err := v.label(ctx, h, filter.Take); err != nil {
			return err
		}
	}
	defer debug.SetGCPercent(debug.SetGCPercent(historyGC))
	zone := time.Now().Location()
	all := report.History{Zone: zone, Alone: filter.Take != ""}
	layout := report.HistoryLayout{ASCII: !v.w.utf8()}
	var err error
	if v.json || v.systems || filter != (store.Filter{Student: filter.Student}) {
		all.Takes, err = h.Takes(ctx, filter)
	} else {
		layout.Days, layout.Takes = daysShown, takesShown
		all.Takes, all.Earlier, err = h.Latest(ctx, filter, zone, daysShown)
	}
	switch {
	case err != nil:
		return err
	case filter.Take != "" && len(all.Takes) == 0:
		return fmt.Errorf("take %s: %w", filter.Take, store.ErrNoTake)
	case len(all.Takes) == 0 && all.Earlier == 0 && !v.json && filter != (store.Filter{}):
		others, err := h.Takes(ctx, store.Filter{})
		if err != nil {
			return err
		}
		all.Choice, all.Tagged, all.Others = choice(filter), filter.Student != "", len(others)
	case v.systems:
		return v.whichSystem(ctx, h, filter, all.Takes)
	}
	all.Days = store.Days(all.Takes, zone)
	if all.Earlier > 0 {
		filter.Since = all.Days[0].Date
	}
	if all.Practice, err = practice(ctx, h, filter); err != nil {
		return err
	}
	if v.json {
		return report.HistoryJSON(v.w.out, all)
	}
	return report.HistoryText(v.w.out, all, layout)
}

// practice is what was practised in the takes chosen and on their days.
func practice(ctx context.Context, h *store.History, filter store.Filter) (p report.Practice, err error) {
	if p.Attempts, err = h.Attempts(ctx, filter); err != nil {
		return p, err
	}
	if p.Rounds, err = h.Rounds(ctx, filter); err != nil {
		return p, err
	}
	p.Reaches, err = h.Reaches(ctx, filter)
	return p, err
}

// choice says what the filter asks of takes, after "is".
func choice(f store.Filter) string {
	var asked []string
	if f.Student != "" {
		asked = append(asked, fmt.Sprintf("tagged %q", f.Student))
	}
	if !f.Since.IsZero() {
		asked = append(asked, "of "+f.Since.Format(time.DateOnly)+" or later")
	}
	return strings.Join(asked, " and ")
}

// manyTakes is how many takes it takes a while to compute. Ours: some seconds.
const manyTakes = 20

// catchUp brings takes into the history that it does not know: copied into the
// folder, kept by a program that could not reach the database, or computed by an
// older one, which knew less.
func (v *remembering) catchUp(ctx context.Context, h *store.History) error {
	unknown, err := h.Reconcile(ctx)
	if err != nil {
		return err
	}
	if len(unknown) > manyTakes {
		v.w.notice("computing %d takes, new ones or such as an older version computed", len(unknown))
	}
	for _, take := range unknown {
		figures, err := v.w.figuresFor(ctx, h.Path(take))
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			v.w.notice("stillhand: %v", crashed(v.w, err))
			continue
		}
		if err := h.Add(ctx, take, figures); err != nil {
			return err
		}
	}
	return nil
}

// label writes on one take what was given for it.
func (v *remembering) label(ctx context.Context, h *store.History, take string) error {
	flags := v.cmd.Flags()
	if !flags.Changed("name") && !flags.Changed("tag") && !flags.Changed("note") {
		return nil
	}
	takes, err := h.Takes(ctx, store.Filter{Take: take})
	if err != nil || len(takes) == 0 {
		return errors.Join(err, fmt.Errorf("take %s: %w", take, store.ErrNoTake))
	}
	label := takes[0].Label
	for flag, field := range map[string]*string{"name": &label.Name, "tag": &label.Student, "note": &label.Note} {
		if flags.Changed(flag) {
			*field, _ = flags.GetString(flag)
		}
	}
	if err := h.SetLabel(ctx, take, label); err != nil || !flags.Changed("name") {
		return err
	}
	alike, err := h.Named(ctx, label.Name)
	if len(alike) > 1 {
		v.w.notice("%d takes are called %q now: to mean one, name its file, %s", len(alike), label.Name, few(alike))
	}
	return err
}

func (v *remembering) computeAgain(ctx context.Context, h *store.History) error {
	done, err := h.Rebuild(ctx, store.Rebuilding{
		Figures: v.w.figuresFor, Method: figuresMethod,
		Progress: func(done, of int) { v.w.notice("%d of %d takes", done, of) },
	})
	for _, warning := range done.Warnings {
		v.w.notice("%s", warning)
	}
	for _, failed := range done.Failed {
		v.w.notice("stillhand: %v", crashed(v.w, failed))
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(v.w.out, "%s in the history", coach.Many(done.Takes, "take"))
	if done.Resumed > 0 {
		fmt.Fprintf(v.w.out, ", %d of them from before an interruption", done.Resumed)
	}
	fmt.Fprintln(v.w.out)
	if len(done.Failed) > 0 {
		return fmt.Errorf("%s could not be read: left out", coach.Many(len(done.Failed), "take"))
	}
	return nil
}

// whichSystem says where on the neck which system costs what.
func (v *remembering) whichSystem(ctx context.Context, h *store.History, filter store.Filter, takes []store.Take) error {
	who, err := whoPlays(v.w, v.cmd, nil)
	if err != nil {
		return err
	}
	regions, err := h.Regions(ctx, filter)
	if err != nil {
		return err
	}
	s := report.Systems{Neck: who.setup.Neck, Capo: who.setup.Capo, ReachMM: who.setup.ReachMM, Shifts: map[string]report.Prices{}}
	for _, r := range regions {
		s.Regions = append(s.Regions, coach.Region{Position: r.Position, Notes: r.Notes, Four: r.Four, Three: r.Three})
	}
	for _, t := range takes {
		for _, sys := range coach.Systems {
			p := s.Shifts[sys.Name]
			p.Fewest += t.System(sys.Name).Fewest
			p.AsYouGo += t.System(sys.Name).AsYouGo
			s.Shifts[sys.Name] = p
		}
	}
	if v.json {
		return report.SystemsJSON(v.w.out, s)
	}
	return report.SystemsText(v.w.out, s)
}

// withHistory opens the history, does something with it, and closes it.
func withHistory(ctx context.Context, do func(*store.History) error) error {
	folder, err := store.DataDir()
	if err != nil {
		return err
	}
	h, err := store.OpenHistory(ctx, folder)
	if err != nil {
		return err
	}
	return errors.Join(do(h), h.Close())
}
