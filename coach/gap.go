package coach

import (
	"math"
	"time"
)

// Moves come in three classes: none, near (up to nearFrets) and far.
const (
	moveClasses = 3
	nearFrets   = 2
)

// touch is what is known of how a player parts notes and how long the hand
// takes to move, in expected notes. A gap that asks for no move is a habit of
// the fingers: the note is bound to the next, or it leaves a part of the time
// to it silent. A move needs a time of its own, and the gap before it is the
// longer of the two.
type touch struct {
	bound  [boundBins]float64                 // by the gap
	parted [partBins]float64                  // by the silent part
	need   [moveClasses - 1][needBins]float64 // near and far, by the time of the move
	hidden float64                            // moves that no gap shows, see usualHidden
	shown  float64                            // all others
	recent recent

	asBound, asParted shape // with what is usual, as last laid
	asNeeded          [moveClasses - 1]shape
}

// shape is a distribution by bins, even within each.
type shape struct {
	edges []float64
	n     float64
	at    [partBins]float64 // [bin] density
	below [partBins]float64 // [bin] share below its lower edge
}

// lay fills s from counts and what is usual.
func (s *shape) lay(edges, counts, usual []float64) {
	s.edges, s.n = edges, 0
	for i, c := range counts {
		s.n += c + usual[i]
	}
	sum, norm := 0.0, 1/s.n
	for i, c := range counts {
		x := (c + usual[i]) * norm
		s.below[i], s.at[i] = sum, x/(edges[i+1]-edges[i])
		sum += x
	}
}

// read is the density at x, which is in bin i, and the share below it.
func (s *shape) read(x float64, i int) (at, below float64) {
	switch last := len(s.edges) - 1; {
	case x < s.edges[0]:
		return 0, 0
	case x >= s.edges[last]:
		return 0, 1
	}
	return s.at[i], s.below[i] + s.at[i]*(x-s.edges[i])
}

// lay puts what was counted in force.
func (t *touch) lay() {
	t.asBound.lay(boundEdges[:], t.bound[:], usualBound[:])
	t.asParted.lay(partEdges[:], t.parted[:], usualParted[:])
	for c := range t.need {
		t.asNeeded[c].lay(needEdges[:], t.need[c][:], usualNeed[c][:])
	}
}

// touchOften is up to which note a touch is laid anew at every one, and how many
// go by until it is after.
const touchOften = 8

const (
	boundBins = 7
	partBins  = 20
	needBins  = 12
)

// Edges of the bins: ms, parts of the time between onsets, ms. A note that
// sounds into the next has a gap of overlap.
var (
	boundEdges = [boundBins + 1]float64{-10, 0, 5, 10, 15, 20, 30, 45}
	partEdges  = func() (e [partBins + 1]float64) {
		for i := range e {
			e[i] = float64(i) / partBins
		}
		e[partBins] = math.Nextafter(1, 2) // all of it
		return e
	}()
	needEdges = [needBins + 1]float64{0, 10, 20, 30, 40, 55, 75, 100, 135, 180, 250, 400, 1000}
)

const overlap = -5.0 // ms

// What a player is taken for before any note: how notes are parted, and times
// of near and far moves. The times grow with the logarithm of the way, as Fitts'
// law (1954) has it, and are far softer in their foot than his stylus times,
// for a release is not the start of a move. Tuned on simulated players, as is
// all in the tracker without a source.
var (
	usualBound  = [boundBins]float64{1.9, 0.91, 0.72, 0.58, 0.37, 0.26, 0.21}
	usualParted = func() (u [partBins]float64) {
		for i := range u {
			u[i] = 0.34 * math.Exp(-3*float64(i)/partBins)
		}
		return u
	}()
	usualNeed = [moveClasses - 1][needBins]float64{
		{0.29, 0.58, 0.85, 1.5, 2.5, 2.9, 2.9, 2.2, 0.74, 0.36, 0.15, 0.074},
		{0.07, 0.14, 0.28, 0.42, 0.87, 1.4, 1.4, 1.4, 0.7, 0.35, 0.1, 0.035},
	}
)

// Floors, so that nothing is ruled out: the density of any gap without a move,
// and the share of moves that take less than any time.
const (
	oddGap   = 9.9e-08 // a ms
	oddSpeed = 0.0048
)

// usualHidden is the share of moves that no gap shows, before any is known, and
// what it counts for, in moves. A hand can go while the note before still rings or
// in the time that its touch leaves silent anyway, and some hands mostly do; such a
// move leaves the gap that any note would. How often a player's hand hides its
// moves is learnt, from each move as far as it is sure, and comes out high, for some
// of what is taken for a hidden move was none: a hand that shows three moves of four
// would otherwise be ruled out by the fourth, and be taken for one that moves
// elsewhere.
const (
	usualHidden = 0.08
	hiddenPrior = 15.0 // moves
)

// gap is the silence before a note, and the time between the two onsets, in ms.
type gap struct{ silent, between float64 }

