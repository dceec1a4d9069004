package coach

import (
	"fmt"
	"math"
)

// StartPosition is where a search for the reach and a ladder begin: the
// octave, where every stretch is half of what it is an octave lower
// (x(n) = L (1 - 2^(-n/12))).
const StartPosition = 12

// Reach is the widest stretch that a player found comfortable, and how it was
// found.
type Reach struct {
	MM       float64
	Position int    // lowest position that was at ease
	System   string // system whose window was asked
	AtLeast  bool   // the neck has no wider window: the reach may be more
	Day      int    // days since 1 January 1970 in the player's calendar
}

// A reach in mm that some hand has between its outer fingers (ours, and wide: a
// small child's over two close frets, and beyond the largest adult's).
const (
	leastReach = 20
	mostReach  = 300
)

// ValidReach reports a reach that no hand has.
func ValidReach(mm float64) error {
	if !(mm >= leastReach && mm <= mostReach) { // nor what is no number
		return fmt.Errorf("a reach of %.4g mm is no hand's: from %d to %d mm are possible, like 105mm or 4.1in", mm, leastReach, mostReach)
	}
	return nil
}

// ReachSearch finds the comfortable reach: it asks for the window cell of a
// system from high to low, and the player says where it stops being easy.
// Nothing is measured: the answer is the player's own. Make one with
// NewReachSearch.
type ReachSearch struct {
	neck     Neck
	system   System
	position int // asked at present
	easy     int // lowest position that was easy; 0 for none
	tight    bool
	done     bool
}

// NewReachSearch starts at StartPosition, or as high as the neck allows.
func NewReachSearch(n Neck, s System) *ReachSearch {
	return &ReachSearch{neck: n, system: s, position: min(StartPosition, n.Positions(s.Width()))}
}

// Position is the position to play at, or 0 when the search is over.
func (r *ReachSearch) Position() int {
	if r.done {
		return 0
	}
	return r.position
}

// StretchMM is what the position asked for spans, in mm.
func (r *ReachSearch) StretchMM() float64 {
	return r.neck.StretchMM(r.position, r.system.Width())
}

// Easy takes the player's word that the hand lay at ease: one fret lower is
// next, until the neck ends or a position was not easy.
func (r *ReachSearch) Easy() {
	if r.done {
		return
	}
	r.easy = r.position
	r.done = r.tight || r.position == 1
	r.position = max(1, r.position-1)
}

// NotEasy takes the player's word that it did not. A search that has not yet
// found an easy position goes up the neck instead.
func (r *ReachSearch) NotEasy() {
	if r.done {
		return
	}
	r.tight = true
	r.done = r.easy > 0 || r.position >= r.neck.Positions(r.system.Width())
	r.position++
}

// Reach is what was found, or false while the search goes on and when no
// position was easy. day is the day to write beside it.
func (r *ReachSearch) Reach(day int) (Reach, bool) {
	if !r.done || r.easy == 0 {
		return Reach{}, false
	}
	return Reach{
		MM:       r.neck.StretchMM(r.easy, r.system.Width()),
		Position: r.easy,
		System:   r.system.Name,
		AtLeast:  r.easy == 1,
		Day:      day,
	}, true
}

// Text says what was found.
func (r Reach) Text() string {
	least := ""
	if r.AtLeast {
		least = "at least "
	}
	return fmt.Sprintf("comfortable reach: %s%.0f mm, %s fingers at position %d", least, r.MM, r.System, r.Position)
}

// WithinReach reports whether a hand of reachMM spans mm, both in whole
// millimetres, as they are shown and as finely as anybody knows a hand. A reach of
// 0 is not known and bars nothing.
func WithinReach(mm, reachMM float64) bool {
	return reachMM <= 0 || math.Round(mm) <= math.Round(reachMM)
}

// LowestWithin is the lowest position at which a window of width frets lies
// within reachMM, or 0 if the neck has none; windows only get narrower from there.
func LowestWithin(n Neck, width int, reachMM float64) int {
	for p := 1; n.Fits(width) && p <= n.Positions(width); p++ {
		if WithinReach(n.StretchMM(p, width), reachMM) {
			return p
		}
	}
	return 0
}

// NoWindow says why no window of s on this neck can be asked for; nil where one
// can.
func NoWindow(n Neck, s System, reachMM float64) error {
	switch {
	case !n.Fits(s.Width()):
		return fmt.Errorf("no window of %s fingers fits on %s: name another neck", s.Name, Many(n.Frets, "fret"))
	case LowestWithin(n, s.Width(), reachMM) == 0:
		return fmt.Errorf("no window of %s fingers on this neck is within %.0f mm: find the reach again, or name another neck", s.Name, reachMM)
	}
	return nil
}
