package session

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/midiin"
)

const testBeat = 500 * time.Millisecond // 120 beats a minute

// rungPlan makes attempts at the four-fret cell at position 7.
func rungPlan(t testing.TB, tempo float64) Plan {
	n, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	return func(start time.Duration, _ []Practice) Practice {
		m, err := NewMeter(start, tempo, 4, 1, 1)
		require.NoError(t, err)
		p, err := NewRungPractice(n, coach.Cell{Kind: coach.WindowCell, System: coach.Four, Position: 7, String: 2}, m)
		require.NoError(t, err)
		return p
	}
}

// performance is what somebody plays, as events.
type performance struct {
	events  []midiin.Event
	channel byte
}

// note plays one note for a while, then leaves the key.
func (p *performance) note(at time.Duration, pitch int, length time.Duration) {
	p.events = append(p.events,
		midiin.Event{At: at, Data: [3]byte{0x90 | p.channel, byte(pitch), 90}},
		midiin.Event{At: at + length, Data: [3]byte{0x80 | p.channel, byte(pitch), 0}})
}

// cell plays the cell at position 7 of the string whose open pitch is open,
// connected, one note a beat from at, and returns when it is over.
func (p *performance) cell(at time.Duration, open int, beat time.Duration) time.Duration {
	for _, s := range (coach.Cell{Kind: coach.WindowCell, System: coach.Four, Position: 7, String: 1}).Steps(coach.CellPasses) {
		p.note(at, open+s.Place.Fret, beat-time.Millisecond)
		at += beat
	}
	return at
}

func keyboard(t testing.TB, plan Plan) *Pipeline {
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	p.practise(plan)
	return p
}

// play gives p events, waking it whenever it asks to be woken before to.
func play(p *Pipeline, events []midiin.Event, to time.Duration, seen func(*Round)) {
	wake := func(to time.Duration) {
		for at, ok := p.Deadline(); ok && at <= to; at, ok = p.Deadline() {
			p.Advance(max(at, p.now+Tick))
			if seen != nil {
				seen(p.Snapshot().Round)
			}
		}
		p.Advance(to)
	}
	for _, e := range events {
		wake(e.At)
		p.Event(e)
		if seen != nil {
			seen(p.Snapshot().Round)
		}
	}
	wake(to)
}

func attempts(t testing.TB, p *Pipeline) []coach.Attempt {
	t.Helper()
	var out []coach.Attempt
	for _, r := range p.practice.results {
		a, ok := r.(*RungPractice).Attempt()
		require.True(t, ok)
		out = append(out, a)
	}
	return out
}

func TestPractising_ANoteBeginsTheCountIn(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	assert.Equal(t, AwaitsNote, p.Snapshot().Round.Awaits)
	assert.Zero(t, p.Snapshot().Round.Beat)

	var perf performance
	perf.note(3*time.Second, 40, 100*time.Millisecond)
	first := 3*time.Second + 4*testBeat // the note is the first of the count-in
	end := perf.cell(first, 38, testBeat)
	type shown struct{ bar, beat int }
	beats := map[shown]time.Duration{}
	play(p, perf.events, end+time.Second, func(r *Round) {
		if !r.Done && r.Beat > 0 {
			if _, ok := beats[shown{r.Bar, r.Beat}]; !ok {
				beats[shown{r.Bar, r.Beat}] = p.now
			}
		}
	})
	for i := range 16 { // count-in and three bars; the 13 notes end on the first beat of bar 4
		want := 3*time.Second + time.Duration(i)*testBeat
		got, ok := beats[shown{i / 4, i%4 + 1}]
		require.True(t, ok, "bar %d, beat %d", i/4, i%4+1)
		assert.InDelta(t, want, got, float64(Tick), "bar %d, beat %d", i/4, i%4+1)
	}
	r := p.Snapshot().Round
	assert.True(t, r.Done)
	assert.Equal(t, "passed", r.Call)
	assert.Equal(t, AwaitsNothing, r.Awaits)
	require.Len(t, attempts(t, p), 1)
	assert.True(t, attempts(t, p)[0].Passed())
	assert.Equal(t, 2, p.practice.results[0].(*RungPractice).Cell().String)
}

func TestPractising_AnyStringOfTheNeckWillDo(t *testing.T) {
	t.Parallel()
	for i, open := range []int{43, 38, 33, 28} {
		p := keyboard(t, rungPlan(t, 120))
		var perf performance
		perf.note(0, 60, 100*time.Millisecond)
		end := perf.cell(4*testBeat, open, testBeat)
		play(p, perf.events, end+time.Second, nil)
		require.Len(t, attempts(t, p), 1)
		assert.True(t, attempts(t, p)[0].InOrder)
		assert.Equal(t, i+1, p.practice.results[0].(*RungPractice).Cell().String)
	}
}

