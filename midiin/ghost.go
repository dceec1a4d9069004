package midiin

import "time"

// Times and shares of the cleaning: what hands can do is from memory, the rest
// was tuned on simulated pickups of this project.
const (
	// hold is how long a suspicious note waits for evidence: longer than nearly
	// all ghosts last.
	hold = 60 * time.Millisecond
	// strokeTime is the least between two strokes of one hand: sixteen a second
	// are about the most (memory).
	strokeTime = 60 * time.Millisecond
	// plainDouble is how soon the same note again is a double trigger however
	// loud it is, sureDouble the same where it is not known that a pickup sends.
	// From plainDouble to strokeTime only a weaker one is: a converter hears the
	// string ring on, a hand that repeats a note strikes about as hard again.
	plainDouble = 45 * time.Millisecond
	sureDouble  = 30 * time.Millisecond
	weaker      = 0.85
	// repeating is how far apart the strokes of quick repeats are at most:
	// sixteenths at 125 beats a minute.
	repeating = 2 * strokeTime
	// near is how close to a ghost the stroke or the release lies that caused it.
	near = 30 * time.Millisecond
	// settling is how soon after a note-on a converter centres its bend.
	settling = 15 * time.Millisecond
	// flipTime is how soon a converter that took a harmonic for the note puts
	// it right.
	flipTime = 35 * time.Millisecond
	// soft is the share of the usual velocity under which a note is suspicious,
	// and of the velocity of what caused it that no ghost exceeds; softAuto the
	// same as the first where it is not known that a pickup sends, verySoft
	// where nobody means a note that is short as well, softRelease where a note
	// comes with the release of another.
	soft        = 0.5
	softAuto    = 0.35
	softRelease = 0.38
	verySoft    = 0.25
	// stray is how many very soft notes in a row, none beside a louder one, are
	// touched strings; more are a passage that has become quiet.
	stray = 2
	// leap is a jump up, in semitones or, where strings are known, in frets, at
	// which a converter may have taken a harmonic for the note.
	leap      = 10
	leapFrets = 8
)

// suspicion says what is odd about a note.
type suspicion uint8

const (
	tooSoft suspicion = 1 << iota
	tooHigh           // may be a harmonic of the note to come
	isBent            // struck with the bend of the note before
)

// wait is how long a note waits for evidence.
func (s suspicion) wait() time.Duration {
	switch {
	case s&tooSoft != 0:
		return hold
	case s&tooHigh != 0:
		return flipTime
	case s&isBent != 0:
		return settling
	}
	return 0
}

// doubleWindow is how long after a stroke a double trigger of it can come: the
// release of a note that ends before waits so long, its onset does not.
func (c *Cleaner) doubleWindow() time.Duration {
	switch c.o.Mode {
	case Keyboard:
		return 0
	case Pickup:
		return strokeTime
	}
	return sureDouble
}

// again reports whether a stroke of v's key is a double trigger of v.
func (c *Cleaner) again(v *voice, velocity uint8, at time.Duration) bool {
	apart := at - v.at
	if apart < plainDouble || c.o.Mode != Pickup {
		return apart < c.doubleWindow()
	}
	return apart < strokeTime && float64(velocity) < weaker*float64(v.velocity) && !c.onsets.repeats(v)
}

// softness is the velocity as a share of the usual one, or of that of a louder
// note struck just before; 1 while neither is known.
func (c *Cleaner) softness(v *voice) float64 {
	if usual := max(c.loud.usual(), c.onsets.loudest(v.at)); usual > 0 {
		return float64(v.velocity) / float64(usual)
	}
	return 1
}

// suspect says what is odd about a note; a note without anything odd is
// delivered at once.
func (c *Cleaner) suspect(v *voice, pitch int) suspicion {
	var s suspicion
	switch c.o.Mode {
	case Keyboard:
		return 0
	case Pickup:
		if c.softness(v) < soft {
			s |= tooSoft
		}
		if c.leaps(int(v.channel), pitch) {
			s |= tooHigh
		}
	default:
		if c.softness(v) < softAuto {
			s |= tooSoft
		}
	}
	if v.bent != 0 {
		s |= isBent
	}
	return s
}

// leaps reports whether a note lies so far above the one before that it may be
// a harmonic.
func (c *Cleaner) leaps(channel, pitch int) bool {
	if s := c.strings.String(channel, pitch); s > 0 && c.lastFret > 0 {
		return pitch-c.o.Open[s-1]-c.lastFret >= leapFrets
	}
	return c.next > 0 && pitch-c.lastPitch >= leap
}

