package midiin

import (
	"cmp"
	"math/bits"
	"slices"
	"time"
)

// Mode is the kind of instrument that sends the notes.
type Mode uint8

const (
	Auto     Mode = iota // unknown: what is plainly no note is cleaned, times stay as they came
	Pickup               // a pitch-to-MIDI converter: all cleaning, delay by pitch undone
	Keyboard             // keys: no ghosts, no slides, nothing waits
)

// CleanerOptions says what notes there can be.
type CleanerOptions struct {
	Open    []int // open strings as MIDI notes, string 1 (the highest) first; kept, must not change
	Frets   int
	Mode    Mode
	Strings StringsOption
	Octave  int // octaves added to every note: for a small keyboard
}

// Listener hears what a Cleaner decides, from the goroutine that calls the
// Cleaner.
type Listener interface {
	Note(Note)                        // in order of onset
	Release(id int, at time.Duration) // once for every Note, after it
	Drop(Dropped)                     // a note left out
	// StringsFound tells that channels turned out to be strings: earlier notes
	// can be read again with the map. Rarely, when later notes prove a map
	// wrong, it is called again with another.
	StringsFound(StringMap)
}

// converterPeriods is how many periods of the fundamental a converter needs to
// tell a pitch: between one and two, so the middle.
const converterPeriods = 1.5

// Cleaner turns events into Notes: it leaves out what pickups get wrong, tells
// strings from channels and reads bends as slides. Its answers depend on the
// events and their times alone, whatever Advance is called with in between, so
// live and review agree. Not safe for use by several goroutines.
type Cleaner struct {
	o         CleanerOptions
	l         Listener
	low, high int // lowest and highest pitch of the neck
	latest    time.Duration

	finder  finder
	strings StringMap
	said    bool // StringsFound was called

	voices []voice
	free   []int32
	on     keyboard // voices of the keys that sound
	queue  []int32  // voices that wait, in order of arrival
	ends   []int32  // kept voices that ended at once and may be struck again
	wheels wheels
	slides slides
	loud   loudness
	onsets onsets
	strays int // very soft notes in a row

	next      int           // ID
	lastAt    time.Duration // onset of the note before
	lastPitch int           // and its pitch
	lastFret  int           // of the last note on a known string that was not open; 0 if none
	before    struct {      // the note before
		id   int
		off  time.Duration
		over bool
	}
}

// NewCleaner returns a Cleaner for a neck of at least one string.
func NewCleaner(o CleanerOptions, l Listener) *Cleaner {
	c := &Cleaner{o: o, l: l, low: slices.Min(o.Open), high: slices.Max(o.Open) + o.Frets}
	c.finder = finder{open: o.Open, frets: o.Frets}
	c.strings = StringMap{channel: o.Strings.channel, open: o.Open, frets: o.Frets}
	c.wheels = newWheels()
	c.before.id = -1
	return c
}

// Event takes the next event. Only a Message counts.
func (c *Cleaner) Event(e Event) {
	c.Advance(e.At)
	if e.Kind != Message {
		return
	}
	if c.o.Strings.told && !c.said {
		c.said = true
		c.l.StringsFound(c.strings)
	}
	ch, d1, d2 := e.Data[0]&0x0F, e.Data[1], e.Data[2]
	switch e.Data[0] >> 4 {
	case 0x9:
		if d2 > 0 {
			c.strike(ch, d1, d2, c.latest)
			return
		}
		c.lift(ch, d1, c.latest)
	case 0x8:
		c.lift(ch, d1, c.latest)
	case 0xB:
		c.control(ch, int(d1), int(d2))
	case 0xE:
		c.wheels[ch].value = int(d1) | int(d2)<<7 - 8192
		c.bend(ch)
	}
}

func (c *Cleaner) control(ch uint8, number, value int) {
	c.wheels.control(ch, number, value)
	switch number {
	case ccReset:
		c.bend(ch)
	case ccMono, ccPoly:
		c.finder.mode(ch, number == ccMono)
	}
	if number == ccSoundOff || number >= ccNotesOff { // mode messages end notes too (MIDI 1.0)
		c.silence(ch)
	}
}

// silence ends every note of a channel.
func (c *Cleaner) silence(ch uint8) {
	for key := 0; key < 128 && c.on.count[ch] > 0; key++ {
		c.lift(ch, uint8(key), c.latest)
	}
}

// Advance lets time pass: what is due by now is decided.
func (c *Cleaner) Advance(now time.Duration) {
	for {
		d, ok := c.due()
		if !ok || d.at > now {
			break
		}
		c.latest = max(c.latest, d.at)
		switch d.what {
		case dueNote:
			c.decide()
		case dueEnd:
			i := c.ends[d.index]
			c.ends = slices.Delete(c.ends, d.index, d.index+1)
			c.release(i)
		case dueSlide:
			c.settle(uint8(d.index))
		}
	}
	c.latest = max(c.latest, now)
}

// Deadline is when Advance would decide something; ok is false if nothing
// waits.
func (c *Cleaner) Deadline() (at time.Duration, ok bool) {
	d, ok := c.due()
	return d.at, ok
}

// decision is something that time alone decides.
type decision struct {
	at    time.Duration
	what  uint8
	index int // within ends, or a channel of slides
}

const (
	dueNote uint8 = iota
	dueEnd
	dueSlide
)

// due is the next decision.
func (c *Cleaner) due() (d decision, ok bool) {
	if len(c.queue) > 0 {
		d, ok = decision{at: c.voices[c.queue[0]].deadline, what: dueNote}, true
	}
	for k, i := range c.ends {
		if t := c.voices[i].at + c.doubleWindow(); !ok || t < d.at {
			d, ok = decision{t, dueEnd, k}, true
		}
	}
	for left := c.slides.pending; left != 0; left &= left - 1 {
		ch := bits.TrailingZeros16(left)
		if t := c.slides.of[ch].due(); !ok || t < d.at {
			d, ok = decision{t, dueSlide, ch}, true
		}
	}
	return d, ok
}

// Safe is the time before which every onset has been delivered: later calls
// deliver no note with an earlier one.
func (c *Cleaner) Safe(now time.Duration) time.Duration {
	at := now
	if len(c.queue) > 0 {
		at = min(at, c.voices[c.queue[0]].at)
	}
	at -= c.delay(c.low)
	for left := c.slides.pending; left != 0; left &= left - 1 {
		at = min(at, c.slides.of[bits.TrailingZeros16(left)].since)
	}
	return max(at, c.lastAt)
}

// End tells that the source has ended or vanished: what waits is decided, what
// sounds is released, no string is bent. The Cleaner can go on with later events.
func (c *Cleaner) End(at time.Duration) {
	c.Advance(at)
	for len(c.queue) > 0 {
		c.decide()
	}
	c.slides.pending = 0
	left := slices.Clone(c.ends)
	c.ends = c.ends[:0]
	for ch := range c.on.voice {
		for key := 0; key < 128 && c.on.count[ch] > 0; key++ {
			i := c.on.get(uint8(ch), uint8(key))
			if i < 0 {
				continue
			}
			c.on.clear(uint8(ch), uint8(key))
			v := &c.voices[i]
			v.over, v.off = true, c.latest
			if v.id == c.before.id {
				c.before.off, c.before.over = c.latest, true
			}
			left = append(left, i)
		}
	}
	slices.SortFunc(left, func(a, b int32) int { return cmp.Compare(c.voices[a].id, c.voices[b].id) })
	for _, i := range left {
		c.release(i)
	}
	for ch := range c.wheels { // where they are when the source comes back is told anew
		c.wheels[ch].control(ccReset, 0)
	}
}
