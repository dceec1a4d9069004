package third

import (
	"math"

	"stillhand/coach"
)

// windows chooses a box, plays in it, and leaves it on purpose, mostly where the
// phrase ends.
func (p *player) windows(n int) []step {
	events := p.rhythm(n)
	stay := 6 + p.r.IntN(14)      // notes that a box is worth
	atEnds := p.between(0.4, 1)   // moves wait for the end of a phrase
	foreign := p.between(0, 0.12) // notes out of the key
	skip, turn := p.between(0.2, 0.55), p.between(0.05, 0.18)
	again := p.between(0.05, 0.3)
	boxes := p.boxes()
	pos := boxes[p.r.IntN(len(boxes))]
	notes := p.box(pos, foreign)
	k, dir, left := p.r.IntN(len(notes)), 1, stay
	score := make([]step, 0, len(events))
	for i, e := range events {
		left--
		if i > 0 && left < 0 && (e.newPhrase || !p.chance(atEnds) && p.chance(0.4)) || left < -2*stay {
			pos = p.nextBox(boxes, pos)
			old := p.neck.Pitch(notes[k])
			notes = p.box(pos, foreign)
			left = stay/2 + p.r.IntN(stay)
			// It starts on the root, or goes on from where the line was.
			k = 0
			root := p.chance(0.5)
			for j, pl := range notes {
				pitch := p.neck.Pitch(pl)
				if root && ((pitch-p.key)%12+12)%12 == 0 && p.chance(0.7) {
					k = j
					break
				}
				if !root && abs(pitch-old) < abs(p.neck.Pitch(notes[k])-old) {
					k = j
				}
			}
		} else if !p.chance(again) {
			d := 1
			if p.chance(skip) {
				d = pick(p.r, 2, 2, 3, 4)
			}
			if p.chance(turn) || k+dir*d < 0 || k+dir*d >= len(notes) {
				dir = -dir
			}
			k = min(max(k+dir*d, 0), len(notes)-1)
		}
		pl := notes[k]
		// The same pitch may lie open beside the box.
		if f := p.neck.Pitch(pl); p.chance(p.hand.open * p.lowHand(pos)) {
			for s, open := range p.neck.Open {
				if open == f {
					pl = coach.Place{String: s + 1}
				}
			}
		}
		at := pos
		if len(score) > 0 && pl.Fret == 0 { // an open string does not move the hand
			at = score[len(score)-1].pos
		}
		score = append(score, step{place: pl, pos: at, beat: e.beat, length: e.length, phrase: e.phrase})
	}
	return score
}

// boxes are the positions where this player's key lies well, near home first.
func (p *player) boxes() []int {
	var boxes []int
	for q := 1; q <= min(p.last, p.hand.top-p.width+1); q++ {
		held := 0
		for s := range p.neck.Strings() {
			if p.inScale(p.neck.Open[s] + q) {
				held++
			}
			if p.inScale(p.neck.Open[s] + q + p.width - 1) {
				held++
			}
		}
		if held >= 6 || held == 5 && p.chance(0.7) || held == 4 && abs(q-p.hand.home) <= 1 {
			boxes = append(boxes, q)
		}
	}
	if len(boxes) < 2 { // a key that lies badly everywhere
		boxes = append(boxes, p.hand.home, p.hand.home+3)
	}
	return boxes
}

// nextBox is another box: neighbours mostly, near home mostly, now and then
// far away.
func (p *player) nextBox(boxes []int, pos int) int {
	far := p.chance(0.08)
	best, ticket := pos, 0.0
	for _, q := range boxes {
		d := abs(q - pos)
		if d == 0 || d > 5 && !far {
			continue
		}
		x := p.r.Float64() / (1 + 0.35*float64(abs(q-p.hand.home)))
		if !far {
			x /= math.Sqrt(float64(d))
		}
		if x > ticket {
			best, ticket = q, x
		}
	}
	return best
}

// box lists the notes of a window from low to high.
func (p *player) box(pos int, foreign float64) []coach.Place {
	var notes []coach.Place
	for s := p.neck.Strings(); s >= 1; s-- {
		for f := pos; f < pos+p.width; f++ {
			if pl := (coach.Place{String: s, Fret: f}); p.inScale(p.neck.Pitch(pl)) || p.chance(foreign) {
				notes = append(notes, pl)
			}
		}
	}
	if len(notes) == 0 {
		notes = append(notes, coach.Place{String: 2, Fret: pos})
	}
	return notes
}