// A beat does not wait: on hold its notes would be missed. What is asked is asked
// of one finger system. Counts that are restarted would not be seen to be.
func TestPractising_KnowsNoHoldNoSwapAndNoForget(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	assert.Empty(t, p.Do(Action{Kind: Hold}))
	assert.Empty(t, p.Do(Action{Kind: Swap}))
	assert.Empty(t, p.Do(Action{Kind: Forget}))
	var perf performance
	perf.note(0, 40, 100*time.Millisecond)
	play(p, perf.events, time.Second, nil)
	s := p.Snapshot()
	assert.False(t, s.Held)
	assert.Equal(t, coach.Four, s.System)
	assert.Equal(t, []int{1, 0}, []int{s.Notes, s.OnHold})
}

// pedal is a source with a pedal that is pressed once.
type pedal struct{ controller byte }

func (pedal) Name() string { return "pedal" }

func (p pedal) Run(ctx context.Context, emit func(midiin.Event)) error {
	emit(midiin.Event{Data: [3]byte{0xb0, p.controller, 127}})
	<-ctx.Done()
	return nil
}

// The screen answers a pedal, in a practice alone.
func TestLive_HandsWhatAPracticeDoesNotKnowToTheScreen(t *testing.T) {
	t.Parallel()
	foot, err := ParseFoot("cc64=hold,cc66=swap,cc67=forget")
	require.NoError(t, err)
	for _, tc := range []struct {
		plan    Plan
		control byte
		want    ActionKind
	}{{rungPlan(t, 120), 64, Hold}, {rungPlan(t, 120), 66, Swap}, {rungPlan(t, 120), 67, Forget}, {nil, 64, Hold}} {
		plan := tc.plan
		asked := make(chan Action, 1)
		live := NewLive(LiveOptions{Setup: plainSetup(t, nil), Source: pedal{tc.control}, Foot: foot, Practice: plan, Screen: func(a Action) { asked <- a }})
		ctx, stop := context.WithCancel(t.Context())
		done := make(chan error, 1)
		go func() { done <- live.Run(ctx) }()
		if plan != nil {
			select {
			case a := <-asked:
				assert.Equal(t, Action{Kind: tc.want}, a)
			case <-time.After(10 * time.Second):
				t.Fatal("the screen was not asked")
			}
		}
		for plan == nil && !live.Latest().Held {
			<-live.Changed()
		}
		stop()
		require.NoError(t, <-done)
		assert.Equal(t, plan == nil, live.Latest().Held)
		assert.Empty(t, asked)
	}
}

func TestPractising_BeginsAgainAfterSilenceOnly(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	var perf performance
	perf.note(0, 40, 100*time.Millisecond)
	at := perf.cell(4*testBeat, 38, testBeat)
	for range 10 { // playing on leaves the result where it is
		at += 4900 * time.Millisecond
		perf.note(at, 45, 100*time.Millisecond)
		at += 100 * time.Millisecond
	}
	play(p, perf.events, at+4900*time.Millisecond, nil)
	require.Len(t, p.practice.results, 1)
	require.True(t, p.Snapshot().Round.Done)
	assert.Equal(t, AwaitsNothing, p.Snapshot().Round.Awaits)
	woken := false
	play(p, nil, at+5100*time.Millisecond, func(r *Round) { woken = woken || r.Awaits == AwaitsNote })
	assert.True(t, woken, "a picture is due when the silence has lasted")

	perf.events = nil
	at += 7 * time.Second
	perf.note(at, 45, 100*time.Millisecond)
	end := perf.cell(at+4*testBeat, 38, testBeat)
	play(p, perf.events, end+time.Second, nil)
	assert.Len(t, p.practice.results, 2)
	assert.True(t, p.Snapshot().Round.Done)
}

func TestPractising_AgainStartsOverAndKeepsNothing(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	p.Do(Action{Kind: Again})
	var perf performance
	perf.note(4*testBeat, 45, testBeat)
	play(p, perf.events, 7*testBeat, nil)
	assert.Equal(t, 1, p.Snapshot().Round.Score)
	p.Do(Action{Kind: Again})
	assert.Zero(t, p.Snapshot().Round.Score)
	at := p.now
	perf.events = nil
	end := perf.cell(at+4*testBeat, 38, testBeat)
	play(p, perf.events, end+time.Second, nil)
	require.Len(t, attempts(t, p), 1)
	assert.True(t, attempts(t, p)[0].Passed())

	p.Do(Action{Kind: Again})
	play(p, nil, p.now+3*time.Second, nil)
	p.End(p.now)
	assert.Len(t, p.practice.results, 1, "left unfinished: no result")
}

