package players

import "stillhand/coach"

// line makes tunes: it knows scales and ranges and no hands.
type line struct {
	h      *habits
	scale  []int // semitones of one octave
	key    int
	lo, hi int // pitches
	at     int // pitch
	run    int // direction of a run under way
	left   int // notes of it
	leaps  float64
	repeat float64
	motif  []int
	replay []int
}

var scales = [][]int{
	{0, 2, 4, 5, 7, 9, 11},
	{0, 2, 3, 5, 7, 8, 10},
	{0, 2, 3, 5, 7, 9, 10},
	{0, 3, 5, 7, 10},
	{0, 2, 4, 7, 9},
	{0, 3, 5, 6, 7, 10},
}

func newLine(h *habits) *line {
	l := &line{h: h, scale: scales[h.IntN(len(scales))], key: h.IntN(12)}
	low := h.neck.Open[len(h.neck.Open)-1]
	l.lo = low + h.IntN(6)
	l.hi = h.neck.Open[0] + 5 + h.IntN(12)
	l.at = (l.lo + l.hi) / 2
	l.leaps = 0.05 + 0.25*h.Float64()
	l.repeat = 0.2 * h.Float64()
	return l
}

// step is the scale's pitch n steps above or below p.
func (l *line) step(p, n int) int {
	d := 1
	if n < 0 {
		d, n = -1, -n
	}
	for n > 0 {
		p += d
		for _, s := range l.scale {
			if ((p-l.key)%12+12)%12 == s {
				n--
				break
			}
		}
	}
	return p
}

// next is the next pitch of the tune.
func (l *line) next() int {
	h := l.h
	if len(l.replay) > 0 {
		p := l.replay[0]
		l.replay = l.replay[1:]
		l.at = p
		return p
	}
	if len(l.motif) >= 8 && h.chance(0.04) {
		n := 4 + h.IntN(len(l.motif)-3)
		l.replay = append([]int(nil), l.motif[len(l.motif)-n:]...)
	}
	if h.chance(0.004) {
		l.key = h.IntN(12)
	}
	p := l.at
	switch {
	case l.left > 0:
		l.left--
		p = l.step(p, l.run)
	case h.chance(l.repeat):
	case h.chance(l.leaps):
		d := []int{2, 3, 4, 5, 7, -2, -3, -4, -5, -7}[h.IntN(10)]
		p = l.step(p, d)
	case h.chance(0.25):
		l.run, l.left = 1-2*h.IntN(2), 2+h.IntN(5)
		p = l.step(p, l.run)
	case h.chance(0.06):
		p += 1 - 2*h.IntN(2)
	default:
		p = l.step(p, 1-2*h.IntN(2))
	}
	for p > l.hi {
		p -= 12
		l.left = 0
	}
	for p < l.lo {
		p += 12
		l.left = 0
	}
	l.at = p
	l.motif = append(l.motif, p)
	if len(l.motif) > 16 {
		l.motif = l.motif[1:]
	}
	return p
}

// tune is the next n pitches.
func (l *line) tune(n int) []int {
	t := make([]int, n)
	for i := range t {
		t[i] = l.next()
	}
	return t
}

func place(s, f int) coach.Place { return coach.Place{String: s, Fret: f} }