// flip looks for a waiting note of the channel that was a harmonic of the one
// struck at last: octave, twelfth or double octave above it.
func (c *Cleaner) flip(ch uint8, pitch int, at time.Duration) {
	for _, i := range c.queue {
		v := &c.voices[i]
		if v.channel != ch || v.suspicion&tooHigh == 0 || at-v.at > flipTime {
			continue
		}
		switch v.pitch(c.o.Octave) - pitch {
		case 12, 19, 24:
			v.flipped = true
		}
	}
}

// ghost decides over a note that waited.
func (c *Cleaner) ghost(v *voice) bool {
	if v.flipped {
		return true
	}
	if v.suspicion&tooSoft == 0 || !v.over || v.off-v.at > hold {
		return false
	}
	softness := c.softness(v)
	struck, released := c.onsets.cause(v, c.strings.known())
	if struck || released && softness < softRelease {
		return true
	}
	if softness >= verySoft {
		return false
	}
	c.strays++
	return c.strays <= stray
}

// meant hears how loud a kept note is.
func (c *Cleaner) meant(v *voice) {
	if float64(v.velocity) >= verySoft*float64(c.loud.usual()) {
		c.strays = 0
	}
	c.loud.add(v.velocity)
}

// onset is a struck note, kept or waiting.
type onset struct {
	at, off  time.Duration // off is 0 while it sounds
	channel  uint8
	key      uint8
	velocity uint8
}

// onsets are the latest ones, a ring.
type onsets struct {
	ring [16]onset
	n    int
}

func (o *onsets) add(x onset) {
	o.ring[o.n%len(o.ring)] = x
	o.n++
}

// back is the onset i before the newest.
func (o *onsets) back(i int) *onset { return &o.ring[(o.n-1-i)%len(o.ring)] }

// loudest is the velocity of the loudest note struck within near before at; 0
// if there is none.
func (o *onsets) loudest(at time.Duration) (velocity int) {
	for i := range min(o.n, len(o.ring)) {
		x := o.back(i)
		if at-x.at > near {
			break
		}
		if x.at <= at {
			velocity = max(velocity, int(x.velocity))
		}
	}
	return velocity
}

// repeats reports whether v repeats a note quickly.
func (o *onsets) repeats(v *voice) bool {
	for i := range min(o.n, len(o.ring)) {
		x := o.back(i)
		if v.at-x.at > repeating {
			break
		}
		if x.at < v.at && x.channel == v.channel && x.key == v.key {
			return true
		}
	}
	return false
}

// cause reports whether a note much louder was struck, or let go, near v: what
// is hardly softer than its neighbours in a quiet passage is a note. After a
// stroke no finger reaches another string before strokeTime; on its own string
// a hammered note may follow sooner. The release may be told after v, because a
// string is touched before it falls silent.
func (o *onsets) cause(v *voice, perString bool) (struck, released bool) {
	for i := range min(o.n, len(o.ring)) {
		x := &o.ring[i]
		if float64(v.velocity) >= soft*float64(x.velocity) {
			continue
		}
		after := near
		if perString && x.channel != v.channel {
			after = strokeTime
		}
		struck = struck || x.at-v.at <= near && v.at-x.at <= after
		released = released || x.off > 0 && (v.at-x.off).Abs() <= near
	}
	return struck, released
}

// over hears the end of a key.
func (o *onsets) over(channel uint8, key uint8, at time.Duration) {
	for i := range min(o.n, len(o.ring)) {
		if x := o.back(i); x.channel == channel && x.key == key {
			x.off = at // again, where a double trigger took the note up again
			return     // a key is let go before it is struck again
		}
	}
}

// loudness is the running median of the velocities of kept notes.
type loudness struct {
	ring   [16]uint8
	n      int
	count  [128]uint8
	median int // see usual
	softer int // values in the ring below median
}

// leastLoudness is how many notes the median needs.
const leastLoudness = 4

func (l *loudness) add(velocity uint8) {
	at := l.n % len(l.ring)
	if l.n >= len(l.ring) {
		l.put(l.ring[at], -1)
	}
	l.ring[at] = velocity
	l.put(velocity, 1)
	l.n++
	n := min(l.n, len(l.ring))
	for 2*(l.softer+int(l.count[l.median])) < n {
		l.softer += int(l.count[l.median])
		l.median++
	}
	for 2*l.softer >= n {
		l.median--
		l.softer -= int(l.count[l.median])
	}
}

// put changes how many notes of the ring have a velocity.
func (l *loudness) put(velocity uint8, by int) {
	l.count[velocity] += uint8(by)
	if int(velocity) < l.median {
		l.softer += by
	}
}

// usual is the median velocity; 0 while there are too few notes.
func (l *loudness) usual() int {
	if l.n < leastLoudness {
		return 0
	}
	return l.median
}
