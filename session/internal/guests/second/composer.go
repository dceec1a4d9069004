package second

import (
	"math/rand/v2"
	"slices"
)

// scales are semitones above the key.
var scales = [][]int{
	{0, 2, 4, 5, 7, 9, 11}, // major
	{0, 2, 3, 5, 7, 8, 10}, // minor
	{0, 2, 3, 5, 7, 9, 10}, // dorian
	{0, 3, 5, 7, 10},       // minor pentatonic
	{0, 2, 4, 7, 9},        // major pentatonic
	{0, 3, 5, 6, 7, 10},    // blues
	{0, 2, 4, 5, 7, 9, 10}, // mixolydian
	{0, 1, 4, 5, 7, 8, 10}, // phrygian dominant
	{0, 2, 3, 5, 7, 8, 11}, // harmonic minor
	{0, 2, 4, 6, 7, 9, 11}, // lydian
}

// tastes are what players like to play: weights of the six manners below.
var tastes = [][]float64{
	{6, 1, 1, 2, 0, 0}, // riffs
	{1, 6, 2, 0, 1, 1}, // runs
	{1, 1, 6, 1, 1, 0}, // arpeggios
	{2, 0, 1, 6, 0, 0}, // pumping roots
	{1, 2, 1, 0, 6, 1}, // melodies
	{2, 2, 1, 1, 1, 3}, // chromatic things
}

// highest is the pitch that no phrase lifted to a higher register passes: middle
// C, fret 17 of the highest string.
const highest = 60

// composer writes lines in a key, phrase by phrase.
type composer struct {
	p       *player
	key     int
	scale   []int
	tones   []int // the key's pitches in range, ascending
	lo, hi  int
	at      int // index in tones
	taste   []float64
	riff    []int
	lift    float64 // chance of a phrase in a higher register, beside every sixteenth
	phrases int
	stray   float64 // chance of a new key at a phrase
}

// newComposer draws a key, range and taste; lo and hi are MIDI notes.
func newComposer(p *player, r *rand.Rand, lo, hi int) *composer {
	c := &composer{p: p, lo: lo, hi: hi, taste: tastes[r.IntN(len(tastes))], stray: []float64{0, 0.04, 0.15}[r.IntN(3)]}
	c.rekey(r)
	c.at = len(c.tones) / 3
	return c
}

func (c *composer) rekey(r *rand.Rand) {
	c.key, c.scale = r.IntN(12), scales[r.IntN(len(scales))]
	c.tones = c.tones[:0]
	for n := c.lo; n <= c.hi; n++ {
		if slices.Contains(c.scale, ((n-c.key)%12+12)%12) {
			c.tones = append(c.tones, n)
		}
	}
	c.at = min(c.at, len(c.tones)-1)
	c.riff = nil
}

// line writes at least n notes.
func (c *composer) line(n int) []step {
	var out []step
	for len(out) < n {
		if chance(c.p.music, c.stray) {
			c.rekey(c.p.music)
		}
		out = append(out, c.phrase()...)
	}
	return out
}

// phrase writes one phrase.
func (c *composer) phrase() []step {
	m := c.p.music
	length := max(4, c.p.phrase+from(m, -2, 2))
	var pitches []int
	for len(pitches) < length {
		pitches = append(pitches, c.figure(weighted(m, c.taste), length)...)
	}
	pitches = pitches[:length]
	c.phrases++
	if c.phrases%16 == 5 || chance(m, c.lift) {
		up := []int{7, 12}[m.IntN(2)]
		for slices.Max(pitches)+up < c.p.neck.Open[0]+c.p.home+4 {
			up += 5 // high enough to leave home for
		}
		for i := range pitches {
			pitches[i] = min(pitches[i]+up, highest)
		}
	}
	return c.p.rhythm(pitches)
}

// figure is a short idea; it leaves the composer where it ends.
func (c *composer) figure(kind, length int) []int {
	m := c.p.music
	var out []int
	put := func(i int) {
		i = min(max(i, 0), len(c.tones)-1)
		out = append(out, c.tones[i])
	}
	switch kind {
	case 0: // a riff, kept and moved about
		if c.riff == nil || chance(m, 0.15) {
			c.riff = c.riff[:0]
			for range from(m, 3, 7) {
				c.riff = append(c.riff, from(m, -2, 4))
			}
		}
		if chance(m, 0.3) {
			c.wander(3)
		}
		for range from(m, 1, 3) {
			for _, d := range c.riff {
				put(c.at + d)
			}
		}
	case 1: // a run, straight or in threes
		dir := 1
		if c.at > len(c.tones)/2 || c.at > len(c.tones)/4 && chance(m, 0.5) {
			dir = -1
		}
		thirds := chance(m, 0.3)
		for i := range from(m, 4, 9) {
			put(c.at)
			if thirds && i%2 == 0 {
				put(c.at + 2*dir)
			}
			c.at = min(max(c.at+dir, 0), len(c.tones)-1)
		}
	case 2: // an arpeggio up, or up and down
		shape := [][]int{{0, 2, 4, 7}, {0, 4, 2, 7}, {7, 4, 2, 0}, {0, 2, 4, 2}, {0, 2, 4, 6, 4, 2}}[m.IntN(5)]
		for _, d := range shape {
			put(c.at + d)
		}
		c.wander(3)
	case 3: // a pumped root with an octave or a fifth now and then
		root := c.tones[c.at]
		for range from(m, 3, 8) {
			n := root
			switch m.IntN(6) {
			case 0:
				n += 7
			case 1:
				n += 12
			}
			if n > c.hi {
				n = root
			}
			out = append(out, n)
		}
		c.wander(3)
	case 4: // a tune: steps, and leaps that turn back
		leap := 0
		for range from(m, 4, 10) {
			d := []int{-2, -1, -1, 1, 1, 2, 0}[m.IntN(7)]
			if leap != 0 {
				d, leap = -leap/abs(leap), 0
			} else if chance(m, 0.2) {
				d = []int{-5, -4, -3, 3, 4, 5}[m.IntN(6)]
				leap = d
			}
			c.at = min(max(c.at+d, 0), len(c.tones)-1)
			put(c.at)
		}
	default: // chromatic, from below or above
		c.wander(2)
		goal, dir := c.tones[c.at], 1-2*m.IntN(2)
		for i := from(m, 2, 4); i >= 0; i-- {
			out = append(out, min(max(goal-dir*i, c.lo), c.hi))
		}
	}
	if len(out) > length {
		out = out[:length]
	}
	return out
}

func (c *composer) wander(d int) {
	if c.at > len(c.tones)*2/5 { // it is a bass: lines sink
		c.at--
	}
	c.at = min(max(c.at+from(c.p.music, -d, d), 0), len(c.tones)-1)
}

// rhythm sets pitches to the player's cells: one cell leads a phrase.
func (p *player) rhythm(pitches []int) []step {
	m := p.music
	out := make([]step, 0, len(pitches))
	lead := p.cells[m.IntN(len(p.cells))]
	cell, k := lead, 0
	for i, n := range pitches {
		s := step{pitch: n, beats: cell[k], accent: k == 0, breath: i == 0}
		if k++; k == len(cell) {
			cell, k = lead, 0
			if chance(m, 0.25) {
				cell = p.cells[m.IntN(len(p.cells))]
			}
		}
		if i == len(pitches)-1 && chance(m, p.breathe) {
			long := 1 + float64(m.IntN(3))/2
			s.rest = (long - 0.5*s.beats) / (s.beats + long)
			s.beats += long
			s.rest = max(s.rest, 0.2)
		}
		out = append(out, s)
	}
	return out
}
