package second

import (
	"math"
	"math/rand/v2"

	"stillhand/coach"
)

// compass is the range of pitches that a player at home there thinks in: from
// the lowest string to somewhere on the highest.
func (p *player) compass(r *rand.Rand) (lo, hi int) {
	e, g := p.neck.Open[p.neck.Strings()-1], p.neck.Open[0]
	return e + max(0, p.home-2), g + p.home + from(r, -2, p.width)
}

// clamp holds a position to the neck.
func (p *player) clamp(position int) int { return min(max(position, 1), p.top) }

// openPlace is the open string of this pitch, if there is one.
func (p *player) openPlace(pitch int) (coach.Place, bool) {
	for s, o := range p.neck.Open {
		if o == pitch {
			return coach.Place{String: s + 1}, true
		}
	}
	return coach.Place{}, false
}

// wantsOpen is the player's answer to an open string on offer.
func (p *player) wantsOpen(reached bool) bool {
	switch p.open {
	case openNever:
		return chance(p.hand, 0.02)
	case openLow:
		return p.at <= 4 && chance(p.hand, 0.9) || !reached && chance(p.hand, 0.15)
	case openRescue:
		return !reached
	default:
		return chance(p.hand, 0.93)
	}
}

// inWindow is the place of pitch under the hand at position.
func (p *player) inWindow(position, pitch int) (coach.Place, bool) {
	for s := 1; s <= p.neck.Strings(); s++ {
		if f, ok := p.neck.Fret(pitch, s); ok && f > 0 && p.system.Covers(position, coach.Place{String: s, Fret: f}) {
			return coach.Place{String: s, Fret: f}, true
		}
	}
	return coach.Place{}, false
}

// stretched is the place of pitch one fret outside the window.
func (p *player) stretched(position, pitch int) (coach.Place, bool) {
	for s := 1; s <= p.neck.Strings(); s++ {
		f, ok := p.neck.Fret(pitch, s)
		if ok && f > 0 && (f == position-1 || f == position+p.width) {
			return coach.Place{String: s, Fret: f}, true
		}
	}
	return coach.Place{}, false
}

// nearest is where pitch is taken when the hand must move: the place that
// costs this player least in travel and strings, then the landing finger.
func (p *player) nearest(pitch int) (coach.Place, int) {
	best, bestCost := coach.Place{}, math.Inf(1)
	for _, c := range p.neck.Places(nil, pitch) {
		if c.Fret == 0 {
			continue
		}
		travel := max(p.at-c.Fret, c.Fret-(p.at+p.width-1), 0)
		cost := float64(travel) + p.crossing*float64(abs(c.String-p.last.String)) +
			0.15*math.Abs(float64(c.Fret-p.home)) + 0.3*p.hand.Float64()
		if c.Fret > p.neck.Frets-4 {
			cost += 4
		}
		if cost < bestCost {
			best, bestCost = c, cost
		}
	}
	if best.String == 0 { // only the open string has it
		o, _ := p.openPlace(pitch)
		return o, p.at
	}
	return best, p.land(best.Fret)
}

// land is the position after moving onto fret.
func (p *player) land(fret int) int {
	if fret > p.at+p.width-1 {
		if p.landUp >= 0 {
			return p.clamp(fret - p.landUp)
		}
		return p.clamp(fret - p.width + 1)
	}
	if fret < p.at {
		if p.landDown >= 0 {
			return p.clamp(fret - p.landDown)
		}
		return p.clamp(fret)
	}
	return p.at
}

// react plays one pitch with the hand where it is if that is possible, and
// moves otherwise. It updates the hand.
func (p *player) react(s *step) {
	place, ok := p.inWindow(p.at, s.pitch)
	if o, has := p.openPlace(s.pitch); has && p.wantsOpen(ok) {
		place, ok = o, true
	}
	if !ok && chance(p.hand, p.extend) {
		place, ok = p.stretched(p.at, s.pitch)
	}
	if !ok {
		before := p.at
		place, p.at = p.nearest(s.pitch)
		s.slid = place.Fret > 0 && p.at != before && place.String == p.last.String && p.last.Fret > 0 &&
			place.Fret != p.last.Fret && chance(p.hand, p.slide)
	}
	s.place, s.position = place, p.at
	p.last = place
}
