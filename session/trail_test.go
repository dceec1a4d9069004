package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
)

// A word of the teacher is in the line at once: at the note that was taken to have
// been played there, or, once that note has settled, at a point of its own, which
// is no shift.
func TestTrail_ShowsWhatThePlayerSaid(t *testing.T) {
	t.Parallel()
	for _, settled := range []bool{true, false} {
		p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard", "strings": "1=4"}))
		var at time.Duration
		for _, fret := range []byte{1, 2, 3, 4, 2, 4, 7} {
			p.Event(midiin.Event{At: at, Data: [3]byte{0x90, 28 + fret, 90}})
			p.Event(midiin.Event{At: at + 250*time.Millisecond, Data: [3]byte{0x80, 28 + fret, 0}})
			at += 300 * time.Millisecond
		}
		to := 7
		if settled {
			at, to = at+3*time.Second, 12
		}
		p.Advance(at)
		shown := p.Snapshot()
		p.Do(Action{Kind: Anchor}) // what is shown is so: nothing to correct
		assert.Equal(t, shown.Hand.Position, p.Snapshot().Hand.Position)
		for _, point := range p.Snapshot().Trail {
			require.False(t, point.Told)
		}
		p = correctedTo(p, to)
		line := p.Snapshot().Trail
		last := line[len(line)-1]
		assert.Equal(t, TrailPoint{At: last.At, Position: to, Low: to, High: to, Probability: last.Probability, Moved: last.Moved, Told: true}, last)
		if settled {
			assert.Len(t, line, len(shown.Trail)+1)
			assert.Equal(t, at, last.At)
			assert.Zero(t, last.Moved)
		} else {
			assert.Len(t, line, len(shown.Trail))
		}
		for range 2 {
			p.Do(Action{Kind: Correct, Value: 1})
		}
		line = p.Snapshot().Trail
		assert.Equal(t, []int{to, to + 1, to + 2}, []int{line[len(line)-3].Position, line[len(line)-2].Position, line[len(line)-1].Position})
		p.Advance(at + TrailTime + time.Second)
		assert.Empty(t, p.Snapshot().Trail)
	}
}

// The hand did not go where it was shown, and it went: a word on where hides no
// shift that the counts hold.
func TestTrail_KeepsTheShiftOfANoteThatThePlayerSpokeOf(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard", "strings": "1=4"}))
	var at time.Duration
	for _, fret := range []byte{1, 2, 3, 4, 2, 4, 9} {
		p.Event(midiin.Event{At: at, Data: [3]byte{0x90, 28 + fret, 90}})
		p.Event(midiin.Event{At: at + 250*time.Millisecond, Data: [3]byte{0x80, 28 + fret, 0}})
		at += 300 * time.Millisecond
	}
	p.Advance(at)
	require.Equal(t, 6, p.Snapshot().Hand.Position)
	shown := correctedTo(p, 7).Snapshot()
	last := shown.Trail[len(shown.Trail)-1]
	assert.True(t, last.Told)
	assert.Equal(t, 7, last.Position)
	assert.Equal(t, 1.0, last.Moved)
	assert.Equal(t, 1, shown.Take.AtLeast)
}

func correctedTo(p *Pipeline, position int) *Pipeline {
	p.Do(Action{Kind: Anchor, Value: position})
	return p
}