func TestPractising_TheLastNoteCountsWhenTheSourceEnds(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	var perf performance
	perf.note(0, 60, 100*time.Millisecond)
	end := perf.cell(4*testBeat, 38, testBeat)
	play(p, perf.events, end, nil)
	p.End(end)
	require.Len(t, attempts(t, p), 1)
	assert.True(t, attempts(t, p)[0].Passed())
}

// freely plays along over four strings, one channel each, from a start on.
func freely(start time.Duration, notes int) (perf performance, end time.Duration) {
	for i := range notes {
		perf.channel = byte(i % 4)
		perf.note(start, []int{43, 38, 33, 28}[i%4]+5+i%3, 400*time.Millisecond)
		start += 250 * time.Millisecond
	}
	return perf, start
}

func roundPlan(t testing.TB, bars int) Plan {
	n, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	return func(start time.Duration, _ []Practice) Practice {
		m, err := NewMeter(start, 120, 4, 1, bars)
		require.NoError(t, err)
		p, err := NewRoundPractice(coach.Round{Kind: coach.RoundHold, Neck: n, System: coach.Four, Low: 5, High: 5}, m, 0)
		require.NoError(t, err)
		return p
	}
}

// attentive is a round that notes which estimates it was told.
type attentive struct {
	*RoundPractice
	told []int
}

func (a *attentive) Settled(n coach.Note, e coach.Estimate) {
	a.told = append(a.told, e.Note)
	a.RoundPractice.Settled(n, e)
}

func TestPractising_CountsEachNoteOnceWhenStringsAreFound(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, nil))
	plan := roundPlan(t, 16)
	p.practise(func(start time.Duration, before []Practice) Practice {
		return &attentive{RoundPractice: plan(start, before).(*RoundPractice)}
	})
	p.Do(Action{Kind: Again})
	perf, end := freely(4*testBeat, 100)
	told := 0
	for _, e := range perf.events {
		play(p, nil, e.At, nil)
		p.Event(e)
		if !p.told {
			told++
		}
	}
	require.True(t, p.told)
	require.Positive(t, told, "strings were found while the round was on")
	play(p, nil, end+10*time.Second, nil)
	require.Len(t, p.practice.results, 1)
	round := p.practice.results[0].(*attentive)
	assert.Equal(t, 100, round.Score().Notes)
	require.Len(t, round.told, 100)
	for i, note := range round.told {
		assert.Equal(t, i, note)
	}
}

func TestPractising_ANoteThatSoundsIsNoSilence(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	var perf performance
	perf.note(0, 40, 100*time.Millisecond)
	at := perf.cell(4*testBeat, 38, testBeat)
	play(p, perf.events, at+time.Second, nil)
	require.Len(t, p.practice.results, 1)
	p.Event(midiin.Event{At: at + time.Second, Data: [3]byte{0x90, 28, 90}}) // an open string goes on
	p.Event(midiin.Event{At: at + 9*time.Second, Data: [3]byte{0x90, 45, 90}})
	assert.True(t, p.Snapshot().Round.Done)
	p.Event(midiin.Event{At: at + 9*time.Second, Data: [3]byte{0x80, 45, 0}})
	p.Event(midiin.Event{At: at + 9*time.Second, Data: [3]byte{0x80, 28, 0}})
	p.Event(midiin.Event{At: at + 15*time.Second, Data: [3]byte{0x90, 45, 90}})
	assert.False(t, p.Snapshot().Round.Done)
}

func TestPractising_ARoundThatEndsWithItsSourceIsAResult(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "pickup", "strings": "1=1,2=2,3=3,4=4"}))
	p.practise(roundPlan(t, 2))
	p.Do(Action{Kind: Again})
	perf, _ := freely(4*testBeat, 15)
	play(p, perf.events, 12*testBeat, nil)
	p.End(p.practice.on.Clock().End())
	require.Len(t, p.practice.results, 1)
}

func TestPractising_TheHandIsTakenThereForTheAttemptOnly(t *testing.T) {
	t.Parallel()
	last := func(at time.Duration) string {
		p := keyboard(t, rungPlan(t, 120))
		p.Do(Action{Kind: Again})
		to := p.practice.on.Clock().End()
		var perf performance
		perf.note(to+at, 45, 100*time.Millisecond)
		play(p, perf.events, to+at+time.Second, nil)
		return document(t, p)
	}
	assert.Contains(t, last(-time.Second), `"probability": 1`, "the player's word")
	assert.NotContains(t, last(time.Second), `"probability": 1`, "after the attempt the hand may be anywhere")
}
