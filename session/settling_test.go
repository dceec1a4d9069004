package session

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/midiin"
)

// A note waits for two further ones, but not through a rest, nor for ever.
func TestPipeline_SettlesAtARest(t *testing.T) {
	t.Parallel()
	const on, off = 0x90, 0x80
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	say := func(at time.Duration, status, pitch byte) {
		p.Event(midiin.Event{At: at, Data: [3]byte{status, pitch, 90}})
	}
	waiting := func(at time.Duration) int {
		p.Advance(at)
		return len(p.waiting)
	}
	say(0, on, 40)
	say(time.Second, off, 40)
	say(time.Second, on, 43)
	assert.Equal(t, 2, waiting(1900*time.Millisecond))
	assert.Equal(t, 1, waiting(2*time.Second), "two seconds after its onset")
	say(2200*time.Millisecond, off, 43)
	assert.Equal(t, 1, waiting(2600*time.Millisecond))
	assert.Equal(t, 0, waiting(2601*time.Millisecond), "a rest of 400 ms")
	assert.True(t, p.Snapshot().Hand.Settled)
	say(3*time.Second, on, 45)
	say(3100*time.Millisecond, on, 47)
	assert.Equal(t, 2, waiting(3150*time.Millisecond))
	say(3200*time.Millisecond, on, 49)
	assert.Equal(t, 2, waiting(3250*time.Millisecond), "two further notes")
}

// What is played on hold says nothing of the notes before it, nor does where
// the hand is said to be then.
func TestPipeline_HoldSettlesWhatWasPlayed(t *testing.T) {
	t.Parallel()
	of := func(onHold bool) []ReviewNote {
		var perf performance
		at := time.Duration(0)
		note := func(pitch int) {
			perf.note(at, pitch, 240*time.Millisecond)
			at += 250 * time.Millisecond
		}
		for _, fret := range []int{3, 5, 6, 5, 3, 5} {
			note(38 + fret)
		}
		p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
		feedOpen(p, perf.events)
		if onHold {
			p.Do(Action{Kind: Hold})
			perf.events = nil
			for range 5 {
				note(50)
			}
			feedOpen(p, perf.events)
			p.Do(Action{Kind: Anchor, Value: 4})
			p.Do(Action{Kind: Hold})
		}
		p.End(at + time.Second)
		return p.Review("x", "", nil).Notes
	}
	assert.Equal(t, of(false), of(true))
}

// feedOpen gives p events and does not end it.
func feedOpen(p *Pipeline, events []midiin.Event) {
	for _, e := range events {
		p.Event(e)
	}
}

// A command that was given when a replay had ended is given there again.
func TestPlayer_KeepsWhatWasSaidAtTheEnd(t *testing.T) {
	t.Parallel()
	var perf performance
	at := time.Duration(0)
	for _, pitch := range []int{45, 47, 48, 47, 45} {
		perf.note(at, pitch, 480*time.Millisecond)
		at += 500 * time.Millisecond
	}
	perf.note(at, 50, time.Second)
	end := at + time.Second
	p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, map[string]string{"input": "keyboard"}), Events: perf.events, Length: end})
	p.jump(end)
	p.do(Action{Kind: Anchor, Value: 9})
	want := document(t, p.pipe)
	p.jump(time.Second)
	p.jump(end)
	assert.Equal(t, want, document(t, p.pipe))
	assert.Equal(t, 9, p.pipe.Snapshot().Hand.Position)
}

// A player who lets the last note ring need not wait for the result.
func TestPractising_ALastNoteThatRingsIsJudged(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	var perf performance
	perf.note(time.Second, 45, 200*time.Millisecond)
	last := perf.cell(time.Second+4*testBeat, 38, testBeat) - testBeat
	ringing := perf.events[:len(perf.events)-1]
	done := time.Duration(0)
	play(p, ringing, last+time.Second, func(r *Round) {
		if r.Done && done == 0 {
			done = p.now
		}
	})
	assert.InDelta(t, (last + answerWait).Seconds(), done.Seconds(), 0.002)
	require.Len(t, attempts(t, p), 1)
	assert.True(t, attempts(t, p)[0].InOrder)
}

// While a note may still turn out to follow the call, nothing is lost for it.
func TestPractising_ACallLosesNothingToNotesThatAreOpen(t *testing.T) {
	t.Parallel()
	n := neck(t)
	p := NewPipeline(plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4"}))
	plan := func(start time.Duration, _ []Practice) Practice {
		m, err := NewMeter(start, 90, 4, 1, 8)
		require.NoError(t, err)
		r, err := NewRoundPractice(coach.Round{Kind: coach.RoundCall, Neck: n, System: coach.Four, Low: 1, High: 12}, m, 0)
		require.NoError(t, err)
		return r
	}
	p.practise(plan)
	r := plan(0, nil).(*RoundPractice)
	var events []midiin.Event
	note := func(at time.Duration, fret int, length time.Duration) {
		pitch := byte(38 + fret)
		events = append(events, midiin.Event{At: at, Data: [3]byte{0x91, pitch, 90}}, midiin.Event{At: at + length, Data: [3]byte{0x81, pitch, 0}})
	}
	note(time.Second, 5, 200*time.Millisecond)
	first := time.Second + 4*r.Beat
	// Half notes; only the last of each call's two bars lies in the window called.
	for k, c := range r.calls {
		for half := range 4 {
			at := c.Position
			if half < 3 && k > 0 {
				at = r.calls[k-1].Position
			}
			note(first+time.Duration(8*k+2*half)*r.Beat, at+half%2*3, 2*r.Beat-5*time.Millisecond)
		}
	}
	said := map[string]bool{}
	play(p, events, first+40*r.Beat, func(v *Round) { said[v.Detail] = true })
	require.Len(t, p.practice.results, 1)
	stands := []string{"Count-in"}
	for _, l := range p.practice.results[0].(*RoundPractice).Score().Losses {
		stands = append(stands, l.Text)
	}
	require.Greater(t, len(stands), 1)
	for text := range said {
		assert.True(t, text == "" || slices.ContainsFunc(stands, func(s string) bool { return strings.HasPrefix(text, s) }),
			"said and taken back: %q of %v", text, stands)
	}
}
