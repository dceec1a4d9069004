package first

import (
	"math"

	"stillhand/coach"
)

// improvise plays what the ear wants next and moves only when that is out of
// reach, as few frets as do (some players overshoot a little).
func (p *player) improvise(n int) []note {
	near := p.in(0.5, 0.82)     // share of ideas found under the hand
	overshoot := p.in(0.1, 0.4) // chance of moving further than needed
	run := p.in(0.6, 0.9)       // chance of going on in the same direction
	back := p.in(0.01, 0.05)    // chance of longing for home
	phrase := 6 + p.rng.IntN(12)
	if p.chance(0.25) {
		overshoot = 0
	}
	k := p.newKey()
	pos := p.home
	at := coach.Place{String: 2 + p.rng.IntN(2), Fret: pos}
	dir := 1
	beat := p.rhythm()
	left := phrase
	notes := make([]note, 0, n)
	low, high := p.neck.Open[len(p.neck.Open)-1], p.neck.Open[0]+p.top+p.width-1
	for len(notes) < n {
		if p.chance(0.01) {
			k = p.newKey()
		}
		if !p.chance(run) {
			dir = -dir
		}
		var pitch int
		here := p.neck.Pitch(at)
		switch {
		case p.chance(near):
			pitch = p.nearby(k, pos, at, dir)
		case p.chance(back / (1 - near)):
			pitch = k.step(p.neck.Pitch(coach.Place{String: 3, Fret: p.home}), p.rng.IntN(3))
		case p.chance(0.25):
			pitch = here + dir*[...]int{7, 12, 5}[p.rng.IntN(3)]
		default:
			pitch = k.step(here, dir*(1+p.rng.IntN(3)))
		}
		for pitch < low {
			pitch, dir = pitch+12, 1
		}
		for pitch > high {
			pitch, dir = pitch-12, -1
		}
		at, pos = p.grab(pos, at, pitch, overshoot)
		nt := note{at, pos, beat(), 0}
		if left--; left <= 0 {
			nt.rest = float64(1 + p.rng.IntN(3))
			nt.beats += nt.rest
			left = phrase/2 + p.rng.IntN(phrase)
		}
		notes = append(notes, nt)
	}
	return notes
}

// nearby is the pitch of a scale note under the hand, in direction dir and
// close to where the hand plays.
func (p *player) nearby(k key, pos int, at coach.Place, dir int) int {
	here := p.neck.Pitch(at)
	box := p.box(k, pos)
	if len(box) == 0 {
		return here
	}
	weights := make([]float64, len(box))
	for i, pl := range box {
		d := (p.neck.Pitch(pl) - here) * dir
		switch {
		case d > 0:
			weights[i] = 1 / float64(1+d)
		case d == 0:
			weights[i] = 0.05
		default:
			weights[i] = 0.1 / float64(1-d)
		}
		weights[i] *= math.Exp(-p.cross * math.Abs(float64(pl.String-at.String)) * 0.5)
	}
	return p.neck.Pitch(box[p.pick(weights)])
}
