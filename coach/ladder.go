package coach

import (
	"cmp"
	"fmt"
	"slices"
)

// Numbers of the ladder. Three days either way is the project's own rule; the
// two borders of discomfort likewise (0 none, 10 the worst). They are customs
// of care, not medical limits.
const (
	daysToPass     = 3 // separate days on which the rung passed, before the next one
	daysToGoBack   = 2 // practised days in a row that did not pass, before the one above again
	holdDiscomfort = 3 // from here on no rung lower
	stopDiscomfort = 5 // from here on: stop, and ask somebody qualified
	maxPatience    = 4 // times daysToPass: the longest that a rung is asked to hold, see Ladder
	startAbove     = 3 // rungs between the start and the lowest position within reach
)

// NotSaid is the discomfort of a day on which the player gave none.
const NotSaid = -1

// LadderDay is one attempt, or one day's attempts, in the log.
type LadderDay struct {
	Day        int // days since 1 January 1970 in the player's calendar
	Rung       Rung
	Passed     bool
	Discomfort int // 0 to 10, asked after practice; NotSaid if not answered
}

// Turn is one change of rung.
type Turn struct {
	Day      int // first day on which the new rung was in force
	From, To Rung
}

// Today is where the ladder stands on one day.
type Today struct {
	Rung      Rung
	StretchMM float64 // widest window of the rung
	Step, Of  int     // index of the rung, and how many there are
	Passed    int     // days on which it has passed, of Needed
	Needed    int     // daysToPass, or more where the rung after it has not held before
	Held      bool    // the latest discomfort said was holdDiscomfort or more
	Stop      bool    // the latest discomfort said was stopDiscomfort or more
	Done      bool    // the last rung has passed on Needed days
	Way       []Turn  // oldest first
	Why       string  // one or two plain sentences
}

// Ladder tells today's rung from the log of all days.
//
// The rungs run from high to low, one fret at a time: first the window cell of
// system s, then the five-fret cell with its shift, in s and then in each
// other system. Each run ends at the lowest position whose stretch is within
// reachMM (0: not known, the neck's end), and starts startAbove frets higher
// but not above StartPosition unless the reach asks for it. A run that was
// begun higher up keeps its start.
//
// A rung that passed on daysToPass separate days gives way to the next one on
// the following day at the earliest, so that two moves are never less than
// three days apart. Days without practice count for nothing. After
// daysToGoBack practised days in a row without a pass the rung above comes
// back, again not within three days of the last move; each time that happens,
// it is asked to hold for three days more before the next try, up to
// maxPatience times daysToPass, so that a hand at its limit is not sent over it
// every week. A day with discomfort of holdDiscomfort or more does not count as
// passed and takes back the days that passed before it; a day after it on which
// nothing was said does not count as passed either. What is logged for another
// rung than the one in force counts for its discomfort only. The order of the log
// does not matter; entries after today are left out.
//
// It fails if no window of s lies on this neck and within reach.
func Ladder(n Neck, s System, reachMM float64, log []LadderDay, today int) (Today, error) {
	if err := NoWindow(n, s, reachMM); err != nil {
		return Today{}, fmt.Errorf("ladder: %w", err)
	}
	log = slices.DeleteFunc(slices.Clone(log), func(d LadderDay) bool { return d.Day > today })
	slices.SortFunc(log, func(a, b LadderDay) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(b.Rung.Position, a.Rung.Position))
	})
	rungs, at := rungs(n, s, reachMM, log)
	c := climb{rungs: rungs, at: at, back: make([]int, len(rungs))}
	if len(log) > 0 {
		c.since = log[0].Day
	}
	for len(log) > 0 && log[0].Day < today {
		log = c.day(log)
	}
	c.settle(today)
	t := Today{Rung: rungs[c.at], Step: c.at, Of: len(rungs), Way: c.way}
	c.day(log) // what today has brought so far changes the counts, never the rung
	t.Passed, t.Needed = c.passes, c.needed()
	t.Held, t.Stop = c.pain >= holdDiscomfort, c.pain >= stopDiscomfort
	t.Done = c.at == len(rungs)-1 && c.passes >= t.Needed
	cell, err := t.Rung.Cell(1)
	t.StretchMM = cell.StretchMM(n)
	t.Why = t.why(c)
	return t, err
}

