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
// shifts, then travel, then the widest window: 25 bits of shifts (33 million),
// 31 of travel (2 thousand million frets), 7 of stretch level.
const (
	levelBits  = 7
	travelBits = 31
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
	started bool
	held    uint64    // positions that the last fretted note left possible
	cost    [64]int64 // by position: packed, unreached outside held
	travel  [64]int64 // by position: least travel alone, unreached outside held
	level   [64]int64 // by position: rank of its window's stretch in stretch
	stretch []float64 // mm, ascending; index 0 is "no window yet"
}

// NewEconomy returns an Economy of system s on neck n before the first note.
// It panics on a neck that Validate refuses.
func NewEconomy(n Neck, s System) *Economy {
	e := &Economy{cover: newCover(n, s)}
	e.Reset()
	return e
}

// Reset forgets all notes; the system stays.
func (e *Economy) Reset() {
	e.started = false
	e.grip.size = 0
	e.held = e.cover.all
	for p := range e.cost {
		e.cost[p], e.travel[p] = unreached, unreached
	}
	for m := e.held; m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m)
		e.cost[p], e.travel[p] = 0, 0
	}
	e.rank()
}

// SetSystem changes the finger system from the next note on. The counts go on
// and the hand stays where it is; a window that the neck has no room for is
// left at the next fretted note.
func (e *Economy) SetSystem(s System) {
	e.cover = newCover(e.cover.neck, s)
	e.grip.size = 0
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
		for m := e.held; m != 0; m &= m - 1 {
			stretch = append(stretch, old[e.cost[bits.TrailingZeros64(m)]&levelMask])
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
		for m := e.held; m != 0; m &= m - 1 {
			p := bits.TrailingZeros64(m)
			at, _ := slices.BinarySearch(e.stretch, old[e.cost[p]&levelMask])
			e.cost[p] = e.cost[p]&^levelMask | int64(at)
		}
	}
}

// Note adds the next note of the line.
func (e *Economy) Note(n Note) {
	m := e.cover.hold(&e.grip, n)
	if m == anywhere {
		return
	}
	// Where every hand that is still in the running plays the note from where
	// it is, no cost changes: moving later is never dearer than moving here.
	if e.started && e.held&^m == 0 {
		return
	}
	e.started = true
	e.move(m)
}

// move takes every hand to the positions in m the cheapest way.
//
// Two notes of a grip pass through here one after the other, the second with
// the positions of the whole grip. That is exact: the second set lies within
// the first, so going straight into it is possible at the first note, and by
// the triangle inequality no detour is cheaper.
func (e *Economy) move(m uint64) {
	var up, upTravel [64]int64
	lo := bits.TrailingZeros64(e.held | m)
	hi := 63 - bits.LeadingZeros64(e.held|m)
	run, runTravel := int64(unreached), int64(unreached)
	for p := lo; p <= hi; p++ {
		run = min(run+fretCost, e.cost[p&63])
		runTravel = min(runTravel+1, e.travel[p&63])
		up[p&63], upTravel[p&63] = run, runTravel
	}
	run, runTravel = unreached, unreached
	for p := hi; p >= lo; p-- {
		stay := e.cost[p&63]
		run = min(run+fretCost, stay)
		runTravel = min(runTravel+1, e.travel[p&63])
		if m>>p&1 == 0 {
			e.cost[p&63], e.travel[p&63] = unreached, unreached
			continue
		}
		best := min(stay, min(run, up[p&63])+shiftCost)
		e.cost[p&63] = best&^levelMask | max(best&levelMask, e.level[p&63])
		e.travel[p&63] = min(runTravel, upTravel[p&63])
	}
	e.held = m
}

// cheapest is the position with the least cost, the lowest of equals.
func (e *Economy) cheapest() int {
	at := bits.TrailingZeros64(e.held)
	for m := e.held; m != 0; m &= m - 1 {
		if p := bits.TrailingZeros64(m); e.cost[p] < e.cost[at] {
			at = p
		}
	}
	return at
}

// Fewest is the least (shifts, travel) with which the system can play all
// notes so far.
func (e *Economy) Fewest() Cost {
	c := e.cost[e.cheapest()]
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
	for m := e.held; m != 0; m &= m - 1 {
		least = min(least, e.travel[bits.TrailingZeros64(m)])
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
