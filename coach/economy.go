package coach

import (
	"math/bits"
	"slices"
)

// Cost is what a line of notes asks of a hand.
type Cost struct {
	Shifts   int     // changes of position
	Travel   int     // sum of their sizes, in frets
	WidestMM float64 // fret-to-fret stretch of the widest window that a fretted note was played from; 0 if none was
}

// A cost is packed into one int64, so that comparing two integers compares
// shifts, then travel, then the widest window: below unreached there are 25 bits
// of shifts (33 million), 30 of travel (a thousand million frets) and 7 of
// stretch level. The longest file that is read has room for 22 million notes.
const (
	levelBits  = 7
	travelBits = 30
	fretCost   = 1 << levelBits
	shiftCost  = 1 << (levelBits + travelBits)
	levelMask  = fretCost - 1
	unreached  = 1 << 62
)

// Economy keeps the exact optimum of one finger system over a growing line of
// notes: after every note, the least (shifts, travel in frets), compared in
// that order, of any hand that plays all notes so far, and the least travel
// minimised on its own.
//
// The state is the position alone, since no cost depends on the string: a note
// is the set of positions that play it on any string it may lie on, and a
// dynamic programme over positions (Bellman 1957) takes the minimum over all
// moves |p-q| in one pass up and one pass down. The start is free. Open
// strings, and notes that have no place on the neck or no finger in this
// system, ask nothing. Notes struck together on different strings are one
// grip, held from one position; where no position holds them all they count
// one after another. A slide counts as its target note.
//
// Among the hands with the least (shifts, travel) WidestMM is the least
// possible: appending a note adds to the first two and takes the maximum in
// the third, which keeps the order of any two costs, so the programme stays
// exact.
//
// An Economy is for one goroutine. Note allocates nothing.
type Economy struct {
	cover   *cover
	grip    chord
	started bool      // a fretted note has been played
	fresh   bool      // no fretted note yet from this system's windows
	fewest  frontier  // costs packed
	least   frontier  // travel alone
	level   [64]int64 // by position: rank of its window's stretch in stretch
	stretch []float64 // mm, ascending; index 0 is "no window yet"

	up, down [64]int64 // work space of reach
}

// NewEconomy returns an Economy of system s on neck n before the first note.
// It panics on a neck that Validate refuses.
func NewEconomy(n Neck, s System) *Economy {
	e := &Economy{cover: newCover(n, s)}
	e.Reset()
	return e
}

// Clone is an Economy of its own that has heard the same notes.
func (e *Economy) Clone() *Economy {
	c := *e
	return &c
}

// Reset forgets all notes; the system stays.
func (e *Economy) Reset() {
	e.started, e.fresh = false, true
	e.grip.size = 0
	for p := range e.fewest.cost {
		e.fewest.cost[p], e.least.cost[p] = unreached, unreached
	}
	e.fewest.at, e.least.at = e.cover.all, e.cover.all
	for m := e.cover.all; m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m)
		e.fewest.cost[p], e.least.cost[p] = 0, 0
	}
	e.rank()
}

// SetSystem changes the finger system from the next note on. The counts go on
// and the hand stays where it is; a window that the neck has no room for is
// left at the next fretted note.
func (e *Economy) SetSystem(s System) {
	e.cover = newCover(e.cover.neck, s)
	e.grip.size, e.fresh = 0, true
	if !e.started {
		e.Reset()
		return
	}
	e.rank()
}

// rank orders the stretches of the system's windows together with those that
// the costs so far refer to, and rewrites these references.
func (e *Economy) rank() {
	old := e.stretch
	stretch := []float64{0}
	for m := e.cover.all; m != 0; m &= m - 1 {
		stretch = append(stretch, e.cover.mm[bits.TrailingZeros64(m)])
	}
	if e.started {
		for m := e.fewest.at; m != 0; m &= m - 1 {
			stretch = append(stretch, old[e.fewest.cost[bits.TrailingZeros64(m)]&levelMask])
		}
	}
	slices.Sort(stretch)
	e.stretch = slices.Compact(stretch)
	for m := e.cover.all; m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m)
		at, _ := slices.BinarySearch(e.stretch, e.cover.mm[p])
		e.level[p] = int64(at)
	}
	if e.started {
		for m := e.fewest.at; m != 0; m &= m - 1 {
			p := bits.TrailingZeros64(m)
			at, _ := slices.BinarySearch(e.stretch, old[e.fewest.cost[p]&levelMask])
			e.fewest.cost[p] = e.fewest.cost[p]&^levelMask | int64(at)
		}
	}
}

// Note adds the next note of the line.
func (e *Economy) Note(n Note) {
	m := e.cover.hold(&e.grip, &n)
	if m == anywhere {
		return
	}
	if e.fresh {
		e.enter(m)
	}
	// Where every hand in the running plays the note from where it is, no cost
	// changes: moving later is never dearer than moving here.
	if e.fewest.at&^m != 0 {
		e.shift(m)
	}
	if e.least.at&^m != 0 {
		e.drift(m)
	}
}