// rungs lists every rung, and the index of the one to begin with.
func rungs(n Neck, s System, reachMM float64, log []LadderDay) (rungs []Rung, first int) {
	run := func(kind CellKind, s System) {
		width := Cell{Kind: kind, System: s}.Frets()
		low := LowestWithin(n, s.Width(), reachMM)
		if low == 0 || !n.Fits(width) || low > n.Positions(width) {
			return
		}
		high := max(low, StartPosition)
		if reachMM > 0 {
			high = max(low, min(high, low+startAbove))
		}
		top := high
		for _, d := range log {
			if d.Rung.Kind == kind && d.Rung.System == s.Name {
				top = d.Rung.Position
				break
			}
		}
		begin := len(rungs)
		for p := min(max(top, high), n.Positions(width)); p >= low; p-- {
			rungs = append(rungs, Rung{kind, s.Name, p})
		}
		if begin == 0 {
			first = max(0, slices.Index(rungs, Rung{kind, s.Name, top}))
		}
	}
	run(WindowCell, s)
	run(FiveCell, s)
	for _, o := range Systems {
		if o.Name != s.Name {
			run(FiveCell, o)
		}
	}
	return rungs, first
}

// climb is the ladder's state while the log is read.
type climb struct {
	rungs  []Rung
	at     int
	since  int // first day of the rung in force
	last   int // last day that counted
	passes int
	misses int   // practised days in a row without a pass
	pain   int   // latest discomfort said
	back   []int // by rung: how often the one after it sent the player back
	way    []Turn
}

// day takes in the first day of the log and returns the days after it.
func (c *climb) day(log []LadderDay) []LadderDay {
	if len(log) == 0 {
		return nil
	}
	day := log[0].Day
	c.settle(day)
	practised, passed, pain := false, false, NotSaid
	for len(log) > 0 && log[0].Day == day {
		d := log[0]
		pain = max(pain, d.Discomfort)
		if d.Rung == c.rungs[c.at] {
			practised = true
			passed = passed || d.Passed
		}
		log = log[1:]
	}
	if pain != NotSaid {
		c.pain = pain
	}
	if c.pain >= holdDiscomfort {
		c.passes = 0
	}
	switch {
	case !practised:
		return log
	case !passed:
		c.misses++
	case c.pain >= holdDiscomfort:
		c.misses = 0
	default:
		c.misses = 0
		c.passes++
	}
	c.last = day
	return log
}

// settle makes the move that is due by the morning of day.
func (c *climb) settle(day int) {
	from := max(c.last+1, c.since+daysToPass)
	switch {
	case from > day:
	case c.passes >= c.needed() && c.at < len(c.rungs)-1:
		c.turn(from, c.at+1)
	case c.misses >= daysToGoBack && c.at > 0:
		c.turn(from, c.at-1)
		c.back[c.at]++
	}
}

// needed is the number of days on which the rung in force must pass.
func (c *climb) needed() int { return daysToPass * min(maxPatience, 1+c.back[c.at]) }

func (c *climb) turn(day, to int) {
	c.way = append(c.way, Turn{day, c.rungs[c.at], c.rungs[to]})
	c.at, c.since, c.passes, c.misses = to, day, 0, 0
}

// goesOn reports whether a wider reach would bring lower rungs: some run ends above
// the first fret.
func (c climb) goesOn() bool {
	for i, r := range c.rungs {
		next := Rung{r.Kind, r.System, r.Position - 1}
		if r.Position > 1 && (i+1 == len(c.rungs) || c.rungs[i+1] != next) {
			return true
		}
	}
	return false
}

// why explains the rung in one or two sentences.
func (t Today) why(c climb) string {
	days := fmt.Sprintf("It has passed on %d of %d separate days.", t.Passed, t.Needed)
	switch {
	case t.Stop:
		return fmt.Sprintf("You reported discomfort %d of 10. %s", c.pain, stopText)
	case t.Held:
		return fmt.Sprintf("You reported discomfort %d of 10: the way down waits until you say less than %d, and this rung has passed on %d days since. %s", c.pain, holdDiscomfort, t.Needed, days)
	case t.Done && !c.goesOn():
		return "The last rung holds. To keep it, play it now and then."
	case t.Done:
		return "The last rung holds. To go lower, find your reach again; to keep it, play it now and then."
	case t.Passed >= t.Needed:
		return days + " The next one comes tomorrow."
	case len(t.Way) == 0 && t.Passed == 0:
		return "The way starts where the frets lie close, and goes down one fret when a rung has passed on three separate days. A missed day costs nothing."
	case len(t.Way) > 0 && t.Passed == 0 && slices.Index(c.rungs, t.Way[len(t.Way)-1].From) > t.Step:
		return "The rung after it did not hold on two days in a row, so this one is back. " + days
	}
	return days
}
