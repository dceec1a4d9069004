package second

import (
	"math"
	"math/rand/v2"
)

// chord is a root pitch class and its tones.
type chord struct {
	root  int
	minor bool
	tones []int
}

// changes are degrees (semitones) and qualities, a bar each.
var changes = [][]struct {
	deg  int
	kind byte // M major, m minor, 7 dominant, d half diminished
}{
	{{0, '7'}, {5, '7'}, {0, '7'}, {0, '7'}, {5, '7'}, {5, '7'}, {0, '7'}, {9, '7'}, {2, 'm'}, {7, '7'}, {0, '7'}, {7, '7'}},
	{{2, 'm'}, {7, '7'}, {0, 'M'}, {9, '7'}},
	{{0, 'M'}, {9, 'm'}, {2, 'm'}, {7, '7'}, {4, 'm'}, {9, '7'}, {2, 'm'}, {7, '7'}},
	{{0, 'm'}, {0, 'm'}, {0, 'm'}, {0, 'm'}, {1, 'm'}, {1, 'm'}, {0, 'm'}, {0, 'm'}},
	{{0, 'm'}, {5, 'm'}, {10, '7'}, {3, 'M'}, {8, 'M'}, {2, 'd'}, {7, '7'}, {0, 'm'}},
	{{0, 'M'}, {3, 'M'}, {8, 'M'}, {1, 'M'}},
}

// qualities are the tones of each kind, semitones above the root.
var qualities = map[byte][]int{'M': {0, 4, 7, 9, 2, 11}, 'm': {0, 3, 7, 10, 2, 5}, '7': {0, 4, 7, 10, 2, 9}, 'd': {0, 3, 6, 10, 3, 8}}

// walker plays a line over changes, bar by bar.
type walker struct {
	*player
	form   []chord
	lo, hi int
	line   int     // how the bar is filled
	place  int     // how the hand is placed
	skip   float64 // chance of a skipped eighth
	two    float64 // chance of a bar in two
	thrift float64 // frets of travel that a note covered is worth
	now    int     // pitch
	lift   float64 // chance that a chorus lies a fifth higher
}

func newWalking(p *player, r *rand.Rand) *walker {
	w := &walker{player: p, lo: 28, hi: []int{43, 45, 48}[r.IntN(3)], line: r.IntN(4), place: []int{0, 0, 0, 0, 1, 2, 3}[r.IntN(7)], now: 36}
	key := r.IntN(12)
	for _, c := range changes[r.IntN(len(changes))] {
		w.form = append(w.form, chord{(key + c.deg) % 12, c.kind == 'm' || c.kind == 'd', qualities[c.kind]})
	}
	w.skip = []float64{0, 0.08, 0.25}[r.IntN(3)]
	w.two = []float64{0, 0, 0.3}[r.IntN(3)]
	w.lift = []float64{0.05, 0.1, 0.2}[r.IntN(3)]
	w.thrift = []float64{1, 2, 4}[r.IntN(3)]
	p.bpm = between(r, 84, 230)
	p.home = []int{1, 1, 1, 2, 3, 5}[r.IntN(6)]
	p.crossing = min(p.crossing, 1)
	p.at = p.home
	if w.hi < 45 {
		p.home = min(p.home, 3)
	}
	return w
}

// near is the pitch of class nearest to pitch, inside the range.
func (w *walker) near(class, pitch int) int {
	best := -1
	for n := w.lo; n <= w.hi; n++ {
		if (n-class)%12 == 0 && (best < 0 || abs(n-pitch) < abs(best-pitch)) {
			best = n
		}
	}
	return best
}

