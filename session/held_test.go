package session

import (
	"cmp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/midiin"
)

// Path by hand: A1 at fret 5 of the E string is held while the others go by.
func TestHand_CountsTheHeldNotesThatAPathCuts(t *testing.T) {
	t.Parallel()
	step := func(note, str, fret, position int) coach.Step {
		return coach.Step{Note: note, Place: coach.Place{String: str, Fret: fret}, Position: position}
	}
	for name, c := range map[string]struct {
		until float64 // the first note sounds; the others come at 1, 2 and 3 s
		path  []coach.Step
		want  int
	}{
		"held in its window":          {9, []coach.Step{step(0, 4, 5, 4), step(1, 2, 7, 4), step(2, 2, 6, 4), step(3, 2, 4, 4)}, 0},
		"the hand moves":              {9, []coach.Step{step(0, 4, 5, 4), step(1, 2, 7, 4), step(2, 2, 8, 5), step(3, 2, 4, 4)}, 1},
		"an open string holds":        {9, []coach.Step{step(0, 3, 0, 4), step(1, 2, 7, 4), step(2, 2, 8, 5), step(3, 2, 4, 4)}, 0},
		"its string is taken":         {9, []coach.Step{step(0, 3, 0, 4), step(1, 2, 7, 4), step(2, 3, 7, 4), step(3, 2, 4, 4)}, 1},
		"at once":                     {9, []coach.Step{step(0, 3, 0, 4), step(1, 3, 7, 4), step(2, 2, 7, 4), step(3, 2, 4, 4)}, 1},
		"it had ended before":         {2.5, []coach.Step{step(0, 4, 5, 4), step(1, 2, 7, 4), step(2, 2, 6, 4), step(3, 4, 9, 6)}, 0},
		"it was bound and not held":   {1.5, []coach.Step{step(0, 4, 5, 4), step(1, 4, 7, 4), step(2, 2, 6, 4), step(3, 2, 4, 4)}, 0},
		"and if its end is not known": {0, []coach.Step{step(0, 4, 5, 4), step(1, 4, 7, 4), step(2, 2, 6, 4), step(3, 2, 4, 4)}, 1},
	} {
		h := newHand(plainSetup(t, nil))
		for i := range 4 {
			at := time.Duration(i) * time.Second
			h.record.note(midiin.Note{At: at, Pitch: 40})
			h.record.off(i, at+time.Second/2)
		}
		if h.record.off(0, time.Duration(c.until*float64(time.Second))); c.until == 0 {
			h.playing = []playing{{index: 0}}
		}
		assert.Equal(t, c.want, h.cut(c.path), name)
	}
}

// A1 is held under a melody on the D string that takes the hand up a fret and
// back. In another place the hand need not move, but A1 lies on a string that the
// melody needs.
func TestReview_SaysThatAHeldNoteIsCutShort(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4"}))
	type note struct {
		channel, key byte
		on, off      float64
	}
	var events []midiin.Event
	for _, n := range []note{{3, 33, 0, 2}, {1, 45, .25, .49}, {1, 44, .5, .74}, {1, 42, .75, .99}, {1, 43, 1, 1.24}, {1, 45, 1.25, 1.49}, {1, 46, 1.5, 1.74}, {1, 45, 1.75, 1.99}} {
		at := func(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
		events = append(events, midiin.Event{At: at(n.on), Data: [3]byte{0x90 | n.channel, n.key, 90}}, midiin.Event{At: at(n.off), Data: [3]byte{0x80 | n.channel, n.key, 0}})
	}
	slices.SortStableFunc(events, func(a, b midiin.Event) int { return cmp.Compare(a.At, b.At) })
	for _, e := range events {
		p.Event(e)
	}
	p.End(3 * time.Second)
	r := p.Review("x", "", nil)
	require.Len(t, r.Advice, 1)
	assert.True(t, strings.HasSuffix(r.Advice[0].Text, " The note held on is then cut short."), r.Advice[0].Text)
}
