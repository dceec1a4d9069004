package first

import (
	"math"

	"stillhand/coach"
)

// windows plays box after box: a window is chosen, played in for a while and
// left on purpose, often at the end of a phrase.
func (p *player) windows(n int) []note {
	k := p.newKey()
	favourites := make([]int, 3+p.rng.IntN(3))
	for i := range favourites {
		favourites[i] = p.clamp(p.home - 4 + p.rng.IntN(8))
		for try := 0; try < 8 && !p.fits(k, favourites[i]); try++ {
			favourites[i] = p.clamp(p.home - 4 + p.rng.IntN(8))
		}
	}
	roam := p.in(0, 0.5)          // chance of a window outside the list
	stay := p.in(11, 25)          // notes in a window, mean
	steady := p.in(0.25, 0.8)     // chance of the next or last note of the box
	outside := p.in(0.1, 0.4)     // chance of a note off the scale
	breathe := p.in(0.1, 0.7)     // chance of a rest before a move
	far := p.in(2, 5)             // how far a move goes
	drone := p.open * p.in(0, .2) // chance of an open string
	beat := p.rhythm()
	purpose := p.in(0.6, 1) // chance that the first note is one the old window lacks
	pos := favourites[0]
	was := pos
	notes := make([]note, 0, n)
	for len(notes) < n {
		length := max(3, int(stay*(0.4+0.6*p.rng.ExpFloat64())))
		box := p.box(k, pos)
		if len(box) == 0 {
			k = p.newKey()
			continue
		}
		i, dir := p.rng.IntN(len(box)), 1-2*p.rng.IntN(2)
		if p.chance(purpose) {
			i = p.edge(box, pos, was)
		}
		was = pos
		for j := range length {
			if p.chance(steady) {
				i += dir
			} else {
				i += p.rng.IntN(7) - 3
			}
			if i < 0 || i >= len(box) {
				dir = -dir
				i = max(0, min(i, len(box)-1)) + dir
				i = max(0, min(i, len(box)-1))
			}
			if p.chance(0.2) {
				dir = -dir
			}
			pl := box[i]
			if p.chance(outside) {
				pl.Fret = pos + p.sys.Fingers[p.rng.IntN(len(p.sys.Fingers))].Offset
			} else if p.chance(p.extend) {
				pl.Fret = pos + p.width
			}
			if j > 0 && p.chance(drone) {
				pl.Fret = 0
			}
			nt := note{pl, pos, beat(), 0}
			if j == length-1 && p.chance(breathe) {
				nt.rest = 0.5 * float64(1+p.rng.IntN(4))
				nt.beats += nt.rest
			}
			notes = append(notes, nt)
		}
		pos = p.nextWindow(pos, favourites, roam, far)
		if p.chance(0.04) {
			k = p.newKey()
		}
	}
	return notes[:n]
}

func (p *player) nextWindow(pos int, favourites []int, roam, far float64) int {
	weights := make([]float64, p.top+1)
	for q := 1; q <= p.top; q++ {
		d := math.Abs(float64(q - pos))
		if d > 0 {
			// Moves of one fret are rarely worth it on purpose.
			weights[q] = math.Exp(-d*d/(2*far*far)) * roam / float64(p.top)
			if d == 1 {
				weights[q] *= 0.5
			}
		}
	}
	for _, q := range favourites {
		if d := math.Abs(float64(q - pos)); d > 0 {
			weights[q] += (1 - roam) / float64(len(favourites)) * math.Exp(-d/(2*far))
		}
	}
	// Five frets on lie much the same notes a string lower: no reason to go.
	for _, q := range [2]int{pos - 5, pos + 5} {
		if q >= 1 && q <= p.top {
			weights[q] *= 0.2
		}
	}
	if q := p.pick(weights); q > 0 {
		return q
	}
	return pos
}

// fits reports whether the scale uses the whole window at pos, outer fingers
// and all.
func (p *player) fits(k key, pos int) bool {
	low, high := 0, 0
	for _, pl := range p.box(k, pos) {
		switch pl.Fret {
		case pos:
			low++
		case pos + p.width - 1:
			high++
		}
	}
	return low >= 2 && high >= 2
}

// edge is the index of a note of box under an outer finger on the side that
// the hand moved to.
func (p *player) edge(box []coach.Place, pos, was int) int {
	weights := make([]float64, len(box))
	for i, pl := range box {
		weights[i] = 0.02
		if m := p.reach(was, pl.Fret); m*(pos-was) > 0 {
			weights[i] = float64(m * m)
		}
	}
	return p.pick(weights)
}
