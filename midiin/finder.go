package midiin

import (
	"math"
	"math/bits"
	"slices"
	"time"
)

// finder tells by evidence, note by note, whether each channel carries one
// string, and which. Only different evidence counts: a riff that goes round
// says nothing new.
//
// A channel that carries a string has one voice, stays within the string's frets
// and keeps the pitches that come again. Which string it is follows from what the string cannot play, from
// notes in a row that one hand must reach, a little from low frets being played
// more than high ones, and from how devices number strings: in order, mostly
// from channel 1. The mode messages of MIDI 1.0 (mode 4: omni off, mono) say
// outright which channels are meant. A map stays until later notes prove it wrong.
type finder struct {
	open  []int
	frets int

	found  StringMap // the map decided for; the zero value before
	seen   uint16    // channels with notes
	poly   uint16    // channels told to play many voices
	first  int       // first channel of mode 4, plus one; 0 if not told
	notes  int
	chords int // notes struck while another of the channel sounds on
	layers int // notes struck together with the same pitch on another channel
	turns  turns

	places []heardPlace   // different notes
	place  [16][256]uint8 // by channel and pitch, bent ones modulo 256: where it stands within places, plus one; 0 for none
	pairs  []heardPair    // different pairs of notes in a row on two channels
	row    [3]struct {    // the latest notes
		heardPlace
		at time.Duration
	}
}

type heardPlace struct {
	channel uint8
	pitch   int
	times   int
}

type heardPair struct {
	channels [2]uint8
	pitches  [2]int
}

// Weights of the evidence, as logarithms of odds; tuned on simulated pickups of
// this project.
const (
	notOnString    = -6.0 // a note that the string does not have; it may be misread
	againNot       = -1.5 // the same once more
	mostAgain      = 3    // and how often that counts
	fretWeight     = -0.05
	fretNotes      = 10   // notes of which frets count
	reachable      = 4    // frets between notes in a row that a hand may span
	beyondReach    = -1.0 // a fret
	leastReach     = -3.0
	weightInOrder  = 2.0  // strings on channels in order, up or down
	weightFromOne  = 5.0  // and from channel 1
	weightByMode   = 8.0  // on the channels that a mode message names
	decisive       = 4.0  // odds against the next map: 50 to 1
	misfit         = 0.05 // share of notes that may be on no string of theirs
	leastNotes     = 6
	chordTolerance = 0.1
	layerTolerance = 0.2
	rowTime        = 2 * time.Second // longer ago, the hand may be anywhere
	mostEvidence   = 128
	mostOrders     = 800 // orders of channels that are tried
)

// mode hears a mode message: the channels from the lowest one told mono on carry
// one voice each.
func (f *finder) mode(channel uint8, mono bool) {
	if !mono {
		f.poly |= 1 << channel
		f.first = 0
		return
	}
	f.poly &^= 1 << channel
	if f.first == 0 || int(channel) < f.first-1 {
		f.first = int(channel) + 1
	}
}

// hear takes the evidence of a kept note and reports whether it says anything
// new. overlap: another note of its channel sounds on.
func (f *finder) hear(channel uint8, pitch int, at time.Duration, overlap bool) (news bool) {
	f.seen |= 1 << channel
	f.notes++
	odd := !f.fits(channel, pitch)
	if overlap {
		f.chords++
	}
	p := heardPlace{channel: channel, pitch: pitch, times: 1}
	for i := range min(f.notes-1, len(f.row)) {
		x := &f.row[(f.notes-2-i)%len(f.row)]
		if x.channel == channel || at-x.at >= rowTime {
			continue
		}
		if x.pitch == pitch && at-x.at < near {
			f.layers++
		}
		pair := heardPair{[2]uint8{x.channel, channel}, [2]int{x.pitch, pitch}}
		if len(f.pairs) < mostEvidence && !slices.Contains(f.pairs, pair) {
			f.pairs = append(f.pairs, pair)
			news = true
			odd = odd || f.beyond(&f.found.channel, &pair) > 0
		}
	}
	f.turns.hear(int(channel), pitch)
	x := &f.row[(f.notes-1)%len(f.row)]
	x.heardPlace, x.at = p, at
	known := &f.place[channel][uint8(pitch)]
	switch {
	case *known > 0:
		f.places[*known-1].times++
	case len(f.places) < mostEvidence:
		f.places = append(f.places, p)
		*known = uint8(len(f.places))
		news = true
	}
	// Before there are notes enough nothing is looked for, so that the last of
	// them is news; once a map is found, only what it does not explain is.
	return (news || f.notes == leastNotes) && odd
}

// fits reports whether the map found explains a note. No map explains nothing.
func (f *finder) fits(channel uint8, pitch int) bool {
	return f.found.String(int(channel), pitch) > 0
}

