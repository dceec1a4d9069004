package second

import (
	"math/rand/v2"
	"slices"

	"stillhand/coach"
)

// windower picks a window, makes music of what lies in it, and moves when it
// has said enough there.
type windower struct {
	*player
	comp   *composer
	spots  []int     // favourite positions, ascending
	spot   int       // the one in use; the hand may sit a fret beside it
	start  int       // where a stay begins: 0 lowest note, 1 highest, 2 anywhere
	weight []float64 // nil: goes to a neighbour in the list
	homing float64   // chance to go back to the first choice
	stay   int       // notes in a window, about
	even   bool      // stays equally long each time
	manner int       // how it strolls in the window
	few    int       // strings in use at a time
	up     float64   // chance that they are not the lowest
	relief float64   // chance that an open string covers the move
}

func newWindow(p *player, r *rand.Rand) *windower {
	w := &windower{player: p, comp: newComposer(p, r, 28, 64)}
	w.stay = []int{12, 16, 20, 26, 36}[r.IntN(5)]
	w.even = chance(r, 0.4)
	w.manner = r.IntN(4)
	w.few = []int{2, 3, 4, 4, 4, 4, 4}[r.IntN(7)]
	w.up = []float64{0, 0.15, 0.4}[r.IntN(3)]
	w.relief = []float64{0, 0, 0.3, 0.7}[r.IntN(4)]
	switch r.IntN(5) {
	case 0: // the positions of the method book
		w.spots = []int{1, 3, 5, 7, 9}
	case 1: // the root's box and its neighbours by fourth and octave
		root := ((w.comp.key-4)%12 + 12) % 12 // fret on the E string
		for _, f := range []int{root - 1, root + 2, root + 4, root + 7} {
			if f >= 1 && f <= min(12, p.top) {
				w.spots = append(w.spots, f)
			}
		}
		w.homing = 0.3
	case 2: // at home, with trips
		w.spots = []int{p.home, p.clamp(p.home + from(r, 3, 7)), max(1, p.home-from(r, 2, 5))}
		w.homing = 0.7
	case 3: // sidles, a fret or two at a time
		for f := max(1, p.home-3); f <= p.clamp(p.home+4); f++ {
			w.spots = append(w.spots, f)
		}
	default: // jumps between the two ends
		w.spots = []int{from(r, 1, 3), from(r, 4, 6), from(r, 8, 9), from(r, 10, 12)}
		w.weight = []float64{5, 3, 1, 1}
	}
	slices.Sort(w.spots)
	w.spots = slices.Compact(w.spots)
	if len(w.spots) < 2 {
		w.spots = append(w.spots, p.clamp(w.spots[0]+5))
	}
	p.at = w.spots[r.IntN(len(w.spots))]
	p.home, w.spot = p.at, p.at
	w.start = r.IntN(3)
	w.fit()
	return w
}

func (w *windower) play(n int) []step {
	var out []step
	for len(out) < n {
		out = append(out, w.visit()...)
		w.depart(&out[len(out)-1])
	}
	return out
}

// depart picks the next window; last is the note before the move.
func (w *windower) depart(last *step) {
	if chance(w.hand, w.relief) {
		s := from(w.hand, 1, w.neck.Strings())
		last.place = coach.Place{String: s}
		last.pitch = w.neck.Open[s-1]
	}
	i := slices.Index(w.spots, w.spot)
	for old := w.spot; w.spot == old; {
		switch {
		case w.spot != w.home && chance(w.hand, w.homing):
			w.spot = w.home
		case w.weight != nil:
			w.spot = w.spots[weighted(w.hand, w.weight)]
		default:
			d := []int{-2, -1, -1, 1, 1, 2}[w.hand.IntN(6)]
			w.spot = w.spots[min(max(i+d, 0), len(w.spots)-1)]
		}
	}
	w.at = w.spot
	w.fit()
}

// fit moves the window by a fret where that puts notes of the key under both
// outer fingers, as one who knows the scale's shapes does.
func (w *windower) fit() {
	edges := func(pos int) int {
		n := 0
		for s := 1; s <= w.neck.Strings(); s++ {
			for _, f := range []int{pos, pos + w.width - 1} {
				if slices.Contains(w.comp.tones, w.neck.Open[s-1]+f) {
					n++
				}
			}
		}
		return n
	}
	best := w.at
	for _, pos := range []int{w.at + 1, w.at - 1} {
		if pos >= 1 && pos <= w.top && edges(pos) > edges(best) {
			best = pos
		}
	}
	w.at = best
}

// visit plays one stay in the window.
func (w *windower) visit() []step {
	m := w.music
	if chance(m, w.comp.stray) {
		w.comp.rekey(m)
	}
	places := w.within()
	length := w.stay
	if !w.even {
		length = max(3, w.stay/2+m.IntN(w.stay+1))
	}
	k := []int{0, len(places) - 1, m.IntN(len(places))}[w.start]
	picked := make([]coach.Place, 0, length)
	dir := 1 - 2*(w.start&1)
	motif := []int{from(m, 1, 3), from(m, -2, 2), from(m, -3, 1)}
	for i := range length {
		picked = append(picked, places[k])
		switch w.manner {
		case 0: // to and fro through the scale
			if k+dir < 0 || k+dir >= len(places) || chance(m, 0.08) {
				dir = -dir
			}
			k += dir
		case 1: // hops
			k += from(m, -4, 4)
		case 2: // a little figure again and again
			k += motif[i%3]
		default: // mostly steps, some repeats
			k += []int{-2, -1, -1, 0, 1, 1, 2}[m.IntN(7)]
		}
		if k < 0 || k >= len(places) {
			k = ((k % len(places)) + len(places)) % len(places)
		}
	}
	pitches := make([]int, length)
	for i, pl := range picked {
		pitches[i] = w.neck.Pitch(pl)
	}
	out := w.rhythm(pitches)
	for i := range out {
		s := &out[i]
		s.place, s.position = picked[i], w.at
		if o, ok := w.openPlace(s.pitch); ok && w.wantsOpen(true) {
			s.place = o
		}
		w.last = s.place
	}
	return out
}

// within lists the places of the key in the window by pitch, on as many
// strings as the player uses at a time, and now and then one past its edge.
func (w *windower) within() []coach.Place {
	first := w.neck.Strings() - w.few + 1
	if chance(w.music, w.up) { // away from the low strings
		first = from(w.music, 1, first)
	}
	var out []coach.Place
	edge := chance(w.hand, w.extend)
	for s := first + w.few - 1; s >= first; s-- {
		n := len(out)
		for f := w.at; f <= min(w.at+w.width-1, w.neck.Frets); f++ {
			pl := coach.Place{String: s, Fret: f}
			if slices.Contains(w.comp.tones, w.neck.Pitch(pl)) {
				out = append(out, pl)
			}
		}
		if pl := (coach.Place{String: s, Fret: w.at + w.width}); edge && pl.Fret <= w.neck.Frets && len(out) > n {
			out, edge = append(out, pl), false
		}
	}
	if len(out) < 3 { // a poor window for this key: take it chromatically
		out = out[:0]
		for f := w.at; f < w.at+w.width; f++ {
			out = append(out, coach.Place{String: first, Fret: f})
		}
	}
	return out
}
