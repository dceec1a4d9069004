package coach

import "time"

// A gap is read in bins, and moves in three classes: none, near (up to
// nearFrets) and far.
const (
	moveClasses = 3
	nearFrets   = 2
	gapBins     = 11
)

// gapEdges are the upper edges of the bins but the last, in ms. The first bin
// holds notes bound to the one before.
var gapEdges = [gapBins - 1]float64{0, 10, 20, 35, 60, 100, 160, 250, 400, 800}

// gapBin is the bin of n's gap.
func gapBin(n Note) int {
	if n.Sounding {
		return 0
	}
	ms := float64(n.Gap) / float64(time.Millisecond)
	for i, e := range gapEdges {
		if ms <= e {
			return i
		}
	}
	return gapBins - 1
}

// usualGap is the share of gaps in each bin before a player is known.
var usualGap = [gapBins]float64{0.25, 0.12, 0.10, 0.10, 0.10, 0.09, 0.08, 0.06, 0.05, 0.03, 0.02}

// gapNeed is how readily a move of each class is made in a gap of each bin,
// against staying: Fitts' law in shape (the time of a move grows with the
// logarithm of its length), far softer in its foot than his stylus times, for
// a release is not the start of a move.
var gapNeed = [moveClasses][gapBins]float64{
	{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1},
	{0.05, 0.05, 0.1, 0.25, 0.5, 0.8, 1, 1, 1, 1, 1},
	{0.02, 0.02, 0.04, 0.1, 0.25, 0.6, 0.9, 1, 1, 1, 1},
}

// What usualGap and gapNeed count for against what was learnt, in notes and
// in moves.
const (
	usualNotes = 10.0
	needMoves  = 40.0
)

// openGap is how far a gap after an open string is read as after any other:
// the string rings while the hand moves.
const openGap = 0.5

// gaps counts a player's gaps by class of move and bin, in expected notes.
type gaps [moveClasses][gapBins]float64

// likelihood is that of a gap in bin, given each class of move. Moves are
// expected where the player's own usual gaps leave time for them, so whoever
// plays short notes gives nothing away by it.
func (g *gaps) likelihood(bin int) (l [moveClasses]float64) {
	var usual [gapBins]float64
	n := usualNotes
	for _, x := range g[0] {
		n += x
	}
	for i := range usual {
		usual[i] = (g[0][i] + usualNotes*usualGap[i]) / n
	}
	l[0] = usual[bin]
	for c := 1; c < moveClasses; c++ {
		n, z := needMoves, 0.0
		for i, x := range g[c] {
			n += x
			z += usual[i] * gapNeed[c][i]
		}
		l[c] = (g[c][bin] + needMoves*usual[bin]*gapNeed[c][bin]/z) / n
	}
	return l
}
