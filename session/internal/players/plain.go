package players

import (
	"math"

	"stillhand/coach"
)

// Plain are two hands without habits, the textbook cases: they show what the
// tracker makes of a player who does exactly one thing.
var Plain = []Family{
	{"reacts", playReacts},
	{"draws", playDraws},
}

// playReacts moves only when no string has the note in the window, and then
// the least; its tune is a random walk.
func playReacts(h *habits, n int) []Hit {
	position, str := 1+h.IntN(9), 1+h.IntN(h.neck.Strings())
	pitch := h.neck.Pitch(place(str, position))
	lowest, highest := h.neck.Open[h.neck.Strings()-1], h.neck.Open[0]+16
	var hits []Hit
	for len(hits) < n {
		next := pitch + int(math.Round(h.NormFloat64()*3.5))
		if next < lowest || next > highest {
			continue
		}
		pitch = next
		best, at, to := math.Inf(1), coach.Place{}, 0
		for _, p := range h.places(pitch) {
			q := h.nearest(position, p)
			cost := 10*math.Abs(float64(q-position)) + math.Abs(float64(p.String-str))
			if p.Fret == 0 {
				cost++
			}
			if cost < best {
				best, at, to = cost, p, q
			}
		}
		position, str = to, at.String
		hits = append(hits, Hit{Place: at, Position: position})
	}
	return hits
}

// playDraws draws its notes evenly from a window that moves now and then.
func playDraws(h *habits, n int) []Hit {
	position := 1 + h.IntN(12)
	var hits []Hit
	for len(hits) < n {
		if h.chance(0.08) {
			position = h.clamp(position + (1-2*h.IntN(2))*(1+h.IntN(6)))
		}
		p := place(1+h.IntN(h.neck.Strings()), position+h.IntN(h.width))
		if h.chance(0.08) {
			p.Fret = 0
		}
		hits = append(hits, Hit{Place: p, Position: position})
	}
	return hits
}