// enter takes the hands to m at the first fretted note of a system, where the
// windows of those that stay count anew.
func (e *Economy) enter(m uint64) {
	e.started, e.fresh = true, false
	from := e.fewest
	e.fewest.leave(0)
	e.fewest.at = m
	for ; m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m)
		best := from.cost[p]
		for hands := from.at; hands != 0; hands &= hands - 1 {
			q := bits.TrailingZeros64(hands)
			best = min(best, from.cost[q]+shiftCost+int64(max(p-q, q-p))*fretCost)
		}
		e.fewest.cost[p] = e.seen(best, p)
	}
}

// seen is cost after a fretted note played from position p.
func (e *Economy) seen(cost int64, p int) int64 {
	return cost&^levelMask | max(cost&levelMask, e.level[p&63])
}

// frontier is the state of one criterion: the positions of the hands that are
// still in the running, and what each has cost. A hand is out of the running
// when another one can go to its position at no higher cost: by the triangle
// inequality that other one is then as cheap at every note to come.
type frontier struct {
	at   uint64
	cost [64]int64 // by position, unreached outside at
}

// reach fills e.up and e.down over the positions of f and m with what the
// cheapest hand of f has cost when it comes from below, and from above, at
// perFret for each fret. Positions outside f.at cost unreached.
func (e *Economy) reach(f *frontier, m uint64, perFret int64) {
	lo := bits.TrailingZeros64(f.at | m)
	hi := 63 - bits.LeadingZeros64(f.at|m)
	up, down := int64(unreached), int64(unreached)
	for p, q := lo, hi; p <= hi; p, q = p+1, q-1 {
		up = min(up+perFret, f.cost[p&63])
		down = min(down+perFret, f.cost[q&63])
		e.up[p&63], e.down[q&63] = up, down
	}
}

// leave takes the hands outside m out of f.
func (f *frontier) leave(m uint64) {
	for gone := f.at &^ m; gone != 0; gone &= gone - 1 {
		f.cost[bits.TrailingZeros64(gone)&63] = unreached
	}
	f.at &= m
}

// shift takes the hands of the fewest shifts to the positions in m.
//
// Two notes of a grip pass through here one after the other, the second with
// the positions of the whole grip. That is exact: the second set lies within
// the first, so going straight into it is possible at the first note, and by
// the triangle inequality no detour is cheaper.
//
// A hand that can stay does: coming from elsewhere costs a shift more than the
// difference between any two hands in the running. So only the positions that
// no hand holds are worked out, and dropped again where the next hand that
// stays, above or below, can come at no higher cost.
func (e *Economy) shift(m uint64) {
	f := &e.fewest
	come := m &^ f.at
	if come != 0 {
		e.reach(f, m, fretCost)
	}
	f.leave(m)
	stay := f.at
	for ; come != 0; come &= come - 1 {
		p := bits.TrailingZeros64(come)
		best := min(e.up[p&63], e.down[p&63])
		if above := stay >> p; above != 0 {
			d := bits.TrailingZeros64(above)
			if f.cost[(p+d)&63]+int64(d)*fretCost <= best {
				continue
			}
		}
		if below := stay << (63 - p); below != 0 {
			d := bits.LeadingZeros64(below)
			if f.cost[(p-d)&63]+int64(d)*fretCost <= best {
				continue
			}
		}
		f.at |= 1 << p
		f.cost[p&63] = e.seen(best+shiftCost, p)
	}
}

// drift takes the hands of the least travel to the positions in m. Staying and
// coming are alike here, since a move costs its frets and nothing more.
func (e *Economy) drift(m uint64) {
	f := &e.least
	e.reach(f, m, 1)
	f.leave(m)
	f.at = 0
	last, lastCost := 0, int64(unreached)
	for ; m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m)
		cost := min(e.up[p&63], e.down[p&63])
		d := int64(p - last)
		if cost >= lastCost+d {
			f.cost[p&63] = unreached
			continue
		}
		if lastCost >= cost+d {
			f.at &^= 1 << last
			f.cost[last&63] = unreached
		}
		f.at |= 1 << p
		f.cost[p&63] = cost
		last, lastCost = p, cost
	}
}

// cheapest is the position with the least cost, the lowest of equals.
func (e *Economy) cheapest() int {
	at := bits.TrailingZeros64(e.fewest.at)
	for m := e.fewest.at; m != 0; m &= m - 1 {
		if p := bits.TrailingZeros64(m); e.fewest.cost[p] < e.fewest.cost[at] {
			at = p
		}
	}
	return at
}

// Fewest is the least (shifts, travel) with which the system can play all
// notes so far.
func (e *Economy) Fewest() Cost {
	c := e.fewest.cost[e.cheapest()]
	return Cost{
		Shifts:   int(c / shiftCost),
		Travel:   int(c % shiftCost / fretCost),
		WidestMM: e.stretch[c&levelMask],
	}
}

// LeastTravel is the least travel in frets with which the system can play all
// notes so far, however many shifts that takes.
func (e *Economy) LeastTravel() int {
	least := int64(unreached)
	for m := e.least.at; m != 0; m &= m - 1 {
		least = min(least, e.least.cost[bits.TrailingZeros64(m)])
	}
	return int(least)
}

// Position is the position of a cheapest hand after the last note, 0 before
// the first fretted one.
func (e *Economy) Position() int {
	if !e.started {
		return 0
	}
	return e.cheapest()
}
