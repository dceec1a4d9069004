package players

import (
	"math"

	"stillhand/coach"
)

// playImproviser follows the ear: the hand moves only when it must, to the
// nearest position that reaches the note.
func playImproviser(h *habits, n int) []Hit {
	at := h.newImproviser()
	var hits []Hit
	for len(hits) < n {
		p := h.improvise(&at, h.line.next())
		hits = append(hits, Hit{Place: p, Position: at.position})
	}
	return hits
}

const improviserStarts = 5

// newImproviser draws where an improviser begins, and the taste for strings.
func (h *habits) newImproviser() stance {
	at := stance{h.low + h.IntN(improviserStarts), 1 + h.IntN(h.neck.Strings())}
	h.crossDislike = 0.5 + 1.5*h.Float64()
	return at
}

// stance is all that a reacting hand remembers.
type stance struct{ position, str int }

// option is one way to play a note: where, the position that takes, and what
// speaks against it.
type option struct {
	place coach.Place
	to    int
	cost  float64
}

// choose takes the option that seems cheapest, each judged with the player's
// noise times scale.
func (h *habits) choose(options []option, scale float64) option {
	best, at := math.Inf(1), 0
	for i, o := range options {
		if x := o.cost + scale*h.spread(); x < best {
			best, at = x, i
		}
	}
	return options[at]
}

const improviserNoise = 0.15

// improvise decides where pitch is played, and moves at there.
func (h *habits) improvise(at *stance, pitch int) coach.Place {
	o := h.choose(h.ideas(*at, pitch), improviserNoise)
	place, to := o.place, o.to
	if to != at.position {
		if d := to - at.position; (d == 1 || d == -1) && h.chance(h.extends) {
			to = at.position
		} else if h.chance(h.overshot) {
			further := h.clamp(to + sign(to-at.position)*(1+h.IntN(2)))
			if h.covers(further, place) {
				to = further
			}
		}
	}
	*at = stance{to, place.String}
	return place
}

// ideas lists how an improviser may play pitch.
func (h *habits) ideas(at stance, pitch int) []option {
	var all []option
	for _, p := range h.places(pitch) {
		q := h.nearest(at.position, p)
		d := math.Abs(float64(q - at.position))
		cost := h.crossDislike * 0.3 * math.Abs(float64(p.String-at.str))
		if d > 0 {
			cost += 2.5 + 0.5*d
		}
		if p.Fret == 0 {
			cost += 2.2 - 4*h.open
		}
		if q > h.high {
			cost += 1.5
		}
		all = append(all, option{p, q, cost})
	}
	return all
}

// nearest is the position closest to from that plays p.
func (h *habits) nearest(from int, p coach.Place) int {
	if h.covers(from, p) {
		return from
	}
	for d := 1; d <= h.top; d++ {
		for _, q := range [2]int{from - d, from + d} {
			if q >= 1 && q <= h.top && h.covers(q, p) {
				return q
			}
		}
	}
	return from
}

// playAlong sings along one string: a leading finger takes each new stretch
// of the neck, and the string changes only where the tune leaves it.
func playAlong(h *habits, n int) []Hit {
	a, at := h.newAlong()
	h.line.leaps, h.line.hi = 0.06, h.line.lo+24
	var hits []Hit
	for len(hits) < n {
		p := h.sing(a, &at, h.line.next())
		hits = append(hits, Hit{Place: p, Position: at.position})
	}
	return hits
}

const alongStarts = 6

// along is how one player plays along a string.
type along struct {
	up, down    int     // offset of the leading finger
	slip, stray float64 // share of moves and notes out of habit
}

// newAlong draws a way to play along a string, and where it begins.
func (h *habits) newAlong() (along, stance) {
	str := 1 + h.IntN(h.neck.Strings())
	at := stance{h.low + h.IntN(alongStarts), str}
	a := along{up: h.width - 1} // the least move
	switch h.IntN(4) {
	case 0: // a fresh hand ahead
		a.up, a.down = h.IntN(2), h.width-1-h.IntN(2)
	case 1: // the same finger always
		a.up, a.down = h.finger, h.finger
	}
	a.slip = 0.25 * h.Float64()
	a.stray = 0.02 + 0.08*h.Float64()
	return a, at
}

// sing decides where pitch is played, and moves at there.
func (h *habits) sing(a along, at *stance, pitch int) coach.Place {
	position, str := at.position, at.str
	fret, ok := h.neck.Fret(pitch, str)
	if !ok || fret > h.high+4 || fret == 0 && !h.chance(h.open+0.3) || h.chance(a.stray) {
		best, to := math.Inf(1), 0
		for _, o := range h.strays(*at, pitch) {
			x := o.cost + h.spread()
			if o.place.Fret == 0 && !h.chance(h.open) {
				x += shunned
			}
			if x < best {
				best, to = x, o.place.String
			}
		}
		str = to
		fret, _ = h.neck.Fret(pitch, str)
	}
	p := place(str, fret)
	if !h.covers(position, p) {
		lead := a.up
		if fret < position {
			lead = a.down
		}
		if h.chance(a.slip) {
			lead = h.IntN(h.width)
		}
		to := h.clamp(fret - lead)
		if !h.covers(to, p) {
			to = h.nearest(position, p)
		}
		position = to
	}
	*at = stance{position, str}
	return p
}

// shunned is the cost of an open string to a hand that would rather not.
const shunned = 5

// strays lists where a hand along a string may go on with pitch; the strings
// only, not the positions.
func (h *habits) strays(at stance, pitch int) []option {
	var all []option
	for _, p := range h.places(pitch) {
		cost := math.Abs(float64(p.Fret-at.position-1)) + math.Abs(float64(p.String-at.str))
		all = append(all, option{place: p, cost: cost})
	}
	return all
}

func sign(d int) int {
	if d < 0 {
		return -1
	}
	return 1
}
