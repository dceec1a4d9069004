package coach

import "math/bits"

// MixedResult is the plan that may use either system in every window.
type MixedResult struct {
	Fewest     int     // shifts
	Travel     int     // frets
	ThreeShare float64 // share of the fretted notes that the plan plays in windows of three; 0 without fretted notes
}

// Mixed keeps the exact optimum of a hand that may put down three or four
// fingers in every window: fewest shifts, then least travel, then most notes
// in windows of three. A window of four is allowed where its stretch is within
// reach; three fingers always are. A window is one system at one position, so
// changing the system in place would count as a shift of no frets; no optimum
// of the two common systems does it, since the window of four contains the
// window of three.
//
// The method is Economy's, with a state for each system at each position. A
// Mixed is for one goroutine. Note allocates nothing.
type Mixed struct {
	three, four *cover
	within      uint64 // positions at which four fingers are within reach
	grip        chord
	fretted     int64  // fretted notes so far
	inGrip      int64  // of these, those of the grip in hand
	owed        int64  // notes not yet charged to the states of four
	base        int64  // shifts taken out of the packed costs
	heldThree   uint64 // positions possible after the last fretted note, by system
	heldFour    uint64
	costThree   [64]int64 // packed, unreached outside heldThree
	costFour    [64]int64
	up, down    [64]int64 // work space of move
}

// Packed as in Economy, with the notes in windows of four in the lowest 25
// bits (33 million), 30 bits of travel and 7 of shifts relative to base above.
const (
	noteBits        = 25
	mixedTravelBits = 30
	mixedFretCost   = 1 << noteBits
	mixedShiftCost  = 1 << (noteBits + mixedTravelBits)
	noteMask        = mixedFretCost - 1
	rebaseAt        = 64
)

// NewMixed returns a Mixed plan on neck n before the first note. Reach 0
// stands for unknown: four fingers are then allowed everywhere. It panics on a
// neck that Validate refuses.
func NewMixed(n Neck, reachMM float64) *Mixed {
	m := &Mixed{three: newCover(n, Three), four: newCover(n, Four)}
	m.within = m.four.withinReach(reachMM)
	m.Reset()
	return m
}

// withinReach is the set of positions whose window asks no more than reachMM;
// all of them if that is 0.
func (c *cover) withinReach(reachMM float64) uint64 {
	within := uint64(0)
	for m := c.all; m != 0; m &= m - 1 {
		if p := bits.TrailingZeros64(m); WithinReach(c.mm[p], reachMM) {
			within |= 1 << p
		}
	}
	return within
}

// Reset forgets all notes.
func (x *Mixed) Reset() {
	x.grip.size = 0
	x.fretted, x.inGrip, x.owed, x.base = 0, 0, 0, 0
	x.heldThree, x.heldFour = x.three.all, x.within
	for p := range x.costThree {
		x.costThree[p], x.costFour[p] = unreached, unreached
		if x.heldThree>>p&1 == 1 {
			x.costThree[p] = 0
		}
		if x.heldFour>>p&1 == 1 {
			x.costFour[p] = 0
		}
	}
}

// Note adds the next note of the line.
func (x *Mixed) Note(n Note) {
	joined := x.grip.add(&n)
	three, four := x.three.fits(&x.grip), x.four.fits(&x.grip)
	if joined && three|four&x.within == 0 {
		x.grip.start(&n)
		joined = false
		three, four = x.three.positions(n.tone()), x.four.positions(n.tone())
	}
	if !joined {
		x.inGrip = 0
	}
	if three == anywhere {
		return
	}
	four &= x.within
	fretted := int64(1)
	if x.three.positions(n.tone()) == anywhere { // an open string beside a finger
		fretted = 0
	}
	x.fretted += fretted
	x.inGrip += fretted
	if three == x.heldThree && four == x.heldFour {
		x.owed += fretted
		return
	}
	x.move(three, four, fretted)
}

// move takes every hand to the windows three and four the cheapest way. A hand
// that comes in the middle of a grip plays all of it from its new window, so
// it is charged for the grip's earlier notes there. (They may have been
// charged at its old window too. That does no harm: it could have come at the
// grip's first note, and costs less that way.) The note counts for fretted notes,
// one or none.
func (x *Mixed) move(three, four uint64, fretted int64) {
	all := x.heldThree | x.heldFour | three | four
	lo, hi := bits.TrailingZeros64(all), 63-bits.LeadingZeros64(all)
	up, down := int64(unreached), int64(unreached)
	for p, q := lo, hi; p <= hi; p, q = p+1, q-1 {
		up = min(up+mixedFretCost, x.costThree[p&63], x.costFour[p&63]+x.owed)
		down = min(down+mixedFretCost, x.costThree[q&63], x.costFour[q&63]+x.owed)
		x.up[p&63], x.down[q&63] = up, down
	}
	for m := x.heldThree &^ three; m != 0; m &= m - 1 {
		x.costThree[bits.TrailingZeros64(m)&63] = unreached
	}
	for m := x.heldFour &^ four; m != 0; m &= m - 1 {
		x.costFour[bits.TrailingZeros64(m)&63] = unreached
	}
	for m := three; m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m) & 63
		x.costThree[p] = min(x.costThree[p], min(x.up[p], x.down[p])+mixedShiftCost)
	}
	for m := four; m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m) & 63
		x.costFour[p] = min(x.costFour[p]+x.owed+fretted, min(x.up[p], x.down[p])+mixedShiftCost+x.inGrip)
	}
	x.heldThree, x.heldFour, x.owed = three, four, 0
	if up >= rebaseAt*mixedShiftCost {
		x.rebase()
	}
}

// rebase takes the shifts that every hand has in common out of the costs.
func (x *Mixed) rebase() {
	common := x.least() / mixedShiftCost
	x.base += common
	for p := range x.costThree {
		if x.heldThree>>p&1 == 1 {
			x.costThree[p] -= common * mixedShiftCost
		}
		if x.heldFour>>p&1 == 1 {
			x.costFour[p] -= common * mixedShiftCost
		}
	}
}

// least is the cheapest cost.
func (x *Mixed) least() int64 {
	least := int64(unreached)
	for m := x.heldThree; m != 0; m &= m - 1 {
		least = min(least, x.costThree[bits.TrailingZeros64(m)])
	}
	for m := x.heldFour; m != 0; m &= m - 1 {
		least = min(least, x.costFour[bits.TrailingZeros64(m)]+x.owed)
	}
	return least
}

// Result is the plan's cost over all notes so far.
func (x *Mixed) Result() MixedResult {
	c := x.least()
	r := MixedResult{
		Fewest: int(x.base + c/mixedShiftCost),
		Travel: int(c % mixedShiftCost / mixedFretCost),
	}
	if x.fretted > 0 {
		r.ThreeShare = float64(x.fretted-c&noteMask) / float64(x.fretted)
	}
	return r
}
