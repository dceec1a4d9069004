package session

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
)

func TestPlayer_SameAnswersAfterEveryJump(t *testing.T) {
	t.Parallel()
	rec := recording(t, "demo.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	setup := plainSetup(t, nil)
	whole := NewPipeline(setup)
	feed(whole, events, rec.File.Length(), noTicks)
	want := document(t, whole)

	p := NewPlayer(context.Background(), PlayerOptions{Setup: setup, Name: "demo.mid", Events: events, Length: rec.File.Length()})
	for _, a := range []ActionKind{NextShift, Forward, Forward, NextAdvice, Back, Back, NextShift, Forward} {
		p.do(Action{Kind: a})
	}
	p.jump(rec.File.Length())
	assert.Equal(t, want, document(t, p.pipe))
	p.jump(time.Minute)
	once := document(t, p.pipe)
	p.jump(0)
	p.jump(30 * time.Second)
	p.jump(time.Minute)
	assert.Equal(t, once, document(t, p.pipe))
}

func TestPlayer_KeepsWhatTheViewerAskedFor(t *testing.T) {
	t.Parallel()
	rec := recording(t, "demo.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: events, Length: rec.File.Length()})
	p.jump(20 * time.Second)
	p.do(Action{Kind: Swap})
	p.jump(40 * time.Second)
	want := document(t, p.pipe)
	p.jump(10 * time.Second)
	assert.Equal(t, "four", p.pipe.system.Name)
	p.jump(40 * time.Second)
	assert.Equal(t, "three", p.pipe.system.Name)
	assert.Equal(t, want, document(t, p.pipe))
}

// A jump that goes nowhere is answered; the next action takes the answer back.
func TestPlayer_AnswersAJumpThatGoesNowhere(t *testing.T) {
	t.Parallel()
	rec := recording(t, "demo.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: events, Length: rec.File.Length()})
	answer := func(k ActionKind) string {
		p.do(Action{Kind: k})
		p.publish()
		return p.Latest().Replay.Answer
	}
	assert.Empty(t, answer(NextAdvice))
	p.jump(p.length)
	assert.Equal(t, "no further advice", answer(NextAdvice))
	assert.Equal(t, "no further shift", answer(NextShift))
	assert.Empty(t, answer(NextMark), "marks begin again")
	assert.Less(t, p.at, p.length)

	p = NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Length: time.Second})
	assert.Equal(t, "no advice at all", answer(NextAdvice))
	assert.Equal(t, "no mark at all", answer(NextMark))
	assert.Empty(t, answer(Pause))
}

// Whoever jumps while a passage loops wants to be there: that passage loops.
func TestPlayer_LoopGoesAlongWithAJump(t *testing.T) {
	t.Parallel()
	rec := recording(t, "demo.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	now := time.Unix(0, 0)
	p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: events, Length: rec.File.Length(), Now: func() time.Time { return now }})
	p.last = now
	p.do(Action{Kind: Loop})
	first := p.loopTo
	p.do(Action{Kind: NextAdvice})
	p.do(Action{Kind: NextAdvice})
	there := p.at
	require.Greater(t, there, first)
	now = now.Add(10 * time.Millisecond)
	p.pass()
	assert.Equal(t, there+10*time.Millisecond, p.at)
	assert.LessOrEqual(t, p.loopFrom, there)
	now = now.Add(p.loopTo - p.at)
	p.pass()
	assert.Equal(t, p.loopFrom, p.at)
	p.do(Action{Kind: Loop})
	assert.False(t, p.loop)
}

// Whoever leaves in the middle of a passage is told of what was played until
// there: a note that sounds is played, a silence that may still end the passage is
// not.
func TestPlayer_WholeHoldsThePassageThatGoesOn(t *testing.T) {
	t.Parallel()
	second := func(n float64) time.Duration { return time.Duration(n * float64(time.Second)) }
	events := []midiin.Event{
		{At: second(1), Data: [3]byte{0x90, 40, 90}}, {At: second(3), Data: [3]byte{0x80, 40, 0}},
		{At: second(10), Data: [3]byte{0x90, 43, 90}}, {At: second(12), Data: [3]byte{0x80, 43, 0}},
		{At: second(12.25), Data: [3]byte{0x90, 45, 90}}, {At: second(16), Data: [3]byte{0x80, 45, 0}},
	}
	p := NewPlayer(context.Background(), PlayerOptions{
		Setup: plainSetup(t, map[string]string{"input": "keyboard"}), Events: events, Length: second(20),
	})
	for _, c := range []struct{ at, played float64 }{{0.5, 0}, {2, 1}, {9, 2}, {11, 3}, {12.125, 4}, {15, 7}, {20, 8}} {
		p.jump(second(c.at))
		p.publish()
		assert.Equal(t, second(c.played), p.Whole().Played, "left at %v s", c.at)
	}
}

