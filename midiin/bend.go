package midiin

import (
	"math"
	"math/bits"
	"time"
)

// Numbers of control changes (MIDI 1.0 Detailed Specification).
const (
	ccDataMSB       = 6
	ccDataLSB       = 38
	ccNonRegLSB     = 98
	ccNonRegMSB     = 99
	ccRegisteredLSB = 100
	ccRegisteredMSB = 101
	ccSoundOff      = 120
	ccReset         = 121
	ccNotesOff      = 123
	ccMono          = 126
	ccPoly          = 127
)

// Constants of slides, tuned on simulated pickups of this project.
const (
	// slideSettle is how long a bend must rest on a new fret to be a slide: come
	// near it, stay and go no further the same way. Half a swing of a vibrato of
	// 5 Hz lasts 100 ms, but only its tip comes near a fret.
	slideSettle = 60 * time.Millisecond
	// goesOn is how much further, in semitones, a bend has gone on and not
	// trembled. A slide that takes less than a second for a fret goes on.
	goesOn = 0.05
	// onFret is how near to a semitone, in semitones, a bend rests on a fret.
	onFret = 0.3
)

// wheel is the pitch bend of one channel.
type wheel struct {
	value     int // -8192 to 8191
	semitones int // of the range
	cents     int
	set       bool // the range was told on this channel
	parameter int  // registered parameter selected, -1 if none
	members   int  // channels of the MPE zone that this one manages

	way float64 // it goes: 1 up, -1 down, 0 before it moved
	far float64 // furthest that way, in semitones
}

// head hears where the bend is, in semitones. One that trembles goes on as it
// went.
func (w *wheel) head(off float64) {
	switch {
	case math.Abs(off-w.far) > goesOn:
		w.way, w.far = math.Copysign(1, off-w.far), off
	case w.way*(off-w.far) > 0:
		w.far = off
	}
}

// defaultRange is the range of a channel that was told none: two semitones
// (recalled from General MIDI's recommendation; memory).
const defaultRange = 2

// control hears a control change: about the range, or a reset.
func (w *wheel) control(number, value int) {
	switch number {
	case ccRegisteredMSB:
		w.parameter = value<<7 | w.parameter&0x7F
	case ccRegisteredLSB:
		w.parameter = w.parameter&^0x7F | value
	case ccNonRegMSB, ccNonRegLSB:
		w.parameter = noParameter
	case ccDataMSB:
		switch w.parameter {
		case 0:
			w.semitones, w.cents, w.set = value, 0, true // an MSB clears the LSB (MIDI 1.0; memory)
		case mpeParameter:
			w.members = min(value, 15)
		}
	case ccDataLSB:
		if w.parameter == 0 {
			w.cents, w.set = value, true
		}
	case ccReset:
		w.value, w.parameter, w.way, w.far = 0, noParameter, 0, 0
	}
}

// noParameter is the null function: registered parameter 7F 7F.
const noParameter = 0x3FFF

// offset is the bend in semitones under a range.
func (w *wheel) offset(r *wheel) float64 {
	return float64(w.value) / 8192 * (float64(r.semitones) + float64(r.cents)/100)
}

// slides are bends that rest on a new fret, not yet for long enough.
type slides struct {
	pending uint16 // channels that have one
	of      [16]slide
}

type slide struct {
	voice int32
	frets int // that the bend adds to the key
	since time.Duration
	way   float64       // it went when it came near the fret: 1 up, -1 down
	far   float64       // furthest that way, in semitones
	moved time.Duration // when it got there
}

// goOn hears where the bend is at a time.
func (s *slide) goOn(off float64, at time.Duration) {
	if off = s.way * off; off > s.far+goesOn {
		s.far, s.moved = off, at
	}
}

// due is when the bend has rested for long enough.
func (s *slide) due() time.Duration { return s.moved + slideSettle }

func (s *slides) drop(ch uint8) { s.pending &^= 1 << ch }

func (s *slides) begin(ch uint8, x slide) {
	s.pending |= 1 << ch
	s.of[ch] = x
}

// rangeOf is the wheel that holds a channel's range: its own if told, else that
// of the global channel below the lowest one in use (MIDI 1.0, mode 4).
func (c *Cleaner) rangeOf(ch uint8) *wheel {
	w := &c.wheels[ch]
	used := c.finder.seen | 1<<ch
	if w.set {
		return w
	}
	g := (bits.TrailingZeros16(used) + 15) % 16
	if used&(1<<g) == 0 && c.wheels[g].set {
		return &c.wheels[g]
	}
	return w
}

func (c *Cleaner) offset(ch uint8) float64 {
	off := c.wheels[ch].offset(c.rangeOf(ch))
	if m, ok := c.wheels.manager(ch); ok {
		off += c.wheels[m].offset(&c.wheels[m])
	}
	return off
}

func (c *Cleaner) bentFrets(ch uint8) int { return int(math.Round(c.offset(ch))) }

// bend hears a channel's bend. It counts for the only note of its channel: a
// bend that rests on another fret is a slide to there, one that passes through, there
// or back, is not, so that a slide over many frets is one note, where it ends.
func (c *Cleaner) bend(ch uint8) {
	if c.o.Mode == Keyboard {
		return
	}
	for left := c.wheels.zone(ch) &^ (1 << ch); left != 0; left &= left - 1 {
		c.bend(uint8(bits.TrailingZeros16(left)))
	}
	off := c.offset(ch)
	c.wheels[ch].head(off)
	i := c.alone(ch)
	if i < 0 {
		c.slides.drop(ch)
		return
	}
	n := int(math.Round(off))
	switch pending := c.slides.pending&(1<<ch) != 0; {
	case n == int(c.voices[i].bent):
		c.slides.drop(ch)
	case pending && c.slides.of[ch].voice == i && c.slides.of[ch].frets == n:
		c.slides.of[ch].goOn(off, c.latest)
	case math.Abs(off-float64(n)) <= onFret:
		way := c.wheels[ch].way // which is not away from the note's fret where it comes back
		c.slides.begin(ch, slide{voice: i, frets: n, since: c.latest, way: way, far: way * off, moved: c.latest})
	default:
		c.slides.drop(ch)
	}
}

// alone is the one kept voice that sounds on a channel; -1 if there is none, or
// several. One that waits may be a ghost, and does not count yet.
func (c *Cleaner) alone(ch uint8) int32 {
	one := int32(-1)
	for key, left := uint8(0), c.on.count[ch]; left > 0; key++ {
		i := c.on.get(ch, key)
		if i < 0 {
			continue
		}
		left--
		if c.voices[i].kept {
			if one >= 0 {
				return -1
			}
			one = i
		}
	}
	return one
}

// settle turns a bend that came to rest into a note of its own; the note that
// it leaves is released.
func (c *Cleaner) settle(ch uint8) {
	s := c.slides.of[ch]
	c.slides.drop(ch)
	i := s.voice
	v := c.voices[i]
	pitch := int(v.key) + 12*c.o.Octave + s.frets
	if pitch < c.low || pitch > c.high {
		return
	}
	at := max(s.since, c.lastAt)
	c.on.clear(ch, v.key)
	c.over(i, at)
	n := voice{at: at, channel: ch, key: v.key, velocity: v.velocity, bent: int16(s.frets), slid: int16(s.frets - int(v.bent)), kept: true}
	j := c.add(n)
	c.on.set(ch, v.key, j)
	c.note(&c.voices[j], pitch, at)
}
