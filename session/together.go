package session

import (
	"fmt"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
)

const (
	// togetherTime is how soon after another a note on one string was struck
	// together with it: sooner than a finger can follow (ours).
	togetherTime = 10 * time.Millisecond
	// manyTogether is the share of a take's notes from which notes struck together
	// on one string speak against its channel. Ours: what a converter hears twice
	// stays under it.
	manyTogether = 0.1
)

// together counts the notes that were struck together on one told string, where
// only one can sound.
type together struct {
	last [coach.MaxStrings + 1]struct {
		at      time.Duration
		struck  bool
		counted bool // among notes
	}
	notes int
}

func (t *together) note(n midiin.Note) {
	if n.String == 0 || n.Slide != 0 {
		return
	}
	last := &t.last[n.String]
	crowded := last.struck && n.At-last.at < togetherTime
	if crowded && !last.counted {
		t.notes++ // the one before
	}
	if crowded {
		t.notes++
	}
	last.at, last.struck, last.counted = n.At, true, crowded
}

// warning says that they are a considerable share of so many notes; none where
// they are not.
func (t *together) warning(of int) []string {
	if t.notes == 0 || float64(t.notes) < manyTogether*float64(of) {
		return nil
	}
	return []string{fmt.Sprintf("%d of %s were struck together with another on one string, which sounds one at a time: the channel may be no string, try --strings pitch", t.notes, coach.Many(of, "note"))}
}
