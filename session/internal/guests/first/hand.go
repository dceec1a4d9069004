package first

import (
	"math"

	"stillhand/coach"
)

func (p *player) clamp(pos int) int { return max(1, min(pos, p.top)) }

// reach returns the fewest frets that the hand moves from pos to lay a finger
// on fret, signed.
func (p *player) reach(pos, fret int) int {
	switch {
	case fret < pos:
		return fret - pos
	case fret > pos+p.width-1:
		return fret - (pos + p.width - 1)
	}
	return 0
}

// under appends the places of pitch that a hand at pos plays without a move.
func (p *player) under(dst []coach.Place, pos, pitch int) []coach.Place {
	for _, pl := range p.neck.Places(nil, pitch) {
		if p.sys.Covers(pos, pl) {
			dst = append(dst, pl)
		}
	}
	return dst
}

// box lists the places of the window at pos that the scale has, lowest pitch
// first: what lies under the hand.
func (p *player) box(k key, pos int) []coach.Place {
	var out []coach.Place
	for s := p.neck.Strings(); s >= 1; s-- {
		for _, f := range p.sys.Fingers {
			if pl := (coach.Place{String: s, Fret: pos + f.Offset}); k.in(p.neck.Pitch(pl)) {
				out = append(out, pl)
			}
		}
	}
	return out
}

// grab finds pitch for a hand that does not look ahead: under the hand if it
// is there, otherwise the place with the smallest move.
func (p *player) grab(pos int, at coach.Place, pitch int, overshoot float64) (coach.Place, int) {
	best, bestCost := coach.Place{}, math.Inf(1)
	for _, pl := range p.neck.Places(nil, pitch) {
		cost := 0.8 * p.cross * math.Abs(float64(pl.String-at.String))
		if pl.Fret == 0 {
			if cost += 1.4 - 1.6*p.open; !p.chance(p.open) {
				cost += 4
			}
		} else if m := p.reach(pos, pl.Fret); m != 0 {
			if pos+m > p.top {
				cost += 8
			}
			cost += 1.5 + math.Abs(float64(m))
		}
		if cost < bestCost {
			best, bestCost = pl, cost
		}
	}
	if best.Fret == 0 {
		return best, pos
	}
	m := p.reach(pos, best.Fret)
	if m == 0 || (m == 1 || m == -1) && p.chance(p.extend*6) {
		return best, pos
	}
	to := pos + m
	if p.chance(overshoot) {
		further := to + sign(m)*(1+p.rng.IntN(2))
		if further >= 1 && further <= p.top && p.sys.Covers(further, best) {
			to = further
		}
	}
	return best, to
}

// openFor returns the string whose open note is pitch, or 0.
func (p *player) openFor(pitch int) int {
	for i, o := range p.neck.Open {
		if o == pitch {
			return i + 1
		}
	}
	return 0
}

// closest is the index of the place nearest to last by strings, fretted first
// for those who do not like open strings.
func (p *player) closest(in []coach.Place, last coach.Place) int {
	best, bestCost := 0, math.Inf(1)
	for i, pl := range in {
		cost := math.Abs(float64(pl.String - last.String))
		if pl.Fret == 0 {
			cost += 3 - 4*p.open
		}
		if cost < bestCost {
			best, bestCost = i, cost
		}
	}
	return best
}

func sign(x int) int {
	if x < 0 {
		return -1
	}
	return 1
}

func abs(x int) int { return max(x, -x) }
