package midiin

import (
	"math"
	"slices"
	"time"
)

// voice is one struck key until it is dropped or released.
type voice struct {
	at       time.Duration // arrival of the note-on
	off      time.Duration // arrival of the end, if over
	deadline time.Duration // of the decision, if suspect
	channel  uint8
	key      uint8 // as sent
	velocity uint8
	bent     int16 // frets that the bend adds to the key
	slid     int16 // frets slid into this note
	kept     bool
	over     bool
	flipped  bool // turned out to be a harmonic of the note that followed
	suspicion
	id int
}

// pitch is the MIDI note that the voice sounds.
func (v *voice) pitch(octave int) int { return int(v.key) + 12*octave + int(v.bent) }

// keyboard is the keys that sound or wait, by channel.
type keyboard struct {
	voice [16][128]int32 // plus one; 0 for none
	count [16]int16
}

// get is the voice of a key; -1 if it does not sound.
func (k *keyboard) get(ch, key uint8) int32 { return k.voice[ch][key] - 1 }

func (k *keyboard) set(ch, key uint8, voice int32) {
	if k.voice[ch][key] == 0 {
		k.count[ch]++
	}
	k.voice[ch][key] = voice + 1
}

func (k *keyboard) clear(ch, key uint8) {
	if k.voice[ch][key] != 0 {
		k.count[ch]--
	}
	k.voice[ch][key] = 0
}

// strike takes a note-on.
func (c *Cleaner) strike(ch, key, velocity uint8, at time.Duration) {
	bent := 0
	if c.o.Mode != Keyboard {
		bent = c.bentFrets(ch)
	}
	pitch := int(key) + 12*c.o.Octave
	drop := func(why DropReason) {
		c.l.Drop(Dropped{At: at, Channel: int(ch), Pitch: pitch + bent, Reason: why})
	}
	if c.unrelated(ch) {
		drop(Unrelated)
		return
	}
	if c.double(ch, key, velocity, at) {
		drop(DoubleTrigger)
		c.pump() // the one before may be beyond suspicion by it
		return
	}
	c.lift(ch, key, at)
	v := voice{at: at, channel: ch, key: key, velocity: velocity, bent: int16(bent)}
	if (pitch < c.low || pitch > c.high) && (pitch+bent < c.low || pitch+bent > c.high) {
		drop(OffNeck)
		return
	}
	c.flip(ch, pitch+bent, at)
	v.suspicion = c.suspect(&v, pitch+bent)
	v.deadline = at + v.wait()
	c.onsets.add(onset{at: at, channel: ch, key: key, velocity: velocity})
	i := c.add(v)
	c.on.set(ch, key, i)
	c.queue = append(c.queue, i)
	c.pump()
}

// Seeks reports whether strings are to be told from channels by evidence.
func (c *Cleaner) Seeks() bool {
	return !c.o.Strings.told && !c.o.Strings.pitchOnly && c.o.Mode != Keyboard
}

// unrelated reports whether a channel certainly carries something else: it was
// left out of the strings that the player named, or all strings have been heard
// on other channels, or it has drums beside a line.
func (c *Cleaner) unrelated(ch uint8) bool {
	if c.strings.known() && c.strings.channel[ch] == 0 {
		return c.o.Strings.told || c.strings.heardAll(c.finder.seen)
	}
	_, member := c.wheels.manager(ch)
	return ch == percussion && !member && !c.o.Strings.ten && c.strings.channel[ch] == 0 && c.finder.seen&^(1<<percussion) != 0
}

// double hears whether a note-on is the one before it once more: the same key of
// the same channel struck again sooner than a hand can. Then that one goes on.
func (c *Cleaner) double(ch, key, velocity uint8, at time.Duration) bool {
	if i := c.on.get(ch, key); i >= 0 {
		v := &c.voices[i]
		if !c.again(v, velocity, at) {
			return false
		}
		c.louder(v, velocity)
		return true
	}
	reopen := func(i int32) bool {
		v := &c.voices[i]
		if v.channel != ch || v.key != key || !c.again(v, velocity, at) {
			return false
		}
		v.over = false
		c.louder(v, velocity)
		c.on.set(ch, key, i)
		if c.before.id == v.id && v.kept {
			c.before.over = false
		}
		return true
	}
	for k, i := range c.ends {
		if reopen(i) {
			c.ends = slices.Delete(c.ends, k, k+1)
			return true
		}
	}
	for _, i := range c.queue {
		if c.voices[i].over && reopen(i) {
			return true
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
	i := c.on.get(ch, key)
	if i < 0 {
		return
	}
	c.on.clear(ch, key)
	c.onsets.over(ch, key, at)
	c.over(i, at)
}

// over ends a voice. A note that ended at once may be struck again as a double
// trigger; until that can be told its release waits.
func (c *Cleaner) over(i int32, at time.Duration) {
	v := &c.voices[i]
	v.over, v.off = true, at
	if c.slides.of[v.channel].voice == i {
		c.slides.drop(v.channel)
	}
	if !v.kept {
		return
	}
	if v.id == c.before.id {
		c.before.off, c.before.over = at, true
	}
	if at-v.at < c.doubleWindow() {
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
	if news := c.finder.hear(v.channel, pitch, v.at, overlap); news && c.Seeks() {
		if m, ok := c.finder.find(); ok {
			c.strings = m
			c.l.StringsFound(m)
		}
	}
	v.kept = true
	c.slides.drop(v.channel) // the bend is no longer that of one note alone
	c.meant(v)
	c.note(v, pitch, max(c.lastAt, v.at-c.delay(pitch)))
	if v.over {
		off := v.off
		v.over = false
		c.over(i, off)
	} else if v.at < c.latest { // it waited: its channel may have been bent since
		c.bend(v.channel)
	}
}

// monophonic reports whether another note of the channel sounds; where the
// channel is a string, that note ends here.
func (c *Cleaner) monophonic(v *voice, i int32) (overlap bool) {
	mine := c.on.get(v.channel, v.key) == i
	if n := c.on.count[v.channel]; n == 0 || n == 1 && mine {
		return false
	}
	for key := range c.on.voice[v.channel] {
		j := c.on.get(v.channel, uint8(key))
		if j < 0 || j == i || !c.voices[j].kept {
			continue
		}
		overlap = true
		if c.strings.channel[v.channel] > 0 {
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

// decide settles the first note that waits.
func (c *Cleaner) decide() {
	i := c.queue[0]
	v := &c.voices[i]
	v.bent = int16(c.bentFrets(v.channel))
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
		if c.on.get(v.channel, v.key) == i {
			c.on.clear(v.channel, v.key)
		}
		c.l.Drop(Dropped{At: v.at, Channel: int(v.channel), Pitch: pitch, Reason: reason})
		c.free = append(c.free, i)
	}
	v.suspicion = 0
	c.pump()
}
