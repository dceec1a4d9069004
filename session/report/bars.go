package report

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"stillhand/session"
)

// Bars tells where in the music a time lies: bar and beat count from 1, beat
// may have a fraction. ok is false where the file has no bars.
type Bars interface {
	Bar(at time.Duration) (bar int, beat float64, ok bool)
}

// seconds is a time of a review as a duration; what is no time is 0.
func seconds(s float64) time.Duration {
	if math.IsNaN(s) || math.Abs(s) > math.MaxInt32 {
		return 0
	}
	return time.Duration(math.Round(s * float64(time.Second)))
}

// clock is a time as minutes and seconds: 1:02.4.
func clock(s float64) string { return session.ClockText(seconds(s)) }

// point is where a moment lies: "bar 3 beat 3.5 (0:31.2)", or the time alone.
func point(bars Bars, s float64) string {
	if bar, beat, ok := barOf(bars, s); ok {
		return fmt.Sprintf("bar %d beat %s (%s)", bar, trim(beat, 2), clock(s))
	}
	return clock(s)
}

// span is where a passage lies: "bars 9 to 12 (0:31.2)" with the time at which it
// begins, "bar 9 (0:31.2)", or "0:31.2 to 0:40.0".
func span(bars Bars, from, to float64) string {
	first, _, ok := barOf(bars, from)
	last, _, ok2 := barOf(bars, to)
	switch {
	case !ok || !ok2:
		return clock(from) + " to " + clock(to)
	case first == last:
		return fmt.Sprintf("bar %d (%s)", first, clock(from))
	default:
		return fmt.Sprintf("bars %d to %d (%s)", first, last, clock(from))
	}
}

// barOf is the bar and beat that a note at s was meant for: the nearest
// quarter of a beat, which for a note struck a little early may be the first
// of the next bar.
func barOf(bars Bars, s float64) (int, float64, bool) {
	if bars == nil {
		return 0, 0, false
	}
	at := seconds(s)
	bar, beat, ok := bars.Bar(at)
	if !ok {
		return 0, 0, false
	}
	near := math.Round(beat*4) / 4
	if near <= beat {
		return bar, near, true
	}
	// Whether the bar has that beat is for the meter and the tempi ahead to say,
	// which only Bar knows: go on to the beat or to where the bar is over.
	within := at
	for step := time.Millisecond; step < time.Minute; step *= 2 {
		switch b, there, ok := bars.Bar(at + step); {
		case ok && b != bar:
			return overLine(bars, bar, near, within, at+step)
		case ok && there >= near:
			return bar, near, true
		}
		within = at + step
	}
	return bar, math.Floor(beat*4) / 4, true
}

// overLine is the beat near of a bar that holds at the time within and is over
// at the time after: the next bar's first, if the bar ends before it.
func overLine(bars Bars, bar int, near float64, within, after time.Duration) (int, float64, bool) {
	for after-within > 1 {
		mid := within + (after-within)/2
		if b, _, _ := bars.Bar(mid); b == bar {
			within = mid
		} else {
			after = mid
		}
	}
	if _, last, _ := bars.Bar(within); last >= near {
		return bar, near, true
	}
	next, beat, ok := bars.Bar(after)
	return next, math.Round(beat*4) / 4, ok
}

// lastOnset is when the last note of a passage is struck: its release may
// lie in a bar of which nothing is played.
func lastOnset(r *session.Review, a session.ReviewAdvice) float64 {
	if a.LastNote >= 0 && a.LastNote < len(r.Notes) {
		return r.Notes[a.LastNote].At
	}
	return a.To
}

// millimetres is a length as every page and text writes it: rounded once, from the
// exact value, halves away from zero as WithinReach compares them.
func millimetres(mm float64) string { return trim(mm, 0) + " mm" }

// trim is a float with at most places decimals and no trailing zero.
func trim(f float64, places int) string {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return "unknown"
	}
	scale := math.Pow10(places)
	f = math.Round(f*scale) / scale
	return strconv.FormatFloat(f+0, 'f', -1, 64)
}
