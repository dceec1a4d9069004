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
	// slideSettle is how long a bend must rest on a new fret to be a slide.
	// Half a swing of a vibrato of 5 Hz lasts 100 ms, but only its tip comes
	// near a fret.
	slideSettle = 60 * time.Millisecond
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
}

// defaultRange is the range of a channel that was told none: two semitones
// (recalled from General MIDI's recommendation; memory).
const defaultRange = 2

// control hears a control change and reports whether it was about the range.
func (w *wheel) control(number, value int) {
	switch number {
	case ccRegisteredMSB:
		w.parameter = value<<7 | w.parameter&0x7F
	case ccRegisteredLSB:
		w.parameter = w.parameter&^0x7F | value
	case ccNonRegMSB, ccNonRegLSB:
		w.parameter = noParameter
	case ccDataMSB:
		if w.parameter == 0 {
			w.semitones, w.set = value, true
		}
	case ccDataLSB:
		if w.parameter == 0 {
			w.cents, w.set = value, true
		}
	case ccReset:
		w.value, w.parameter = 0, noParameter
	}
}

// noParameter is the null function: registered parameter 7F 7F.
const noParameter = 0x3FFF

// offset is the bend in semitones under a range.
func (w *wheel) offset(r *wheel) float64 {
	return float64(w.value) / 8192 * (float64(r.semitones) + float64(r.cents)/100)
}

// slide is a bend that rests on a new fret, not yet for long enough.
type slide struct {
	voice int32 // plus one; 0 for none
	frets int   // that the bend adds to the key
	since time.Duration
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

func (c *Cleaner) offset(ch uint8) float64 { return c.wheels[ch].offset(c.rangeOf(ch)) }

func (c *Cleaner) bentFrets(ch uint8) int { return int(math.Round(c.offset(ch))) }

// bend hears a channel's bend. It counts for the only note of its channel: a
// bend that rests on another fret is the beginning of a slide, one that passes
// through or comes back is not.
func (c *Cleaner) bend(ch uint8) {
	if c.o.Mode == Keyboard {
		return
	}
	i := c.alone(ch)
	s := &c.slides[ch]
	if i < 0 {
		*s = slide{}
		return
	}
	off := c.offset(ch)
	n := int(math.Round(off))
	switch {
	case n == int(c.voices[i].bent):
		*s = slide{}
	case s.voice == i+1 && s.frets == n:
	case math.Abs(off-float64(n)) <= onFret:
		*s = slide{voice: i + 1, frets: n, since: c.latest}
	default:
		*s = slide{}
	}
}

// alone is the one kept voice that sounds on a channel; -1 if there is none, or
// several.
func (c *Cleaner) alone(ch uint8) int32 {
	only := int32(-1)
	for _, j := range c.on[ch] {
		switch {
		case j == 0:
		case only >= 0 || !c.voices[j-1].kept:
			return -1
		default:
			only = j - 1
		}
	}
	return only
}

// settle turns a bend that came to rest into a note of its own; the note that
// it leaves is released.
func (c *Cleaner) settle(ch uint8) {
	s := c.slides[ch]
	c.slides[ch] = slide{}
	i := s.voice - 1
	v := c.voices[i]
	pitch := int(v.key) + 12*c.o.Octave + s.frets
	if pitch < c.low || pitch > c.high {
		return
	}
	at := max(s.since, c.lastAt)
	c.over(i, at)
	n := voice{at: at, channel: ch, key: v.key, velocity: v.velocity, bent: int8(s.frets), slid: int8(s.frets - int(v.bent)), kept: true}
	j := c.add(n)
	c.on[ch][v.key] = j + 1
	c.note(&c.voices[j], pitch, at)
}
