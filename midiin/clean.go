package midiin

import (
	"cmp"
	"math"
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
	on     [16][128]int32 // voice of a key that sounds, plus one; 0 for none
	queue  []int32        // voices that wait, in order of arrival
	ends   []int32        // kept voices that ended at once and may be struck again
	wheels [16]wheel
	slides [16]slide
	loud   loudness
	onsets onsets

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

// voice is one struck key until it is dropped or released.
type voice struct {
	at       time.Duration // arrival of the note-on
	off      time.Duration // arrival of the end, if over
	deadline time.Duration // of the decision, if suspect
	channel  uint8
	key      uint8 // as sent
	velocity uint8
	bent     int8 // frets that the bend adds to the key
	slid     int8 // frets slid into this note
	kept     bool
	over     bool
	flipped  bool // turned out to be a harmonic of the note that followed
	suspicion
	id int
}

// pitch is the MIDI note that the voice sounds.
func (v *voice) pitch(octave int) int { return int(v.key) + 12*octave + int(v.bent) }

// NewCleaner returns a Cleaner for a neck of at least one string.
func NewCleaner(o CleanerOptions, l Listener) *Cleaner {
	c := &Cleaner{o: o, l: l, low: slices.Min(o.Open), high: slices.Max(o.Open) + o.Frets}
	c.finder = finder{open: o.Open, frets: o.Frets}
	c.strings = StringMap{channel: o.Strings.channel, open: o.Open, frets: o.Frets}
	for i := range c.wheels {
		c.wheels[i] = wheel{semitones: defaultRange, parameter: noParameter}
	}
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
	c.wheels[ch].control(number, value)
	switch number {
	case ccReset:
		c.bend(ch)
	case ccMono, ccPoly:
		c.finder.mode(ch, number == ccMono)
		c.silence(ch)
	case ccSoundOff, ccNotesOff:
		c.silence(ch)
	}
}

// silence ends every note of a channel.
func (c *Cleaner) silence(ch uint8) {
	for key := range c.on[ch] {
		c.lift(ch, uint8(key), c.latest)
	}
}

// strike takes a note-on.
func (c *Cleaner) strike(ch, key, velocity uint8, at time.Duration) {
	bent := 0
	if c.o.Mode != Keyboard {
		bent = c.bentFrets(ch)
	}
	pitch := int(key) + 12*c.o.Octave
	if c.unrelated(ch) {
		c.l.Drop(Dropped{At: at, Channel: int(ch), Pitch: pitch + bent, Reason: Unrelated})
		return
	}
	if c.double(ch, key, velocity, at) {
		return
	}
	c.lift(ch, key, at)
	v := voice{at: at, channel: ch, key: key, velocity: velocity, bent: int8(bent)}
	if (pitch < c.low || pitch > c.high) && (pitch+bent < c.low || pitch+bent > c.high) {
		c.l.Drop(Dropped{At: at, Channel: int(ch), Pitch: pitch + bent, Reason: OffNeck})
		return
	}
	c.flip(ch, pitch+bent, at)
	v.suspicion = c.suspect(&v, pitch+bent)
	v.deadline = at + v.wait()
	c.onsets.add(onset{at: at, channel: ch, key: key, velocity: velocity})
	i := c.add(v)
	c.on[ch][key] = i + 1
	c.queue = append(c.queue, i)
	c.pump()
}

// seeks reports whether strings are to be told from channels by evidence.
func (c *Cleaner) seeks() bool {
	return !c.o.Strings.told && !c.o.Strings.pitchOnly && c.o.Mode != Keyboard
}

// unrelated reports whether a channel certainly carries something else: it was
// left out of the strings that the player named, or all strings have been heard
// on other channels, or it has drums beside a line.
func (c *Cleaner) unrelated(ch uint8) bool {
	if c.strings.Known() && c.strings.channel[ch] == 0 {
		return c.o.Strings.told || c.strings.heardAll(c.finder.seen)
	}
	return ch == percussion && c.strings.channel[ch] == 0 && c.finder.seen&^(1<<percussion) != 0
}

// double drops a note-on that is the one before it once more: the same key of
// the same channel struck again sooner than a hand can.
func (c *Cleaner) double(ch, key, velocity uint8, at time.Duration) bool {
	window := c.doubleWindow()
	drop := func() bool {
		c.l.Drop(Dropped{At: at, Channel: int(ch), Pitch: int(key) + 12*c.o.Octave, Reason: DoubleTrigger})
		return true
	}
	if i := c.on[ch][key]; i > 0 {
		v := &c.voices[i-1]
		if at-v.at >= window {
			return false
		}
		c.louder(v, velocity)
		return drop()
	}
	reopen := func(i int32) bool {
		v := &c.voices[i]
		if v.channel != ch || v.key != key || at-v.at >= window {
			return false
		}
		v.over = false
		c.louder(v, velocity)
		c.on[ch][key] = i + 1
		if c.before.id == v.id && v.kept {
			c.before.over = false
		}
		return true
	}
	for k, i := range c.ends {
		if reopen(i) {
			c.ends = slices.Delete(c.ends, k, k+1)
			return drop()
		}
	}
	for _, i := range c.queue {
		if c.voices[i].over && reopen(i) {
			return drop()
		}
	}
	return false
}

// louder takes a waiting note for meant if it comes again louder: the soft one
// announced it.
func (c *Cleaner) louder(v *voice, velocity uint8) {
	if !v.kept && velocity > v.velocity {
		v.velocity = velocity
		v.suspicion &= c.suspect(v, v.pitch(c.o.Octave))
	}
}

// lift takes the end of a key.
func (c *Cleaner) lift(ch, key uint8, at time.Duration) {
	i := c.on[ch][key] - 1
	if i < 0 {
		return
	}
	c.on[ch][key] = 0
	c.onsets.over(ch, key, at)
	c.over(i, at)
}

// over ends a voice. A note that ended at once may be struck again as a double
// trigger; until that can be told its release waits.
func (c *Cleaner) over(i int32, at time.Duration) {
	v := &c.voices[i]
	v.over, v.off = true, at
	if c.slides[v.channel].voice == i+1 {
		c.slides[v.channel] = slide{}
	}
	if !v.kept {
		return
	}
	if v.id == c.before.id {
		c.before.off, c.before.over = at, true
	}
	if at-v.at < c.doubleWindow() && v.slid == 0 {
		c.ends = append(c.ends, i)
		return
	}
	c.release(i)
}

func (c *Cleaner) release(i int32) {
	v := &c.voices[i]
	c.l.Release(v.id, v.off)
	c.free = append(c.free, i)
}

func (c *Cleaner) add(v voice) int32 {
	if n := len(c.free); n > 0 {
		i := c.free[n-1]
		c.free = c.free[:n-1]
		c.voices[i] = v
		return i
	}
	c.voices = append(c.voices, v)
	return int32(len(c.voices) - 1)
}

// pump delivers what waits, up to the first note that is still suspect.
func (c *Cleaner) pump() {
	for len(c.queue) > 0 && c.voices[c.queue[0]].suspicion == 0 {
		i := c.queue[0]
		c.queue = slices.Delete(c.queue, 0, 1)
		c.keep(i)
	}
}

// keep delivers a note.
func (c *Cleaner) keep(i int32) {
	v := &c.voices[i]
	pitch := v.pitch(c.o.Octave)
	overlap := c.monophonic(v, i)
	if news := c.finder.hear(v.channel, pitch, v.at, overlap); news && c.seeks() {
		if m, ok := c.finder.find(); ok {
			c.strings = m
			c.l.StringsFound(m)
		}
	}
	v.kept = true
	c.loud.add(v.velocity)
	c.note(v, pitch, max(c.lastAt, v.at-c.delay(pitch)))
	if v.over {
		off := v.off
		v.over = false
		c.over(i, off)
	}
}

// monophonic reports whether another note of the channel sounds; where the
// channel is a string, that note ends here.
func (c *Cleaner) monophonic(v *voice, i int32) (overlap bool) {
	known := c.strings.Known() && c.strings.channel[v.channel] > 0
	for key, j := range c.on[v.channel] {
		if j == 0 || j == i+1 || !c.voices[j-1].kept {
			continue
		}
		overlap = true
		if known {
			c.lift(v.channel, uint8(key), v.at)
		}
	}
	return overlap
}

// note delivers v as the next note with its onset at.
func (c *Cleaner) note(v *voice, pitch int, at time.Duration) {
	v.id = c.next
	n := Note{
		ID:       v.id,
		At:       at,
		Channel:  int(v.channel),
		Pitch:    pitch,
		Velocity: int(v.velocity),
		Slide:    int(v.slid),
		Gap:      Rest,
		String:   c.strings.String(int(v.channel), pitch),
	}
	if c.before.id >= 0 {
		n.Sounding = !c.before.over || c.before.off > at
		n.Gap = 0
		if !n.Sounding {
			n.Gap = at - c.before.off
		}
	}
	c.next++
	c.lastAt, c.lastPitch = at, pitch
	if n.String > 0 && pitch > c.o.Open[n.String-1] {
		c.lastFret = pitch - c.o.Open[n.String-1]
	}
	c.before.id, c.before.over = v.id, false
	c.l.Note(n)
}

// delay is how late a converter tells pitch; 0 unless it is to be undone.
// Equal temperament at A4 = 440 Hz (ISO 16:1975).
func (c *Cleaner) delay(pitch int) time.Duration {
	if c.o.Mode != Pickup {
		return 0
	}
	hz := 440 * math.Exp2(float64(pitch-69)/12)
	return time.Duration(converterPeriods / hz * float64(time.Second))
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
	for ch := range c.slides {
		if s := &c.slides[ch]; s.voice > 0 && (!ok || s.since+slideSettle < d.at) {
			d, ok = decision{s.since + slideSettle, dueSlide, ch}, true
		}
	}
	return d, ok
}

// decide settles the first note that waits.
func (c *Cleaner) decide() {
	i := c.queue[0]
	v := &c.voices[i]
	v.bent = int8(c.bentFrets(v.channel))
	pitch := v.pitch(c.o.Octave)
	reason := DropReason("")
	switch {
	case pitch < c.low || pitch > c.high:
		reason = OffNeck
	case c.ghost(v):
		reason = Ghost
	}
	if reason != "" {
		c.queue = slices.Delete(c.queue, 0, 1)
		if c.on[v.channel][v.key] == i+1 {
			c.on[v.channel][v.key] = 0
		}
		c.l.Drop(Dropped{At: v.at, Channel: int(v.channel), Pitch: pitch, Reason: reason})
		c.free = append(c.free, i)
	}
	v.suspicion = 0
	c.pump()
}

// Safe is the time before which every onset has been delivered: later calls
// deliver no note with an earlier one.
func (c *Cleaner) Safe(now time.Duration) time.Duration {
	at := now
	if len(c.queue) > 0 {
		at = min(at, c.voices[c.queue[0]].at)
	}
	at -= c.delay(c.low)
	for ch := range c.slides {
		if s := &c.slides[ch]; s.voice > 0 {
			at = min(at, s.since)
		}
	}
	return max(at, c.lastAt)
}

// End tells that the source has ended or vanished: what waits is decided, what
// sounds is released. The Cleaner can go on with later events.
func (c *Cleaner) End(at time.Duration) {
	c.Advance(at)
	for len(c.queue) > 0 {
		c.decide()
	}
	c.slides = [16]slide{}
	left := slices.Clone(c.ends)
	c.ends = c.ends[:0]
	for ch := range c.on {
		for key, i := range c.on[ch] {
			if i > 0 {
				c.on[ch][key] = 0
				v := &c.voices[i-1]
				v.over, v.off = true, c.latest
				if v.id == c.before.id {
					c.before.off, c.before.over = c.latest, true
				}
				left = append(left, i-1)
			}
		}
	}
	slices.SortFunc(left, func(a, b int32) int { return cmp.Compare(c.voices[a].id, c.voices[b].id) })
	for _, i := range left {
		c.release(i)
	}
}
