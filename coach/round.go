package coach

import (
	"fmt"
	"time"
)

// RoundKind is what a practice round asks for.
type RoundKind string

const (
	RoundHold   RoundKind = "hold"   // stay in one window
	RoundBudget RoundKind = "budget" // no more than so many shifts
	RoundCall   RoundKind = "call"   // follow the windows that are called on the bar line
)

// BarsPerCall is how long a called window holds: the hand arrives in the
// first bar and plays there in the second (ours).
const BarsPerCall = 2

// Distance of a called window from the one before, in frets (ours): one fret
// would be hard to tell from an extension, and beyond five the eyes have to
// leave the music.
const (
	minCall = 2
	maxCall = 5
)

// LeastCalled is how many positions a region needs for windows to be called in
// it: in one fewer the middle one would have nowhere to go.
const LeastCalled = minCall + 2

// ErrNarrow is Validate's for a region in which no windows can be called.
var ErrNarrow = fmt.Errorf("calling windows needs at least %d positions: widen it, or play hold or budget", LeastCalled)

// Round is the plan of one practice round: improvising against the coach, in
// time. Low and High bound the positions that may be named.
type Round struct {
	Kind      RoundKind
	Neck      Neck
	System    System
	Low, High int           // positions
	Bars      int           // played, without the count-in
	Beats     int           // in a bar
	Beat      time.Duration // length of a beat
	Budget    int           // RoundBudget: shifts
	Nth       int           // how many rounds went before: it varies the windows
}

// Call is one window named by the coach. Bar counts from 1.
type Call struct {
	Bar      int
	Position int
}

// Validate reports the first thing that makes the round impossible.
func (r Round) Validate() error {
	top := r.Neck.Positions(r.System.Width())
	switch {
	case r.Kind != RoundHold && r.Kind != RoundBudget && r.Kind != RoundCall:
		return fmt.Errorf("round %q: say hold, budget or call", r.Kind)
	case !r.Neck.Fits(r.System.Width()):
		return NoWindow(r.Neck, r.System, 0)
	case r.Low < 1 || r.High > top || r.Low > r.High:
		return fmt.Errorf("region %d to %d: this neck has positions 1 to %d for %s fingers", r.Low, r.High, top, r.System.Name)
	case r.Kind == RoundCall && r.High-r.Low+1 < LeastCalled:
		return fmt.Errorf("region %d to %d: %w", r.Low, r.High, ErrNarrow)
	case r.Bars < 1 || r.Bars > 999:
		return fmt.Errorf("%d bars: from 1 to 999 are possible", r.Bars)
	case r.Beats < 1 || r.Beats > 32:
		return fmt.Errorf("%d beats in a bar: from 1 to 32 are possible", r.Beats)
	case r.Beat < 100*time.Millisecond || r.Beat > 10*time.Second:
		return fmt.Errorf("a beat of %v: from 100ms to 10s (6 to 600 beats a minute) are possible", r.Beat)
	case r.Budget < 0:
		return fmt.Errorf("a budget of %s: name 0 or more", Many(r.Budget, "shift"))
	}
	return nil
}

// Calls lists the windows that the round names, in order: one for hold, one in
// BarsPerCall bars for call, none for budget. The round must be valid.
//
// Nothing is random. Call k of round Nth takes one of the positions of the
// region at a distance of minCall to maxCall frets from the one before (the
// first: any position), the one that mix(Nth, k) points at. The same round
// number and region always give the same windows.
func (r Round) Calls() []Call {
	n := 0
	switch r.Kind {
	case RoundHold:
		n = 1
	case RoundCall:
		n = (r.Bars + BarsPerCall - 1) / BarsPerCall
	}
	calls := make([]Call, n)
	var fit []int
	for k := range calls {
		fit = fit[:0]
		for p := r.Low; p <= r.High; p++ {
			if k == 0 || apart(p, calls[k-1].Position) {
				fit = append(fit, p)
			}
		}
		calls[k] = Call{1 + k*BarsPerCall, fit[mix(r.Nth, k)%uint64(len(fit))]}
	}
	return calls
}

// apart reports whether two positions are as far apart as calls may be.
func apart(p, q int) bool {
	d := max(p-q, q-p)
	return d >= minCall && d <= maxCall
}

// mix turns two small numbers into a large one that looks unrelated to them:
// the output function of SplitMix64 (Steele, Lea, Flood 2014; constants from
// memory), an integer hash and no generator.
func mix(a, b int) uint64 {
	x := uint64(a)<<32 + uint64(b) + 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// Bar is the length of a bar.
func (r Round) Bar() time.Duration { return time.Duration(r.Beats) * r.Beat }

// Length is the length of the round without the count-in.
func (r Round) Length() time.Duration { return time.Duration(r.Bars) * r.Bar() }

// Title says what is asked, in a few words.
func (r Round) Title() string {
	switch r.Kind {
	case RoundBudget:
		return Many(r.Bars, "bar") + ", " + Many(r.Budget, "shift")
	case RoundCall:
		return "follow the window"
	}
	return "hold the window"
}
