package coach

// A string sounds one note at a time: a note that still sounds when the next is
// struck lies on another string. Not quite always, for keys know no strings and
// a converter may end a note late; so what a player's notes do is learnt, by how
// the strings of two notes lie.
const (
	sameString  = iota
	otherString // after a fretted note
	offOpen     // after an open string, which sounds without the hand
	crossings
)

// crossing is how span s lies to b, the one before it.
func crossing(b, s *span) int {
	switch {
	case b.str == s.str:
		return sameString
	case b.fret == 0:
		return offOpen
	}
	return otherString
}

// sustain is what is known of whether a note still sounds when the next is
// struck, in expected bound notes by crossing.
type sustain struct {
	ended, held [crossings]float64
}

// usualSustain is what a player is taken for before any note: what a string
// cannot do is most improbable. Tuned on simulated players.
var usualSustain = sustain{ended: [crossings]float64{3, 1.7, 2.6}, held: [crossings]float64{0.086, 1.4, 1.9}}

// read is the likelihood of what a note did by crossing, against that of any
// note to do so. A note that was cut short says nothing: bound is the
// probability that it was not.
func (s *sustain) read(held bool, bound float64) (like [crossings]float64) {
	counts, usual := &s.ended, &usualSustain.ended
	if held {
		counts, usual = &s.held, &usualSustain.held
	}
	did, all := 0.0, 0.0
	for c := range like {
		x := counts[c] + usual[c]
		n := s.ended[c] + s.held[c] + usualSustain.ended[c] + usualSustain.held[c]
		like[c] = x / n
		did += x
		all += n
	}
	for c := range like {
		like[c] = 1 + bound*(like[c]*all/did-1)
	}
	return like
}

// learn takes what a note did that was bound with this probability, and the
// probability of each crossing to the next.
func (s *sustain) learn(held bool, bound float64, p [crossings]float64) {
	counts := &s.ended
	if held {
		counts = &s.held
	}
	for c, x := range p {
		counts[c] += bound * x
	}
}

// notes is how many were heard.
func (s *sustain) notes() float64 { return sum(s.ended[:]) + sum(s.held[:]) }

// scale makes everything count x times what it did.
func (s *sustain) scale(x float64) {
	for c := range s.ended {
		s.ended[c] *= x
		s.held[c] *= x
	}
}
