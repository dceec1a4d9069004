package coach

// learnLeast is how probable it must be that a hand did something to teach
// anything.
const learnLeast = 0.00016

// learn counts that a hand at position p played a note at fret, not an open
// string, and moved for it, in expected notes, if the note forced no move.
func (c *cast) learn(fret, p int, played, moved float64) {
	if c.manner != reacting || c.cover[fret][p] == 1 {
		c.learnt.free += played
		c.learnt.moved += moved
	}
}

// learnLanding counts that a hand at position p went to q to play a note at fret,
// in expected moves.
func (c *cast) learnLanding(fret, p, q int, moved float64) {
	landed := c.learnt.landed[c.landing[fret][p]]
	if off := fret - q; q != p && off >= 1 && off < len(landed) {
		landed[off] += moved
	}
}