func (w *walker) play(n int) []step {
	var out []step
	w.now = w.near(w.form[0].root, w.neck.Open[3]+w.home+3)
	lo, hi := w.lo, w.hi
	for bar := 0; len(out) < n; bar++ {
		if chorus := max(8, len(w.form)); bar > 0 && bar%chorus == 0 {
			w.lo, w.hi = lo, hi
			if chance(w.music, w.lift) || bar/chorus%7 == 2 {
				w.lo, w.hi = lo+7, hi+7
			}
		}
		c, next := w.form[bar%len(w.form)], w.form[(bar+1)%len(w.form)]
		notes := w.bar(c, next)
		notes[0].accent, notes[0].breath = true, bar%4 == 0
		w.set(notes, c)
		for i := range notes {
			w.react(&notes[i])
		}
		out = append(out, notes...)
	}
	return out
}

// bar writes one bar and leaves the line at the next root.
func (w *walker) bar(c, next chord) []step {
	m := w.music
	root := w.now
	goal := w.near(next.root, root+from(m, -6, 6))
	if w.line == 1 { // the line goes on upward until it must come down
		goal = w.near(next.root, root+4)
		if root > w.hi-7 {
			goal = w.near(next.root, w.lo+6)
		}
	}
	w.now = goal
	into := goal + []int{-1, 1, 1, -1, 7, -5, 2}[m.IntN(7)]
	if into < w.lo || into > w.hi {
		into = goal + 1
	}
	if chance(m, w.two) {
		return []step{{pitch: root, beats: 2}, {pitch: into, beats: 2}}
	}
	pitches := []int{root, 0, 0, into}
	switch w.line {
	case 0: // chord tones
		pitches[1] = w.near((c.root+c.tones[from(m, 1, 3)])%12, root+from(m, -3, 5))
		pitches[2] = w.near((c.root+c.tones[from(m, 0, 2)])%12, pitches[1])
	case 1, 2: // steps towards the goal
		dir := 1
		if goal < root || goal == root && chance(m, 0.5) {
			dir = -1
		}
		pitches[1] = w.near((c.root+c.tones[from(m, 1, 5)])%12, root+3*dir)
		pitches[2] = w.near((c.root+c.tones[from(m, 1, 4)])%12, (pitches[1]+goal)/2+dir)
	default: // root, fifth, octave, and the like
		up := w.near(c.root, root+12)
		pitches[1] = w.near((c.root+7)%12, root+[]int{-5, 7}[m.IntN(2)])
		pitches[2] = []int{up, pitches[1], root}[m.IntN(3)]
	}
	var out []step
	for i, n := range pitches {
		if chance(m, w.skip) {
			out = append(out, step{pitch: n, beats: 0.5})
			if i < 3 && chance(m, 0.4) {
				n = w.neck.Open[from(m, 2, 3)] // a string let fall
			}
			out = append(out, step{pitch: n, beats: 0.5})
			continue
		}
		out = append(out, step{pitch: n, beats: 1})
	}
	return out
}

// set places the hand for a bar, if the player does that.
func (w *walker) set(notes []step, c chord) {
	switch w.place {
	case 0: // never: it goes where it must
		return
	case 1: // on the root: second finger for major, first for minor
		if _, ok := w.inWindow(w.at, notes[0].pitch); ok && chance(w.hand, 0.6) {
			return
		}
		off := 1
		if c.minor {
			off = 0
		}
		pl, _ := w.nearest(notes[0].pitch)
		if pl.Fret == 0 {
			return
		}
		w.at = w.clamp(pl.Fret - off)
	case 2: // where most of the bar lies under the hand
		w.best(notes, w.at)
	default: // the same, but always looking home
		w.best(notes, w.home)
	}
}

// best moves the hand to the window that holds most of notes, less travel,
// looked at from centre.
func (w *walker) best(notes []step, centre int) {
	at, most := w.at, math.Inf(-1)
	for pos := 1; pos <= min(12, w.top); pos++ {
		held := 0
		for _, s := range notes {
			_, ok := w.inWindow(pos, s.pitch)
			_, open := w.openPlace(s.pitch)
			if ok || open && w.open != openNever {
				held++
			}
		}
		v := w.thrift*float64(held) - 0.5*float64(abs(pos-w.at)) - 0.3*float64(abs(pos-centre))
		if pos == w.at {
			v += 1.5
		}
		if v > most {
			at, most = pos, v
		}
	}
	w.at = at
}