// beyond is how many frets a hand must reach beyond its span for two notes in a
// row under a map; 0 if one of them is open, or on no fret.
func (f *finder) beyond(of *[16]int8, p *heardPair) int {
	a, b := of[p.channels[0]], of[p.channels[1]]
	if a == 0 || b == 0 {
		return 0
	}
	fa, fb := p.pitches[0]-f.open[a-1], p.pitches[1]-f.open[b-1]
	if fa <= 0 || fb <= 0 {
		return 0
	}
	return max(0, max(fa-fb, fb-fa)-reachable)
}

// find returns the map once the evidence decides for one, and another if later
// evidence proves that one wrong.
func (f *finder) find() (m StringMap, ok bool) {
	seen := bits.OnesCount16(f.seen)
	strings := min(len(f.open), maxStrings)
	if seen < 2 || seen > strings || f.seen&f.poly != 0 ||
		f.notes < leastNotes ||
		float64(f.chords) > chordTolerance*float64(f.notes) ||
		float64(f.layers) > layerTolerance*float64(f.notes) ||
		f.turns.taken(0) {
		return m, false
	}
	s := search{f: f, strings: strings, best: math.Inf(-1), next: math.Inf(-1)}
	for _, step := range []int{1, -1} {
		for base := -strings; base < 16+strings; base++ {
			s.ordered(base, step)
		}
	}
	orders := 1
	for i := range seen {
		orders *= strings - i
	}
	if orders <= mostOrders {
		s.any(f.seen, 0, [16]int8{})
	}
	if s.best-s.next < decisive || f.misfits(&s.of) > misfit*float64(f.notes) || f.agrees(&s.of) {
		return m, false
	}
	f.found = StringMap{channel: s.of, open: f.open, frets: f.frets}
	return f.found, true
}

// agrees reports whether a map says the same as the one found, of the channels
// heard.
func (f *finder) agrees(of *[16]int8) bool {
	for left := f.seen; left != 0; left &= left - 1 {
		if ch := bits.TrailingZeros16(left); of[ch] != f.found.channel[ch] {
			return false
		}
	}
	return true
}

// search looks for the best map and the best of those that differ from it on
// the channels heard.
type search struct {
	f          *finder
	strings    int
	best, next float64
	of         [16]int8
}

// ordered tries the map channel = base + step * string.
func (s *search) ordered(base, step int) {
	var of [16]int8
	whole, low, high := true, 16, -1
	for i := range s.strings {
		ch := base + step*i
		if ch < 0 || ch > 15 {
			whole = false
			continue
		}
		of[ch] = int8(i + 1)
		low, high = min(low, ch), max(high, ch)
	}
	prior := weightInOrder
	if whole && low == 0 {
		prior = weightFromOne
	}
	if s.f.first > 0 && whole && low == s.f.first-1 {
		prior = weightByMode
	}
	s.try(&of, prior)
}

// any tries every order of the strings on the channels left.
func (s *search) any(left uint16, used uint16, of [16]int8) {
	if left == 0 {
		s.try(&of, 0)
		return
	}
	ch := bits.TrailingZeros16(left)
	for i := range s.strings {
		if used&(1<<i) == 0 {
			of[ch] = int8(i + 1)
			s.any(left&(left-1), used|1<<i, of)
		}
	}
}

func (s *search) try(of *[16]int8, prior float64) {
	for left := s.f.seen; left != 0; left &= left - 1 {
		if of[bits.TrailingZeros16(left)] == 0 {
			return
		}
	}
	score := prior + s.f.weighPlaces(of)
	if score <= s.next {
		return // pairs only take away
	}
	score += s.f.weighPairs(of)
	same := s.best > math.Inf(-1)
	for left := s.f.seen; left != 0 && same; left &= left - 1 {
		ch := bits.TrailingZeros16(left)
		same = of[ch] == s.of[ch]
	}
	switch {
	case score > s.best && same:
		s.best, s.of = score, *of
	case score > s.best:
		s.best, s.next, s.of = score, s.best, *of
	case !same && score > s.next:
		s.next = score
	}
}

// weighPlaces is how well a map explains the notes heard.
func (f *finder) weighPlaces(of *[16]int8) float64 {
	score, frets, on := 0.0, 0, 0
	for i := range f.places {
		p := &f.places[i]
		fret := p.pitch - f.open[of[p.channel]-1]
		if fret < 0 || fret > f.frets {
			score += notOnString + againNot*float64(min(p.times-1, mostAgain))
			continue
		}
		frets += fret
		on++
	}
	if on > 0 {
		score += fretWeight * float64(frets) / float64(on) * float64(min(on, fretNotes))
	}
	return score
}

// weighPairs is how well one hand reaches the notes that came in a row: 0, or
// less.
func (f *finder) weighPairs(of *[16]int8) float64 {
	score := 0.0
	for i := range f.pairs {
		score += max(leastReach, beyondReach*float64(f.beyond(of, &f.pairs[i])))
	}
	return score
}

// misfits is the number of notes that lie on no fret of their string.
func (f *finder) misfits(of *[16]int8) float64 {
	n := 0
	for i := range f.places {
		p := &f.places[i]
		if fret := p.pitch - f.open[of[p.channel]-1]; fret < 0 || fret > f.frets {
			n += p.times
		}
	}
	return float64(n)
}
