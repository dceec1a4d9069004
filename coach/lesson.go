package coach

// lesson is what a hand at one position did for a note at one fret, not an open
// string: how often, in expected notes before weight, and where it landed.
type lesson struct {
	fret, p      int
	weight       float64
	taken, moved float64
	landed       []float64 // [fret-q], counted at once
}

// learnLeast is how probable a way must be to teach anything.
const learnLeast = 0.00016

// lesson begins one that counts weight times.
func (c *cast) lesson(fret, p int, weight float64) lesson {
	return lesson{fret: fret, p: p, weight: weight, landed: c.learnt.landed[c.landing(fret, p)]}
}

// take counts a hand that went to position q with probability y.
func (l *lesson) take(q int, y float64) {
	l.taken += y
	if q == l.p {
		return
	}
	l.moved += y
	if off := l.fret - q; off >= 1 && off < len(l.landed) {
		l.landed[off] += l.weight * y
	}
}

// learn counts the notes of l that forced no move.
func (c *cast) learn(l *lesson) {
	if c.manner != reacting || c.cover[l.fret][l.p] == 1 {
		c.learnt.free += l.weight * l.taken
		c.learnt.moved += l.weight * l.moved
	}
}
