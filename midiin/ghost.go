package midiin

import "time"

// Times and shares of the cleaning, tuned on simulated pickups of this project.
const (
	// hold is how long a suspicious note waits for evidence.
	hold = 40 * time.Millisecond
	// strokeTime bounds how soon a hand strikes one string again; the fastest
	// repeat a note after some 60 ms (memory).
	strokeTime = 45 * time.Millisecond
	// sureDouble is the same where it is not known that a pickup sends.
	sureDouble = 30 * time.Millisecond
	// near is how close to a ghost the note lies that caused it.
	near = 25 * time.Millisecond
	// settling is how soon after a note-on a converter centres its bend.
	settling = 15 * time.Millisecond
	// soft is the share of the usual velocity under which a note is suspicious,
	// softAuto the same where it is not known that a pickup sends.
	soft     = 0.5
	softAuto = 0.35
)

func (c *Cleaner) doubleWindow() time.Duration {
	switch c.o.Mode {
	case Keyboard:
		return 0
	case Pickup:
		return strokeTime
	}
	return sureDouble
}

// suspicion is how long a note must wait for evidence; 0 for a note without
// anything odd about it, which is delivered at once.
func (c *Cleaner) suspicion(v *voice) time.Duration {
	if c.o.Mode == Keyboard {
		return 0
	}
	limit := softAuto
	if c.o.Mode == Pickup {
		limit = soft
	}
	if usual := c.loud.usual(); usual > 0 && float64(v.velocity) < limit*float64(usual) {
		return hold
	}
	if v.bent != 0 {
		return settling
	}
	return 0
}

// ghost decides over a note that waited: soft, over at once, and beside a
// louder one.
func (c *Cleaner) ghost(v *voice) bool {
	usual := c.loud.usual()
	if usual == 0 || float64(v.velocity) >= soft*float64(usual) {
		return false
	}
	if !v.over || v.off-v.at > hold {
		return false
	}
	return c.onsets.louder(v)
}

// onset is a struck note, kept or waiting.
type onset struct {
	at       time.Duration
	channel  uint8
	pitch    int
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

// louder reports whether a louder note was struck near v.
func (o *onsets) louder(v *voice) bool {
	for i := range min(o.n, len(o.ring)) {
		x := &o.ring[i]
		if x.velocity > v.velocity && (x.at-v.at).Abs() <= near {
			return true
		}
	}
	return false
}

// loudness is the running median of the velocities of kept notes.
type loudness struct {
	ring  [16]uint8
	n     int
	count [128]uint8
}

// leastLoudness is how many notes the median needs.
const leastLoudness = 4

func (l *loudness) add(velocity uint8) {
	at := l.n % len(l.ring)
	if l.n >= len(l.ring) {
		l.count[l.ring[at]]--
	}
	l.ring[at] = velocity
	l.count[velocity]++
	l.n++
}

// usual is the median velocity; 0 while there are too few notes.
func (l *loudness) usual() int {
	n := min(l.n, len(l.ring))
	if n < leastLoudness {
		return 0
	}
	for v, seen := 0, 0; v < 128; v++ {
		if seen += int(l.count[v]); 2*seen >= n {
			return v
		}
	}
	return 0
}
