package coach

// fewest counts the least shifts of one system, travel aside. A shift may go
// anywhere, so it is enough to know from which positions all notes since the
// last shift can be played: the set shrinks until a note empties it, and then
// a shift is due and every position of that note is open again.
type fewest struct {
	cover    *cover
	within   uint64 // the positions that the hand may take
	grip     chord
	set      uint64
	fretted  int // notes that needed a finger
	shifts   int
	possible bool // every note could be played within
}

func newFewest(c *cover, within uint64) fewest {
	f := fewest{cover: c, within: within & c.all}
	f.reset()
	return f
}

func (f *fewest) reset() {
	f.grip.size, f.set, f.fretted, f.shifts, f.possible = 0, f.within, 0, 0, true
}

// note adds the next note and returns the shifts it costs, 0 or 1, and whether
// a finger is needed at all. A note out of the allowed positions is left out
// and makes the line impossible.
func (f *fewest) note(n Note) (shift int, fretted bool) {
	m := f.cover.hold(&f.grip, &n)
	if m == anywhere {
		return 0, false
	}
	f.fretted++
	m &= f.within
	switch {
	case m == 0:
		f.possible = false
	case f.set&m != 0:
		f.set &= m
	default:
		f.set = m
		f.shifts++
		return 1, true
	}
	return 0, true
}
