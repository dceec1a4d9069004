package fourth

import (
	"math"

	"stillhand/coach"
)

// stance is a hand at a position with a note under a finger, or an open string.
type stance struct {
	position int
	place    coach.Place
}

// covers reports whether the hand at position has fret under a finger.
func (p *player) covers(position, fret int) bool { return fret >= position && fret < position+p.width }

// outside reports whether fret lies next to the window at position, where a
// finger may stretch to.
func (p *player) outside(position, fret int) bool {
	return fret == position-1 || fret == position+p.width
}

// reach is where the hand at position must at least go to play fret.
func (p *player) reach(position, fret int) int {
	switch {
	case fret < position:
		return fret
	case fret >= position+p.width:
		return fret - p.width + 1
	}
	return position
}

// places lists where pitch lies up to the fret top.
func (p *player) places(pitch, top int) []coach.Place {
	neck := p.neck
	neck.Frets = min(top, neck.Frets)
	return neck.Places(nil, pitch)
}

// choose takes the place of pitch that costs least, up to the fret top. cost is
// asked of each place, with the position that the hand would play it at.
func (p *player) choose(pitch, top int, cost func(place coach.Place) (position int, cost float64)) stance {
	best, least := stance{}, math.Inf(1)
	for _, place := range p.places(pitch, top) {
		if position, c := cost(place); c < least {
			best, least = stance{position, place}, c
		}
	}
	return best
}

// under lists the stances at position that play notes of k, string by string
// from the lowest note up. Open strings count in the low positions only.
func (p *player) under(position int, k key, opens bool) []stance {
	var all []stance
	for str := p.neck.Strings(); str >= 1; str-- {
		add := func(fret int) {
			if place := (coach.Place{String: str, Fret: fret}); k.holds(p.neck.Pitch(place)) {
				all = append(all, stance{position, place})
			}
		}
		if opens && position <= 4 {
			add(0)
		}
		for fret := position; fret < position+p.width; fret++ {
			add(fret)
		}
	}
	return all
}

// slides marks a share of the moves along one string, by as far as the fingers
// go, as slid.
func (p *player) slides(line []event, share float64) {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], &line[i]
		way := b.place.Fret - a.place.Fret
		b.slid = a.place.String == b.place.String && a.place.Fret > 0 && b.place.Fret > 0 && way != 0 && abs(way) <= 7 &&
			a.rest == 0 && b.position-a.position == way && p.chance(share)
	}
}
