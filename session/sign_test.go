package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"stillhand/midiin"
)

// What was asked for is shown to have been done for as long as the session's clock
// says, and the clock is asked to say when that is over.
func TestSign_StaysForAWhile(t *testing.T) {
	t.Parallel()
	for _, practice := range []Plan{nil, rungPlan(t, 120)} {
		p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
		if practice != nil {
			p.practise(practice)
		}
		at := time.Second
		for _, c := range []struct {
			kind ActionKind
			want Sign
			idle bool // in a practice
		}{
			{Mark, Sign{"mark", "mark 1"}, false},
			{Mark, Sign{"mark", "mark 2"}, false},
			{Swap, Sign{"three", "fingers swapped"}, true},
			{Forget, Sign{"zero", "counts restarted"}, true},
			{Hold, Sign{}, true},
		} {
			p.Advance(at)
			assert.Zero(t, p.Snapshot().Sign)
			p.Do(Action{Kind: c.kind})
			want := c.want
			if c.idle && practice != nil {
				want = Sign{}
			}
			assert.Equal(t, want, p.Snapshot().Sign)
			if want != (Sign{}) {
				due, ok := p.Deadline()
				assert.True(t, ok)
				assert.Equal(t, at+signStays, due)
				p.Advance(due - 1)
				assert.Equal(t, want, p.Snapshot().Sign)
			}
			at += signStays
		}
	}
}

// A take that is played again shows its marks as they come.
func TestSign_IsOfATakeToo(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, nil))
	p.Event(midiin.Event{Kind: midiin.Text, Text: midiin.TakeMark})
	p.Event(midiin.Event{At: time.Second, Kind: midiin.Marker, Text: "mark"})
	assert.Equal(t, "mark 1", p.Snapshot().Sign.Text)
}

func TestPipeline_SaysThatTheInputIsGone(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, nil))
	assert.False(t, p.Snapshot().Gone)
	p.Event(midiin.Event{At: time.Second, Kind: midiin.Lost, Text: "keys"})
	assert.True(t, p.Snapshot().Gone)
	p.Event(midiin.Event{At: 2 * time.Second, Kind: midiin.Found, Text: "keys"})
	assert.False(t, p.Snapshot().Gone)
}

// Only a pickup on several channels may have one for each string.
func TestPipeline_SaysWhatCouldBeTold(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		values   map[string]string
		channels byte
		want     bool
	}{
		"two channels": {map[string]string{"input": "pickup"}, 2, true},
		"one channel":  {map[string]string{"input": "pickup"}, 1, false},
		"told":         {map[string]string{"input": "pickup", "strings": "1=1,2=2,3=3,4=4"}, 2, false},
		"pitch alone":  {map[string]string{"input": "pickup", "strings": "pitch"}, 2, false},
		"a keyboard":   {map[string]string{"input": "keyboard"}, 2, false},
		"who knows":    {nil, 2, false},
	} {
		p := NewPipeline(plainSetup(t, tc.values))
		var perf performance
		for i := range 4 {
			perf.channel = byte(i) % tc.channels
			perf.note(time.Duration(i)*500*time.Millisecond, 45-5*int(perf.channel), 450*time.Millisecond)
		}
		for _, e := range perf.events {
			p.Event(e)
		}
		p.Advance(5 * time.Second)
		assert.Equal(t, tc.want, p.Snapshot().Unmapped, name)
	}
}
