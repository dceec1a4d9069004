package coach

import "math/bits"

// BestPath returns a cheapest way for system s to play notes, and its cost:
// fewest shifts, then least travel, then the start nearest to position near (0
// for anywhere), then the least stretch of the widest window. The start is
// free. Steps come one a note, Step.Note counting from 0 in notes; the place
// of an open string has fret 0 and finger 0, and a note that nothing plays has
// no place. With near 0 the cost is that of an Economy after the same notes.
//
// It is meant for a passage: time and memory grow with notes x positions. It
// panics on a neck that Validate refuses.
func BestPath(n Neck, s System, notes []Note, near int) (Cost, []Step) {
	c := newCover(n, s)
	cost, hand := new(pathfinder).find(c, c.all, notes, near)
	return cost, c.steps(notes, hand)
}

// pathfinder is the working memory of a search; it may be used again. Costs
// are packed as in Economy: 23 bits of shifts, 27 of travel, then the distance
// of the start from where it should be and the lowest position, 6 bits each.
type pathfinder struct {
	asks []ask
	from [][64]int8 // by note and position: the position before
	hand []int
}

// ask is what one note asks of the hand.
type ask struct {
	positions uint64
	fretted   bool
}

const (
	lowBits       = 6
	nearBits      = 6
	pathFretCost  = 1 << (lowBits + nearBits)
	pathShiftCost = pathFretCost << 27
	lowMask       = 1<<lowBits - 1
)

// find returns the cheapest cost with the position at every note, using only
// positions within, from which every note must be playable. The positions are
// valid until the next call.
func (f *pathfinder) find(c *cover, within uint64, notes []Note, near int) (Cost, []int) {
	if len(notes) == 0 {
		return Cost{}, nil
	}
	f.ask(c, within, notes)
	var cost [64]int64
	for p := range cost {
		cost[p] = unreached
	}
	for m := within; m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m)
		cost[p] = 0
		if near > 0 {
			cost[p] = int64(max(p-near, near-p)&(1<<nearBits-1)) << lowBits
		}
	}
	f.from = f.from[:0]
	held := within
	for i, a := range f.asks {
		f.from = append(f.from, [64]int8{})
		step(&cost, &f.from[i], a, held, i == 0)
		held = a.positions
	}
	end := 0
	for p := range cost {
		if cost[p] < cost[end] {
			end = p
		}
	}
	f.hand = append(f.hand[:0], make([]int, len(notes))...)
	for i, p := len(notes)-1, end; i >= 0; i-- {
		f.hand[i] = p
		p = int(f.from[i][p])
	}
	total := Cost{Shifts: int(cost[end] / pathShiftCost), Travel: int(cost[end] % pathShiftCost / pathFretCost)}
	if low := cost[end] & lowMask; low != 0 {
		total.WidestMM = c.mm[lowMask+1-low]
	}
	return total, f.hand
}

// ask fills f.asks. All notes of a grip ask for the positions that hold the
// whole of it; since staying is preferred, no shift falls inside.
func (f *pathfinder) ask(c *cover, within uint64, notes []Note) {
	var g chord
	f.asks = f.asks[:0]
	for i, n := range notes {
		m := c.hold(&g, &n)
		f.asks = append(f.asks, ask{positions: m & within, fretted: m != anywhere})
		for j := range g.size {
			f.asks[i-j].positions = m & within
		}
	}
}

// step carries cost over one note, writing where each position came from. Of
// equal ways it takes the one that has moved already, so that a hand moves as
// early as it may and uses open strings for it.
// No position outside held has been reached.
func step(cost *[64]int64, from *[64]int8, a ask, held uint64, first bool) {
	var up [64]int64
	var upFrom [64]int8
	held |= a.positions
	lo, hi := bits.TrailingZeros64(held), 63-bits.LeadingZeros64(held)
	run, at := int64(unreached), 0
	for p := lo; p <= hi; p++ {
		if run += pathFretCost; cost[p] <= run {
			run, at = cost[p], p
		}
		up[p], upFrom[p] = run, int8(at)
	}
	run, at = unreached, 0
	for p := hi; p >= lo; p-- {
		stay := cost[p]
		if run += pathFretCost; stay <= run {
			run, at = stay, p
		}
		cost[p] = unreached
		if a.positions>>p&1 == 0 {
			continue
		}
		best, source := stay, int8(p)
		if !first {
			if come := up[p] + pathShiftCost; come < best {
				best, source = come, upFrom[p]
			}
			if come := run + pathShiftCost; come < best {
				best, source = come, int8(at)
			}
		}
		if a.fretted && best < unreached {
			best = best&^lowMask | max(best&lowMask, int64(lowMask+1-p))
		}
		cost[p], from[p] = best, source
	}
}

// steps turns positions into steps: at each note the finger and the place. A
// note that lies on several strings under the same hand takes the string
// nearest to the one before, the higher of two equally near.
func (c *cover) steps(notes []Note, hand []int) []Step {
	steps := make([]Step, len(notes))
	var g chord
	before := 0
	for i, n := range notes {
		c.hold(&g, &n)
		steps[i] = Step{Note: i, Position: hand[i]}
		if g.size > 1 {
			str, _ := c.seats(&g, hand[i])
			for j := range g.size {
				c.place(&steps[i-g.size+1+j], g.tones[j], str[j])
			}
		} else {
			c.place(&steps[i], n.tone(), c.stringNear(n.tone(), hand[i], before))
		}
		if s := steps[i].Place.String; s > 0 {
			before = s
		}
	}
	return steps
}

// place writes where and with which finger step plays t on string str; string
// 0 is no place.
func (c *cover) place(step *Step, t tone, str int) {
	if str == 0 {
		return
	}
	step.Place = Place{str, t.pitch - c.neck.Open[str-1]}
	step.Finger = 0
	if step.Place.Fret > 0 {
		step.Finger = c.system.FingerAt(step.Place.Fret - step.Position)
	}
}

// stringNear is the string on which a hand at position p plays t, nearest to
// string before (0: the highest); 0 if there is none.
func (c *cover) stringNear(t tone, p, before int) int {
	_, first, last := c.find(t)
	best := 0
	for s := first; s <= last; s++ {
		if c.on[t.pitch][s]>>p&1 == 0 {
			continue
		}
		if best == 0 || max(s-before, before-s) < max(best-before, before-best) {
			best = s
		}
	}
	return best
}
