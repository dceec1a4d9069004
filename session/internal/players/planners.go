package players

import (
	"math"

	"stillhand/coach"
)

// costs are what a planning hand weighs, in arbitrary units.
type costs struct {
	move, moveMM, cross, open, high, edge float64
}

func (h *habits) costs() costs {
	return costs{
		move:   0.6 + 1.8*h.Float64(),
		moveMM: 0.004 + 0.016*h.Float64(),
		cross:  0.05 + 0.4*h.Float64(),
		open:   0.9 - 2.2*h.open,
		high:   0.05 * h.Float64(),
		edge:   0.3 * h.Float64(),
	}
}

type cell struct {
	place    coach.Place
	position int
}

// plan finds the cheapest way to play tune from start (position 0: anywhere),
// with the player's noise on every judgement.
func (h *habits) plan(tune []int, start cell, c costs) []cell {
	type state struct {
		cell
		cost float64
		back int
	}
	layers := make([][]state, len(tune))
	for i, pitch := range tune {
		for _, p := range h.places(pitch) {
			for q := 1; q <= h.top; q++ {
				if !h.covers(q, p) {
					continue
				}
				layers[i] = append(layers[i], state{cell{p, q}, h.own(c, cell{p, q}), -1})
			}
		}
	}
	for i := range layers {
		for j := range layers[i] {
			s := &layers[i][j]
			if i == 0 {
				if start.position > 0 {
					s.cost += h.step(c, start, s.cell)
				} else {
					s.cost += 0.1 * float64(s.position)
				}
				continue
			}
			best, at := math.Inf(1), -1
			for k, b := range layers[i-1] {
				if x := b.cost + h.step(c, b.cell, s.cell); x < best {
					best, at = x, k
				}
			}
			s.cost += best
			s.back = at
		}
	}
	last := len(layers) - 1
	at := 0
	for j, s := range layers[last] {
		if s.cost < layers[last][at].cost {
			at = j
		}
	}
	way := make([]cell, len(tune))
	for i := last; i >= 0; i-- {
		way[i] = layers[i][at].cell
		at = layers[i][at].back
	}
	return way
}

// own is what playing at a cell costs, as judged this once.
func (h *habits) own(c costs, at cell) float64 {
	x := c.high*float64(max(0, at.place.Fret-7)) + 0.3*h.spread()*c.move*0.5
	if at.place.Fret == 0 {
		x += c.open
	}
	if off := at.place.Fret - at.position; at.place.Fret > 0 && off == h.width-1 {
		x += c.edge
	}
	return x
}

// step is what going from a to b costs.
func (h *habits) step(c costs, a, b cell) float64 {
	x := c.cross * math.Abs(float64(a.place.String-b.place.String))
	if a.position != b.position {
		x += c.move + c.moveMM*math.Abs(h.neck.FretMM(a.position)-h.neck.FretMM(b.position))
	}
	return x
}

// playReader reads a part and plans several notes ahead.
func playReader(h *habits, n int) []Hit {
	r := h.newReader(n)
	var hits []Hit
	var at cell
	for len(hits) < n {
		way := h.plan(r.tune[len(hits):len(hits)+r.ahead], at, r.weighs)
		for _, w := range way[:r.keep] {
			hits = append(hits, Hit{Place: w.place, Position: w.position})
			at = w
		}
	}
	return hits[:n]
}

// reader is how one player reads, and the part.
type reader struct {
	weighs      costs
	ahead, keep int // notes of a plan, and how many are played as planned
	tune        []int
}

func (h *habits) newReader(n int) reader {
	r := reader{weighs: h.costs(), ahead: 4 + h.IntN(6), keep: 1 + h.IntN(3)}
	r.tune = h.line.tune(n + r.ahead)
	return r
}
