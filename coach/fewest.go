package coach

// fewest counts the least shifts of one system, travel aside. A shift may go
// anywhere, so it is enough to know from which positions all notes since the
// last shift can be played: the set shrinks until a note empties it, and then
// a shift is due and every position of that note is open again.
type fewest struct {
	within   uint64 // the positions that the hand may take
	set      uint64
	shifts   int
	possible bool // every note could be played within
}

// newFewest starts a line of a hand that keeps to the positions within.
func newFewest(within uint64) fewest { return fewest{within: within, set: within, possible: true} }

// take adds a note that the positions in m play and returns the shifts it
// costs, 0 or 1. A note out of the allowed positions is left out and makes the
// line impossible.
func (f *fewest) take(m uint64) int {
	if m == anywhere {
		return 0
	}
	m &= f.within
	switch {
	case m == 0:
		f.possible = false
	case f.set&m != 0:
		f.set &= m
	default:
		f.set = m
		f.shifts++
		return 1
	}
	return 0
}
