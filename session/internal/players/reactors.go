package players

import (
	"math"

	"stillhand/coach"
)

// playImproviser follows the ear: the hand moves only when it must, to the
// nearest position that reaches the note.
func playImproviser(h *habits, n int) []Hit {
	at := stance{h.low + h.IntN(improviserStarts), 1 + h.IntN(h.neck.Strings())}
	h.crossDislike = 0.5 + 1.5*h.Float64()
	var hits []Hit
	for len(hits) < n {
		p := h.improvise(&at, h.line.next())
		hits = append(hits, Hit{Place: p, Position: at.position})
	}
	return hits
}

const improviserStarts = 5

// stance is all that an improviser remembers.
type stance struct{ position, str int }

// improvise decides where pitch is played, and moves at there.
func (h *habits) improvise(at *stance, pitch int) coach.Place {
	best, place, to := math.Inf(1), coach.Place{}, at.position
	for _, p := range h.places(pitch) {
		q := h.nearest(at.position, p)
		d := math.Abs(float64(q - at.position))
		cost := h.crossDislike*0.3*math.Abs(float64(p.String-at.str)) + 0.15*h.spread()
		if d > 0 {
			cost += 2.5 + 0.5*d
		}
		if p.Fret == 0 {
			cost += 2.2 - 4*h.open
		}
		if q > h.high {
			cost += 1.5
		}
		if cost < best {
			best, place, to = cost, p, q
		}
	}
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
	str := 1 + h.IntN(h.neck.Strings())
	position := h.low + h.IntN(6)
	up, down := h.width-1, 0 // the least move
	switch h.IntN(4) {
	case 0: // a fresh hand ahead
		up, down = h.IntN(2), h.width-1-h.IntN(2)
	case 1: // the same finger always
		up, down = h.finger, h.finger
	}
	slip := 0.25 * h.Float64()
	stray := 0.02 + 0.08*h.Float64()
	var hits []Hit
	for len(hits) < n {
		h.line.leaps, h.line.hi = 0.06, h.line.lo+24
		pitch := h.line.next()
		fret, ok := h.neck.Fret(pitch, str)
		if !ok || fret > h.high+4 || fret == 0 && !h.chance(h.open+0.3) || h.chance(stray) {
			best, at := math.Inf(1), 0
			for _, p := range h.places(pitch) {
				x := math.Abs(float64(p.Fret-position-1)) + math.Abs(float64(p.String-str)) + h.spread()
				if p.Fret == 0 && !h.chance(h.open) {
					x += 5
				}
				if x < best {
					best, at = x, p.String
				}
			}
			str = at
			fret, _ = h.neck.Fret(pitch, str)
		}
		p := place(str, fret)
		if !h.covers(position, p) {
			lead := up
			if fret < position {
				lead = down
			}
			if h.chance(slip) {
				lead = h.IntN(h.width)
			}
			to := h.clamp(fret - lead)
			if !h.covers(to, p) {
				to = h.nearest(position, p)
			}
			position = to
		}
		hits = append(hits, Hit{Place: p, Position: position})
	}
	return hits
}

// playStations knows a few stations on the neck and moves only between them.
func playStations(h *habits, n int) []Hit {
	var stations []int
	for q := 1; q <= h.high; q += 1 + h.IntN(2) {
		stations = append(stations, q)
	}
	at, str := h.IntN(len(stations)), 2
	var hits []Hit
	for len(hits) < n {
		pitch := h.line.next()
		best := math.Inf(1)
		var p coach.Place
		to := -1
		for _, c := range h.places(pitch) {
			for i, q := range stations {
				if !h.covers(q, c) {
					continue
				}
				x := 0.4*math.Abs(float64(c.String-str)) + 0.2*h.spread()
				if i != at {
					x += 1.5 + 0.6*math.Abs(float64(i-at))
				}
				if c.Fret == 0 {
					x += 1 - 3*h.open
				}
				if x < best {
					best, p, to = x, c, i
				}
			}
		}
		if to < 0 {
			h.line.at = (h.line.lo + h.line.hi) / 2
			continue
		}
		at, str = to, p.String
		hits = append(hits, Hit{Place: p, Position: stations[at]})
	}
	return hits
}

func sign(d int) int {
	if d < 0 {
		return -1
	}
	return 1
}
