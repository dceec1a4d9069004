package players

import (
	"math"

	"stillhand/coach"
)

// playWindow chooses a window, plays in it, and moves on purpose.
func playWindow(h *habits, n int) []Hit { return h.dwell(h.newWindow(), n) }

func (h *habits) dwell(w window, n int) []Hit {
	position := w.favourites[0]
	left := w.stay
	places := h.under(position)
	at := h.IntN(len(places))
	var hits []Hit
	for len(hits) < n {
		if left--; left <= 0 {
			before := position
			for position == before {
				if h.chance(w.jump) {
					position = w.favourites[h.IntN(len(w.favourites))]
					if h.chance(0.3) {
						position = h.box(h.clamp(1 + h.IntN(h.high)))
					}
				} else {
					position = h.clamp(position + windowMoves[h.IntN(len(windowMoves))])
					if w.boxes {
						position = h.box(position)
					}
				}
			}
			left = 1 + int(float64(w.stay)*(0.3+1.4*h.Float64()))
			pitch := h.neck.Pitch(places[at])
			places = h.under(position)
			at = h.closest(places, pitch)
		}
		switch {
		case h.chance(w.stepwise):
			at = max(0, min(len(places)-1, at+windowSteps[h.IntN(len(windowSteps))]))
		case h.chance(0.3):
		default:
			at = h.IntN(len(places))
		}
		p := places[at]
		if h.chance(h.open * 0.25) {
			p = place(1+h.IntN(h.neck.Strings()), 0)
		} else if h.chance(h.extends * 0.15) {
			if f := position + h.width; f <= h.neck.Frets {
				p.Fret = f
			}
		}
		hits = append(hits, Hit{Place: p, Position: position})
		if h.chance(w.double) {
			if o, ok := h.partner(places, p); ok {
				hits = append(hits, Hit{On: together, Place: o, Position: position})
			}
		}
	}
	return hits[:n]
}

// window is how one player chooses windows and notes in them.
type window struct {
	favourites []int
	stay       int     // usual notes in a window
	jump       float64 // share of moves to a place of choice, not a step away
	double     float64 // share of notes that a second is struck with
	stepwise   float64 // share of notes next to the one before
	boxes      bool    // moves to boxes only
}

// Frets that a window moves by, and notes that a step in it goes.
var (
	windowMoves = []int{-7, -5, -4, -3, -2, -1, 1, 2, 3, 4, 5, 7}
	windowSteps = []int{-2, -1, -1, 1, 1, 2}
)

func (h *habits) newWindow() window {
	w := window{favourites: make([]int, 3+h.IntN(4))}
	for i := range w.favourites {
		w.favourites[i] = h.box(h.clamp(1 + h.IntN(h.high)))
	}
	w.stay = 10 + h.IntN(30)
	w.jump = h.Float64()
	w.double = 0.03 * h.Float64() * h.Float64()
	w.stepwise = 0.2 + 0.6*h.Float64()
	w.boxes = h.chance(0.5)
	return w
}

// closest is the index of the place whose pitch is nearest to pitch.
func (h *habits) closest(places []coach.Place, pitch int) int {
	at := 0
	for i, p := range places {
		if abs(h.neck.Pitch(p)-pitch) < abs(h.neck.Pitch(places[at])-pitch) {
			at = i
		}
	}
	return at
}

// partner is the place to strike together with p, if there is one.
func (h *habits) partner(places []coach.Place, p coach.Place) (coach.Place, bool) {
	for _, o := range places {
		if d := h.neck.Pitch(o) - h.neck.Pitch(p); p.Fret > 0 && o.String != p.String && d >= 5 && d <= 9 {
			return o, true
		}
	}
	return coach.Place{}, false
}

// box is the position nearest to from whose outer fingers both have work in
// the tune's scale on two strings or more.
func (h *habits) box(from int) int {
	for d := range h.top {
		for _, q := range [2]int{from + d, from - d} {
			if q < 1 || q > h.top {
				continue
			}
			edge := [2]int{}
			for s := range h.neck.Open {
				for i, f := range [2]int{q, q + h.width - 1} {
					for _, o := range h.line.scale {
						if ((h.neck.Open[s]+f-h.line.key)%12+12)%12 == o {
							edge[i]++
						}
					}
				}
			}
			if edge[0] >= 2 && edge[1] >= 2 {
				return q
			}
		}
	}
	return from
}