// What loops is the passage and the gap that ended it, not the silence after.
func TestPlayer_LoopsNoSilence(t *testing.T) {
	t.Parallel()
	second := func(n float64) time.Duration { return time.Duration(n * float64(time.Second)) }
	note := func(key byte, on, off float64) []midiin.Event {
		return []midiin.Event{{At: second(on), Data: [3]byte{0x90, key, 90}}, {At: second(off), Data: [3]byte{0x80, key, 0}}}
	}
	events := append(note(40, 1, 3), append(note(43, 10, 10.5), note(45, 10.75, 11.5)...)...)
	p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, map[string]string{"input": "keyboard"}), Events: events, Length: second(20)})
	p.do(Action{Kind: Loop})
	for _, c := range []struct{ at, from, to float64 }{{0, 1, 3.4}, {2, 1, 3.4}, {8, 1, 3.4}, {10.6, 10, 11.9}, {19, 10, 11.9}} {
		p.jump(second(c.at))
		p.loopHere()
		assert.Equal(t, []time.Duration{second(c.from), second(c.to)}, []time.Duration{p.loopFrom, p.loopTo}, "at %v s", c.at)
	}
}

// At the end of a recording Space plays the loop, if there is one.
func TestPlayer_PlaysTheLoopFromTheEnd(t *testing.T) {
	t.Parallel()
	var perf performance
	perf.note(time.Second, 45, time.Second)
	perf.note(4*time.Second, 45, time.Second)
	end := 7 * time.Second
	p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: perf.events, Length: end})
	p.jump(end)
	p.do(Action{Kind: Pause})
	assert.Zero(t, p.at)
	p.jump(end)
	p.do(Action{Kind: Loop})
	p.do(Action{Kind: Pause})
	assert.True(t, p.playing)
	assert.Equal(t, []time.Duration{4 * time.Second, 4 * time.Second}, []time.Duration{p.at, p.loopFrom})
}

// Nobody waits for the cable of a recording.
func TestPlayer_SaysWhereTheInputWasLost(t *testing.T) {
	t.Parallel()
	at := func(s int, text string) midiin.Event {
		return midiin.Event{At: time.Duration(s) * time.Second, Kind: midiin.Marker, Text: text}
	}
	events := []midiin.Event{{Kind: midiin.Text, Text: midiin.TakeMark}, at(2, LostMarker+"keys"), at(4, FoundMarker+"keys")}
	p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: events, Length: 5 * time.Second})
	for s, want := range map[time.Duration]string{1: "", 3: "the input was lost here: keys", 5: ""} {
		p.jump(s * time.Second)
		p.publish()
		assert.Equal(t, want, p.Latest().Warning)
	}
}

func TestPlayer_SurveyEndsWithItsContext(t *testing.T) {
	t.Parallel()
	rec := recording(t, "demo.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	o := PlayerOptions{Setup: plainSetup(t, nil), Events: events, Length: rec.File.Length()}
	assert.NotEmpty(t, NewPlayer(ctx, o).shifts)
	stop()
	assert.Empty(t, NewPlayer(ctx, o).shifts)
}

// What it takes to read the events up to the loop's start again is not played: the
// passage begins at its start.
func TestPlayer_JumpsTakeNoTime(t *testing.T) {
	t.Parallel()
	rec := recording(t, "demo.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	now := time.Unix(0, 0)
	var p *Player
	clock := func() time.Time { return now }
	// slow makes the next jump take a while: whoever looks at the clock once more
	// looks at it afterwards.
	slow := func() {
		before := now
		now = now.Add(125 * time.Millisecond)
		p.now = func() time.Time {
			p.now = clock
			return before
		}
	}
	p = NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: events, Length: rec.File.Length(), Now: clock})
	p.last = now
	p.do(Action{Kind: NextAdvice})
	p.do(Action{Kind: Loop})
	now = now.Add(p.loopTo - p.at)
	slow()
	p.pass()
	require.Equal(t, p.loopFrom, p.at)
	now = now.Add(10 * time.Millisecond)
	p.pass()
	assert.Equal(t, p.loopFrom+10*time.Millisecond, p.at)

	slow()
	p.pass()
	p.do(Action{Kind: Back})
	there := p.at
	p.pass()
	assert.Equal(t, there, p.at)
}

