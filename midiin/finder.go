package midiin

import (
	"math"
	"math/bits"
	"time"
)

// finder tells by evidence, note by note, whether each channel carries one
// string, and which. Only different evidence counts: a riff that goes round
// says nothing new.
//
// A channel that carries a string has one voice and stays within the string's
// frets. Which string it is follows from what the string cannot play, from
// notes in a row that one hand must reach, a little from low frets being played
// more than high ones, and from how devices number strings: in order, mostly
// from channel 1. The mode messages of MIDI 1.0 (mode 4: omni off, mono) say
// outright which channels are meant.
type finder struct {
	open  []int
	frets int

	decided bool
	seen    uint16 // channels with notes
	poly    uint16 // channels told to play many voices
	first   int    // first channel of mode 4, plus one; 0 if not told
	notes   int
	chords  int // notes struck while another of the channel sounds on
	layers  int // notes struck together with the same pitch on another channel

	places []heardPlace // different notes
	pairs  []heardPair  // different pairs of notes in a row on two channels
	last   heardPlace
	lastAt time.Duration
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
	notOnString    = -3.0 // a note that the string does not have; it may be misread
	againNot       = -1.5 // the same once more
	mostAgain      = 3    // and how often that counts
	fretWeight     = -0.05
	fretNotes      = 10   // notes of which frets count
	reachable      = 4    // frets between notes in a row that a hand may span
	beyondReach    = -0.6 // a fret
	leastReach     = -3.0
	inOrder        = 2.0  // strings on channels in order, up or down
	fromOne        = 6.0  // and from channel 1
	byMode         = 8.0  // on the channels that a mode message names
	decisive       = 3.0  // odds against the next map: 20 to 1
	misfit         = 0.05 // share of notes that may be on no string of theirs
	leastNotes     = 6
	chordTolerance = 0.1
	layerTolerance = 0.2
	rowTime        = 2 * time.Second // longer ago, the hand may be anywhere
	mostEvidence   = 64
	mostOrders     = 800 // orders of channels that are tried
)

// mode hears a mode message. value is the number of channels of a mono message,
// 0 for as many as there are voices.
func (f *finder) mode(channel uint8, mono bool, value int) {
	if !mono {
		f.poly |= 1 << channel
		f.first = 0
		return
	}
	f.poly &^= 1 << channel
	if value != 1 && (f.first == 0 || int(channel) < f.first-1) {
		f.first = int(channel) + 1
	}
}

// hear takes the evidence of a kept note. overlap: another note of its channel
// sounds on.
func (f *finder) hear(channel uint8, pitch int, at time.Duration, overlap bool) (news bool) {
	f.seen |= 1 << channel
	if f.decided {
		return false
	}
	f.notes++
	if overlap {
		f.chords++
	}
	p := heardPlace{channel: channel, pitch: pitch, times: 1}
	if f.notes > 1 && f.last.channel != channel && at-f.lastAt < rowTime {
		if f.last.pitch == pitch && at-f.lastAt < near {
			f.layers++
		}
		pair := heardPair{[2]uint8{f.last.channel, channel}, [2]int{f.last.pitch, pitch}}
		if len(f.pairs) < mostEvidence && !contains(f.pairs, pair) {
			f.pairs = append(f.pairs, pair)
			news = true
		}
	}
	f.last, f.lastAt = p, at
	for i := range f.places {
		if x := &f.places[i]; x.channel == channel && x.pitch == pitch {
			x.times++
			return news || f.notes == leastNotes
		}
	}
	if len(f.places) < mostEvidence {
		f.places = append(f.places, p)
		news = true
	}
	return news || f.notes == leastNotes
}

func contains(ps []heardPair, p heardPair) bool {
	for _, x := range ps {
		if x == p {
			return true
		}
	}
	return false
}

// find returns the map once the evidence decides for one.
func (f *finder) find() (m StringMap, ok bool) {
	seen := bits.OnesCount16(f.seen)
	strings := min(len(f.open), maxStrings)
	if f.decided || seen < 2 || seen > strings || f.seen&f.poly != 0 ||
		f.notes < leastNotes ||
		float64(f.chords) > chordTolerance*float64(f.notes) ||
		float64(f.layers) > layerTolerance*float64(f.notes) {
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
	if s.best-s.next < decisive || f.misfits(&s.of) > misfit*float64(f.notes) {
		return m, false
	}
	f.decided = true
	return StringMap{channel: s.of, open: f.open, frets: f.frets}, true
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
	prior := inOrder
	if whole && low == 0 {
		prior = fromOne
	}
	if s.f.first > 0 && whole && low == s.f.first-1 {
		prior = byMode
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
	score := prior + s.f.weigh(of)
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

// weigh is how well a map explains what was heard.
func (f *finder) weigh(of *[16]int8) float64 {
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
	for i := range f.pairs {
		p := &f.pairs[i]
		a := p.pitches[0] - f.open[of[p.channels[0]]-1]
		b := p.pitches[1] - f.open[of[p.channels[1]]-1]
		if a <= 0 || b <= 0 {
			continue
		}
		if beyond := max(a-b, b-a) - reachable; beyond > 0 {
			score += max(leastReach, beyondReach*float64(beyond))
		}
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