// under lists the places under the hand that lie in the tune's scale, in
// order of pitch; all of them where the scale leaves too few.
func (h *habits) under(position int) []coach.Place {
	var in, all []coach.Place
	for s := h.neck.Strings(); s >= 1; s-- {
		for f := position; f < position+h.width; f++ {
			p := place(s, f)
			all = append(all, p)
			for _, d := range h.line.scale {
				if ((h.neck.Pitch(p)-h.line.key)%12+12)%12 == d {
					in = append(in, p)
				}
			}
		}
	}
	if len(in) < 4 {
		return all
	}
	return in
}

func abs(a int) int { return max(a, -a) }

// playWalking walks over changes: roots in known shapes, chord notes in the
// hand, and a step into the next root.
func playWalking(h *habits, n int) []Hit {
	root, at, shape := h.newWalk()
	var hits []Hit
	for len(hits) < n {
		minor := h.chance(0.5)
		third := 4
		if minor {
			third = 3
		}
		tones := []int{0, third, 7, 12, 10, third + 12, 5, 2, -5, -2}
		next := root + []int{5, -7, 2, -2, 5, -5, 3, 7, -1, 1}[h.IntN(10)]
		for next > h.neck.Open[h.neck.Strings()-1]+17 {
			next -= 12
		}
		for next < h.neck.Open[h.neck.Strings()-1] {
			next += 12
		}
		bar := []int{root}
		for len(bar) < 3 {
			c := root + tones[h.IntN(len(tones))]
			if d := c - bar[len(bar)-1]; d != 0 && abs(d) <= 12 && c >= h.neck.Open[h.neck.Strings()-1] {
				bar = append(bar, c)
			}
		}
		approach := next + []int{-1, 1, -2, 2, 7, -5}[h.IntN(6)]
		if approach < h.neck.Open[h.neck.Strings()-1] {
			approach = next + 1
		}
		bar = append(bar, approach)
		for i, pitch := range bar {
			p := h.walk(&at, shape, i, pitch, next)
			hits = append(hits, Hit{Place: p, Position: at.position})
		}
		root = next
	}
	return hits[:n]
}

const walkStarts = 4

// newWalk draws the first root, where the hand begins, and the finger offset
// under roots.
func (h *habits) newWalk() (root int, at stance, shape int) {
	root = h.neck.Open[h.neck.Strings()-1] + h.IntN(12)
	at = stance{h.low + h.IntN(walkStarts), h.neck.Strings()}
	return root, at, h.IntN(2)
}

// walk decides where pitch, note i of a bar before the root next, is played,
// and moves at there.
func (h *habits) walk(at *stance, shape, i, pitch, next int) coach.Place {
	o := h.choose(h.footings(*at, shape, i, pitch, next), walkNoise)
	place, to, position := o.place, o.to, at.position
	if d := to - position; (d == 1 || d == -1) && h.chance(h.extends) {
		to = position
	}
	*at = stance{to, place.String}
	return place
}

const walkNoise = 0.25

// footings lists how a walking hand may play pitch.
func (h *habits) footings(at stance, shape, i, pitch, next int) []option {
	var all []option
	for _, p := range h.places(pitch) {
		targets := []int{h.nearest(at.position, p)}
		if i == 0 && p.Fret > 0 {
			if q := h.clamp(p.Fret - shape); h.covers(q, p) {
				targets = append(targets, q)
			}
		}
		for j, q := range targets {
			x := 0.35 * math.Abs(float64(p.String-at.str))
			if q != at.position {
				x += 1.2 + 0.35*math.Abs(float64(q-at.position))
			}
			if j == 1 {
				x -= 1.8
			}
			if i == 3 && !h.reaches(q, next) {
				x += 0.6
			}
			if p.Fret == 0 {
				x += 1.2 - 4*h.open
				if at.position > 5 {
					x += 1
				}
			}
			if q > h.high {
				x += 2
			}
			all = append(all, option{p, q, x})
		}
	}
	return all
}

// reaches reports whether some string plays pitch with the hand at position.
func (h *habits) reaches(position, pitch int) bool {
	for _, p := range h.places(pitch) {
		if h.covers(position, p) {
			return true
		}
	}
	return false
}
