package coach

import "math"

// steady is how often a silence before a note is the one before it again. Hands
// scatter; what was written and not played, or passed through a quantiser, leaves
// the same silence at every note, none included, or the same part of the time,
// whatever the hand would have to do. Such a silence speaks neither for a move nor
// against one.
type steady struct {
	last      gap
	held      bool    // it was the one before it again
	again, of float64 // silences that were the one before again, and all
}

// Before any silence is heard, and what rounding to ticks may make of the same
// one. Ours.
const (
	steadyAgain = 0.1 // of steadyOf
	steadyOf    = 10.0
	steadyMost  = 0.9
	sameGap     = 1.5   // ms, either way
	samePart    = 0.002 // of the time between the onsets, either way
)

// same reports whether g is the last silence again.
func (s *steady) same(g gap) bool {
	return g.silent >= 0 && s.of > 0 &&
		(math.Abs(g.silent-s.last.silent) <= sameGap || math.Abs(g.part()-s.last.part()) <= samePart)
}

// read is what it adds to the density of g, of every class of move alike, against
// all other ways to leave it: nothing where g is another silence, for those speak
// as they would, nor where it is the first to come again, which happens to hands
// too.
func (s *steady) read(g gap) float64 {
	if !s.held || !s.same(g) {
		return 0
	}
	share := min((steadyAgain+s.again)/(steadyOf+s.of), steadyMost)
	return share / (1 - share) / (2 * (sameGap + samePart*g.between))
}

// hear takes the newest gap. Notes that sound into the next leave none.
func (s *steady) hear(g gap) {
	if g.silent < 0 {
		return
	}
	s.held = s.same(g)
	if s.held {
		s.again++
	}
	s.of++
	s.last = g
}
