package coach

import "math/bits"

// AsYouGo is a hand that cannot see ahead. The first fretted note goes under
// the second finger where the neck allows it (on the string where its fret is
// lowest, if the string is not told); afterwards the hand stays whenever the
// note lies in the window and otherwise moves the fewest frets that reach it,
// towards the nut if both ways are equal. A grip is taken as one: the hand
// sees all its notes.
//
// Its shifts less Economy's fewest are the price of not knowing what comes
// next. An AsYouGo is for one goroutine; Note allocates nothing and takes
// constant time.
type AsYouGo struct {
	cover  *cover
	grip   chord
	hand   looseHand
	before looseHand // where the grip in hand found it
}

// looseHand is the state of an AsYouGo between notes.
type looseHand struct {
	position       int // 0 before the first fretted note
	shifts, travel int
}

// NewAsYouGo returns a hand of system s on neck n before the first note. It
// panics on a neck that Validate refuses.
func NewAsYouGo(n Neck, s System) *AsYouGo {
	return &AsYouGo{cover: newCover(n, s)}
}

// SetSystem changes the finger system from the next note on; the hand stays
// where it is until a note is out of its window.
func (a *AsYouGo) SetSystem(s System) {
	a.cover = newCover(a.cover.neck, s)
	a.grip.size = 0
}

// Note adds the next note of the line.
func (a *AsYouGo) Note(n Note) {
	m := a.cover.hold(&a.grip, &n)
	if a.grip.size == 1 {
		a.before = a.hand
	}
	if m == anywhere {
		return
	}
	a.hand = a.before
	if a.hand.position == 0 {
		a.hand.position = nearest(m, a.firstPosition(m))
		return
	}
	to := nearest(m, a.hand.position)
	if to != a.hand.position {
		a.hand.shifts++
		a.hand.travel += max(to-a.hand.position, a.hand.position-to)
		a.hand.position = to
	}
}

// firstPosition puts the second finger on the lowest place of the grip's first
// fretted note that is in reach from m, the positions that hold the grip.
func (a *AsYouGo) firstPosition(m uint64) int {
	c := a.cover
	second := c.system.Fingers[min(1, len(c.system.Fingers)-1)].Offset
	for _, t := range a.grip.tones[:a.grip.size] {
		if c.positions(t) == anywhere {
			continue
		}
		fret := MaxFrets
		_, first, last := c.find(t)
		for s := first; s <= last; s++ {
			if c.on[t.pitch][s]&m != 0 {
				fret = min(fret, t.pitch-c.neck.Open[s-1])
			}
		}
		return fret - second
	}
	return 0
}

// nearest is the position in m that is nearest to p, the lower of two equally
// near; m is not empty.
func nearest(m uint64, p int) int {
	p = max(p, 0)
	up, down := m>>p<<p, m&(1<<p-1)
	switch {
	case up == 0:
		return 63 - bits.LeadingZeros64(down)
	case down == 0:
		return bits.TrailingZeros64(up)
	}
	above, below := bits.TrailingZeros64(up), 63-bits.LeadingZeros64(down)
	if above-p < p-below {
		return above
	}
	return below
}

// Shifts is the number of shifts so far.
func (a *AsYouGo) Shifts() int { return a.hand.shifts }

// Travel is the sum of their sizes in frets.
func (a *AsYouGo) Travel() int { return a.hand.travel }

// Position is the hand's position, 0 before the first fretted note.
func (a *AsYouGo) Position() int { return a.hand.position }