// gapTo is the gap to n from the note before it, struck at before.
func gapTo(n Note, before time.Duration) gap {
	g := gap{n.Gap.Seconds() * 1000, max(1, (n.At-before).Seconds()*1000)}
	if n.Sounding {
		g.silent = overlap
	}
	g.silent = min(g.silent, g.between)
	return g
}

func (g gap) part() float64 { return max(0, g.silent) / g.between }

// reading is what a gap says.
type reading struct {
	like    [moveClasses]float64     // its density, given each class of move
	parting                          // of which like[0] is the density, with oddGap and what is steady
	own     float64                  // share of the first two in like[0]
	late    float64                  // how far the recent notes foretold it
	needed  [moveClasses - 1]float64 // probability that the move set the gap, given a near or far one
	unseen  [moveClasses - 1]float64 // and that no gap shows it

	inBound, inParted, inNeed int // bins
}

// reluctance is the factor by which any hand moves less than its style would
// have it: a style under which the hand would move more than under another is
// the less likely for it. Without it, a player whose notes are all parted can be
// taken for a hand that moves at every one.
const reluctance = 0.9

// moves is what the gap says of a move, by its class, to a hand that is
// reluctant to move.
func (r *reading) moves() [moveClasses]float64 {
	like := r.like
	for c := 1; c < moveClasses; c++ {
		like[c] *= reluctance
	}
	return like
}

// trustNotes is how many notes it takes until a gap is believed as readily as
// not: a player's touch must be known before it says anything.
const trustNotes = 1.0

// read fills r with what g says of the hand after so many notes, where steady is
// what a silence that is the one before again adds to every density. The density of
// a gap that is the longer of two is that of the one times the share of the other
// below it, and the other way about.
func (t *touch) read(r *reading, g gap, steady, notes float64) {
	part := g.part()
	r.inBound, r.inParted, r.inNeed = bin(boundEdges[:], g.silent), partBin(part), bin(needEdges[:], g.silent)
	bound, boundBelow := t.asBound.read(g.silent, r.inBound)
	split := func(share, at, below float64) parting {
		if g.silent < 0 {
			at = 0
		}
		return parting{(1 - share) * bound, share * at / g.between, (1-share)*boundBelow + share*below}
	}
	at, below := t.asParted.read(part, r.inParted)
	share := t.asParted.n / (t.asBound.n + t.asParted.n)
	whole, late := split(share, at, below), split(t.recent.read(r.inParted, share, at, below))
	weight := t.recent.weight()
	r.parting = whole.mixed(late, weight)
	r.late = weight * late.density() / (r.density() + oddGap)
	r.like[0] = r.density() + oddGap + steady
	r.own = (r.density() + oddGap) / r.like[0]
	trust := notes / (notes + trustNotes)
	hidden := (usualHidden*hiddenPrior + t.hidden) / (hiddenPrior + t.hidden + t.shown)
	for c := range t.need {
		at, shorter := t.asNeeded[c].read(max(0, g.silent), r.inNeed)
		shows := (1 - hidden) * ((r.like[0]-steady)*max(shorter, oddSpeed) + steady + at*r.below)
		x := shows + hidden*r.like[0]
		r.needed[c] = (1 - hidden) * at * r.below / x
		r.unseen[c] = 1 - shows/x
		r.like[c+1] = r.like[0] + trust*(x-r.like[0])
	}
}

// learn takes a gap as it was read, and the probability of each class of move.
func (t *touch) learn(r *reading, moves [moveClasses]float64) {
	usual := moves[0]
	for c := range t.need {
		x := moves[c+1] * r.needed[c]
		t.need[c][r.inNeed] += x
		usual += moves[c+1] - x
		sure := moves[c+1] * (moves[1] + moves[2])
		t.hidden += sure * r.unseen[c]
		t.shown += sure * (1 - r.unseen[c])
	}
	if n := r.density(); n > 0 {
		b, p := r.own*usual*r.bound/n, r.own*usual*r.parted/n
		t.bound[r.inBound] += b
		t.parted[r.inParted] += p
		t.recent.learn(r.inParted, b, p, r.late)
	}
}

// bin is that of x between edges; what lies beyond them is in the outermost.
func bin(edges []float64, x float64) int {
	i := 0
	for i < len(edges)-2 && x >= edges[i+1] {
		i++
	}
	return i
}

// partBin is bin of a silent part from 0 to 1.
func partBin(x float64) int {
	i := min(int(x*partBins), partBins-1)
	if x < partEdges[i] { // the product was rounded up
		i--
	}
	return i
}

// scale makes everything count x times what it did.
func (t *touch) scale(x float64) {
	for _, counts := range [][]float64{t.bound[:], t.parted[:], t.need[0][:], t.need[1][:]} {
		for i := range counts {
			counts[i] *= x
		}
	}
	t.hidden *= x
	t.shown *= x
	t.lay()
}

// openGap is how far a gap after an open string is read as after any other:
// the string rings while the hand moves.
const openGap = 0.076