// Music without rests is one passage: the arrows go through it in steps, and the
// answers stay those of the events.
func TestPlayer_StepsThroughALongPassage(t *testing.T) {
	t.Parallel()
	var perf performance
	end := 100 * time.Second
	for at := time.Duration(0); at < end; at += 250 * time.Millisecond {
		perf.note(at, 40+int(at/time.Second)%5, 240*time.Millisecond)
	}
	short := end + time.Second
	perf.note(short, 45, time.Second)
	setup := plainSetup(t, map[string]string{"input": "keyboard"})
	p := NewPlayer(context.Background(), PlayerOptions{Setup: setup, Events: perf.events, Length: short + time.Second})
	step := func(k ActionKind) time.Duration {
		p.do(Action{Kind: k})
		return p.at
	}
	assert.Equal(t, 10*time.Second, step(Forward))
	assert.Equal(t, 20*time.Second, step(Forward))
	p.jump(64 * time.Second)
	assert.Equal(t, 60*time.Second, step(Back))
	assert.Equal(t, 50*time.Second, step(Back))
	there := document(t, p.pipe)
	p.jump(95 * time.Second)
	assert.Equal(t, short, step(Forward), "the next passage")
	assert.Empty(t, p.answer)
	assert.Equal(t, short, step(Forward))
	assert.Equal(t, "no further passage", p.answer)
	assert.Equal(t, 90*time.Second, step(Back))
	p.jump(50 * time.Second)
	assert.Equal(t, there, document(t, p.pipe))
}

// A break is no passage however long it is: from phrase to phrase is one press.
// A note that comes, or lasts, until the last time that a file can name takes no
// more room than any other.
func TestPlayer_StepsThroughNoSilence(t *testing.T) {
	t.Parallel()
	const never = time.Duration(math.MaxInt64)
	second := 10 * time.Minute
	for name, third := range map[string]time.Duration{"a break": 20 * time.Minute, "years": 4500000000 * time.Second, "the last time": never - time.Second} {
		var perf performance
		perf.note(0, 40, time.Second)
		perf.note(1200*time.Millisecond, 43, time.Second)
		perf.note(second, 45, time.Second)
		perf.note(third, 45, time.Second)
		p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: perf.events, Length: third + time.Second})
		require.Len(t, p.passages, 3, name)
		step := func(k ActionKind) time.Duration {
			p.do(Action{Kind: k})
			return p.at.Round(time.Millisecond) // a float64 of years
		}
		assert.Equal(t, second, step(Forward), name)
		assert.Equal(t, third.Round(time.Millisecond), step(Forward), name)
		step(Forward)
		assert.Equal(t, "no further passage", p.answer, name)
		p.jump(third - time.Second)
		assert.Equal(t, second, step(Back), name)
		assert.Zero(t, step(Back), name)
	}

	var perf performance
	perf.note(0, 40, never)
	p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: perf.events, Length: never})
	require.Len(t, p.passages, 1)
	p.jump(time.Hour)
	p.do(Action{Kind: Forward})
	assert.Equal(t, time.Hour+passageStep, p.at)
	p.jump(never)
	p.do(Action{Kind: Back})
	assert.Less(t, never-p.at, 2*passageStep)
}

// Bar and beat are those of the file, and none are made up.
func TestPlayer_KnowsTheBar(t *testing.T) {
	t.Parallel()
	o := PlayerOptions{Setup: plainSetup(t, nil), Length: 20 * time.Second}
	p := NewPlayer(context.Background(), o)
	assert.Zero(t, p.Latest().Replay.Bar)
	o.Bar = func(at time.Duration) (int, float64, bool) { // three beats of half a second, up to 10 s
		beat := at.Seconds() * 2
		return 1 + int(beat/3), 1 + math.Mod(beat, 3), at < 10*time.Second
	}
	p = NewPlayer(context.Background(), o)
	at := func(to time.Duration) [2]int {
		p.jump(to)
		p.publish()
		return [2]int{p.Latest().Replay.Bar, p.Latest().Replay.Beat}
	}
	assert.Equal(t, [2]int{1, 1}, at(0))
	assert.Equal(t, [2]int{2, 3}, at(2900*time.Millisecond))
	assert.Equal(t, [2]int{0, 0}, at(11*time.Second))
}

// Where the recording ends with time itself the loop is not over before it begins.
func TestPlayer_LoopsARecordingToTheLastTimeThereIs(t *testing.T) {
	t.Parallel()
	now := time.Unix(0, 0)
	p := NewPlayer(t.Context(), PlayerOptions{
		Setup: plainSetup(t, map[string]string{"input": "keyboard"}), Length: math.MaxInt64,
		Events: []midiin.Event{{Data: [3]byte{0x90, 45, 90}}, {At: math.MaxInt64, Data: [3]byte{0x80, 45, 0}}},
		Now:    func() time.Time { return now },
	})
	p.last = now
	p.do(Action{Kind: Loop})
	for range 10 {
		now = now.Add(time.Second)
		p.pass()
	}
	assert.Equal(t, 10*time.Second, p.at, "from %v to %v", p.loopFrom, p.loopTo)
}
