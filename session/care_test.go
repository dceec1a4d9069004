package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
)

// minutes plays eight notes a minute-sixteenth with a rest after each group:
// a passage every ten seconds, from one time to another.
func minutes(from, to time.Duration) *performance {
	var p performance
	for at := from; at < to; at += 10 * time.Second {
		for i := range 8 {
			p.note(at+time.Duration(i)*500*time.Millisecond, 45+i%3, 450*time.Millisecond)
		}
	}
	return &p
}

// remarks plays to a pipeline with care and returns what it said, by time.
func remarks(t *testing.T, log []coach.Load, day int, perf *performance, end time.Duration) (said []CoachLine) {
	t.Helper()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	p.mind(log, day)
	var last time.Duration = -1
	for _, e := range perf.events {
		play(p, nil, e.At, nil)
		p.Event(e)
		if s := p.Snapshot(); len(s.Lines) > 0 && s.Lines[0].Kind == "" && s.Lines[0].At > last {
			last = s.Lines[0].At
			said = append(said, s.Lines[0])
			assert.LessOrEqual(t, len(s.Playing), 1, "said before this event, at a rest")
		}
	}
	play(p, nil, end, nil)
	p.End(end)
	return said
}

// Breaks: five minutes in each half hour is common advice (expert custom, no
// trial); the reminder comes at 25 minutes.
func TestCare_RemindsAfterTwentyFiveMinutesUnbroken(t *testing.T) {
	t.Parallel()
	said := remarks(t, nil, 0, minutes(0, 61*time.Minute), 62*time.Minute)
	require.Len(t, said, 3)
	assert.Equal(t, coach.LightText, said[0].Text)
	assert.InDelta(t, 10*time.Minute, said[0].At, float64(20*time.Second))
	assert.Regexp(t, `^25 minutes without a break\.`, said[1].Text)
	assert.InDelta(t, 25*time.Minute, said[1].At, float64(20*time.Second))
	assert.Regexp(t, `^50 minutes without a break\.`, said[2].Text)

	paused := minutes(0, 20*time.Minute)
	paused.events = append(paused.events, minutes(25*time.Minute+10*time.Second, 45*time.Minute).events...)
	said = remarks(t, nil, 0, paused, 46*time.Minute)
	require.Len(t, said, 1, "a break of five minutes was made")
	assert.Equal(t, coach.LightText, said[0].Text)
}

func TestCare_SaysASuddenIncreaseOnce(t *testing.T) {
	t.Parallel()
	var log []coach.Load
	for day := range 10 {
		log = append(log, coach.Load{Day: 100 + day, Minutes: 12, Shifts: 600, Wide: 600})
	}
	day := 110
	said := remarks(t, log, day, minutes(0, 9*time.Minute), 10*time.Minute)
	assert.Empty(t, said, "an ordinary day")

	log = append(log, coach.Load{Day: day, Minutes: 16}) // an earlier sitting of today
	said = remarks(t, log, day, minutes(0, 9*time.Minute), 10*time.Minute)
	require.Len(t, said, 1)
	assert.Regexp(t, `^Today: 1[89]\.\d minutes\. Your average day of playing in the last two weeks: 12\.0\.`, said[0].Text)
}

// At most one new line in four seconds (the model), whoever speaks: here a
// passage that goes along a string for no reason ends every second and a half.
func TestCoach_SpeaksAtMostOnceInFourSeconds(t *testing.T) {
	t.Parallel()
	perf := performance{channel: 2}
	for at := time.Second; at < 12*time.Minute; at += 1500 * time.Millisecond {
		for i, pitch := range []int{38, 41, 38, 43, 46, 43} {
			perf.note(at+time.Duration(i)*150*time.Millisecond, pitch, 140*time.Millisecond)
		}
	}
	p := NewPipeline(plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4", "input": "keyboard"}))
	p.mind(nil, 0)
	var spoken []CoachLine
	for _, e := range perf.events {
		play(p, nil, e.At, nil)
		p.Event(e)
		if lines := p.lines; len(lines) > 0 && (spoken == nil || lines[0].At > spoken[len(spoken)-1].At) {
			spoken = append(spoken, lines[0])
		}
	}
	require.Greater(t, len(spoken), 100)
	care := 0
	for i, l := range spoken {
		if l.Kind == "" {
			care++
		}
		if i > 0 {
			require.GreaterOrEqual(t, l.At-spoken[i-1].At, lineEvery)
		}
	}
	assert.Equal(t, 1, care, "the light touch, once")
}

// Advice whose turn has not come waits for it as long as the rest lasts, at a time
// that no Advance decides, and is dropped when the next passage begins.
func TestCoach_WaitsForItsTurnInARest(t *testing.T) {
	t.Parallel()
	phrase := func(perf *performance, at time.Duration) {
		for i, pitch := range []int{38, 41, 38, 43, 46, 43, 38, 41, 38, 43, 46, 43, 38, 41, 38, 43} {
			perf.note(at+time.Duration(i)*150*time.Millisecond, pitch, 140*time.Millisecond)
		}
	}
	const second = 3300 * time.Millisecond // after a rest of 0.9 s
	for name, third := range map[string]time.Duration{
		"a long rest": 14 * time.Second, "a short one": 6200 * time.Millisecond,
	} {
		for _, tick := range []time.Duration{10 * time.Millisecond, time.Hour} {
			perf := performance{channel: 2}
			phrase(&perf, 0)
			phrase(&perf, second)
			phrase(&perf, third)
			p := NewPipeline(plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4", "input": "keyboard"}))
			p.mind(nil, 0)
			for _, e := range perf.events {
				if e.At >= third {
					break
				}
				for at := p.now + tick; at < e.At; at += tick {
					p.Advance(at)
				}
				p.Event(e)
			}
			p.Advance(6150 * time.Millisecond)
			require.Len(t, p.lines, 1, name)
			first := p.lines[0].At
			require.Less(t, first, second)
			turn := first + lineEvery
			due, ok := p.Deadline()
			require.True(t, ok)
			for ; due < min(turn, third); due, ok = p.Deadline() {
				require.True(t, ok)
				p.Advance(due)
				require.Len(t, p.lines, 1, "%s, at %v", name, due)
			}
			if third < turn {
				p.Event(perf.events[len(perf.events)-32])
				p.Advance(third + 100*time.Millisecond)
				assert.Nil(t, p.next)
				continue
			}
			assert.Equal(t, turn, due)
			p.Advance(third - second)
			require.Len(t, p.lines, 2)
			assert.Equal(t, turn, p.lines[0].At)
			assert.Equal(t, p.said, p.lines[0])
			assert.NotEmpty(t, p.said.Kind)
			assert.Nil(t, p.next)
		}
	}
}

// What waits for its turn is of notes before the counts were restarted, or for fingers
// that the player has changed since: it is dropped.
func TestCoach_DropsWhatWaitsWhenCountsOrFingersChange(t *testing.T) {
	t.Parallel()
	for _, change := range []ActionKind{Forget, Swap} {
		p := NewPipeline(plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4", "input": "keyboard"}))
		perf := performance{channel: 2}
		for phrase := range 2 { // with a rest of 0.9 s between
			for i, pitch := range []int{38, 41, 38, 43, 46, 43, 38, 41, 38, 43, 46, 43, 38, 41, 38, 43} {
				perf.note(time.Duration(phrase*22+i)*150*time.Millisecond, pitch, 140*time.Millisecond)
			}
		}
		for _, e := range perf.events {
			p.Event(e)
		}
		p.Advance(6150 * time.Millisecond)
		require.NotNil(t, p.next)
		said := p.said
		p.Do(Action{Kind: change})
		p.Advance(time.Minute)
		assert.Equal(t, said, p.said, "action %d", change)
	}
}

func TestCare_StandsOnAPracticeScreenForAWhile(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	p.mind(nil, 0)
	perf := minutes(0, 25*time.Minute+20*time.Second)
	play(p, perf.events, 25*time.Minute+20*time.Second, nil)
	assert.Contains(t, p.Snapshot().Round.Remark, "without a break")
	play(p, minutes(26*time.Minute+30*time.Second, 27*time.Minute).events, 28*time.Minute, nil)
	assert.Empty(t, p.Snapshot().Round.Remark)
}

func reachPractice(t *testing.T) (*Pipeline, func(pitches ...int)) {
	t.Helper()
	n, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	p := keyboard(t, func(time.Duration, []Practice) Practice { return NewReachPractice(n, coach.Four) })
	at := time.Second
	return p, func(pitches ...int) {
		var perf performance
		for _, pitch := range pitches {
			perf.note(at, pitch, 400*time.Millisecond)
			at += 500 * time.Millisecond
		}
		play(p, perf.events, at, nil)
	}
}

func TestReachPractice_PlayingTheNextCellSaysThatThisOneWasEasy(t *testing.T) {
	t.Parallel()
	p, notes := reachPractice(t)
	at := func() int { return p.Snapshot().Round.Position }
	assert.Equal(t, AwaitsAnswer, p.Snapshot().Round.Awaits)
	assert.Equal(t, 12, at())
	notes(49, 50, 51, 52) // frets 11 to 14 of D: not asked yet
	assert.Equal(t, 12, at(), "the cell asked for has not been heard")
	notes(50, 51, 52, 53)
	assert.Contains(t, p.Snapshot().Round.Detail, "Heard")
	notes(52, 51, 50, 49, 50, 51) // down again and on
	assert.Equal(t, 12, at())
	notes(52)
	assert.Equal(t, 11, at())
	notes(43, 44, 45) // on the A string
	assert.Equal(t, 11, at())
	notes(46)
	assert.Equal(t, 10, at())
	p.Do(Action{Kind: Easy})
	assert.Equal(t, 9, at())
	notes(49, 50, 51, 52) // what was asked before says nothing
	assert.Equal(t, 9, at())
	p.Do(Action{Kind: NotEasy})
	r := p.Snapshot().Round
	assert.False(t, r.Done, "not before the player keeps it")
	assert.Equal(t, AwaitsKeep, r.Awaits)
	assert.Contains(t, r.Detail, "played there")
	assert.Empty(t, p.practice.results)
	_, kept := p.practice.on.(*ReachPractice).Reach(7)
	assert.False(t, kept)
	p.Do(Action{Kind: Easy})
	r = p.Snapshot().Round
	assert.True(t, r.Done)
	assert.Equal(t, AwaitsNothing, r.Awaits)
	assert.Equal(t, "kept", r.Call, "large")
	found, ok := p.practice.results[0].(*ReachPractice).Reach(7)
	require.True(t, ok)
	assert.Equal(t, 10, found.Position)
	assert.Equal(t, 7, found.Day)
	assert.InDelta(t, r.StretchMM, found.MM, 1e-9)

	p.Do(Action{Kind: Again})
	assert.Equal(t, 12, at())
	p.End(time.Minute)
	assert.Len(t, p.practice.results, 1, "left unfinished")
}

// An answer from the keys alone says so, and the player can throw it away.
func TestReachPractice_SaysWhatNothingWasHeardOf(t *testing.T) {
	t.Parallel()
	p, notes := reachPractice(t)
	p.Do(Action{Kind: Easy})
	notes(49, 50, 51, 52) // frets 11 to 14 of D are heard and not easy
	p.Do(Action{Kind: NotEasy})
	r := p.Snapshot().Round
	assert.Contains(t, r.Detail, "position 12, by your word alone: no note of it was heard")
	p.Do(Action{Kind: NotEasy})
	r = p.Snapshot().Round
	assert.Equal(t, AwaitsAnswer, r.Awaits, "asked again")
	assert.Equal(t, 12, r.Position)

	notes(50, 51, 52, 53)
	p.Do(Action{Kind: Easy})
	p.Do(Action{Kind: NotEasy})
	assert.Contains(t, p.Snapshot().Round.Detail, "position 12, played there")
	p.End(time.Minute)
	assert.Empty(t, p.practice.results, "left before it was kept")
}

func TestReachPractice_NothingEasyIsNoReach(t *testing.T) {
	t.Parallel()
	p, _ := reachPractice(t)
	for range 40 {
		p.Do(Action{Kind: NotEasy})
	}
	r := p.Snapshot().Round
	assert.True(t, r.Done)
	assert.Equal(t, "no reach found", r.Call)
	assert.Equal(t, "Enter asks again, q leaves", r.Title, "and no question that nobody asks any more")
	assert.Contains(t, r.Detail, "--fingers three")
	_, ok := p.practice.results[0].(*ReachPractice).Reach(0)
	assert.False(t, ok)
	assert.Nil(t, LastKept(p.practice.results))
}

// A search after one that was kept takes nothing from that.
func TestReachPractice_WhatWasKeptStaysWhenAskedAgain(t *testing.T) {
	t.Parallel()
	n := neck(t)
	p := keyboard(t, func(_ time.Duration, before []Practice) Practice {
		search := NewReachPractice(n, coach.Four)
		if kept := LastKept(before); kept != nil {
			found, _ := kept.Reach(0)
			search.KeptMM = found.MM
		}
		return search
	})
	for _, a := range []ActionKind{Easy, NotEasy, Easy, Again, Easy, NotEasy} {
		p.Do(Action{Kind: a})
	}
	r := p.Snapshot().Round
	assert.Equal(t, AwaitsKeep, r.Awaits)
	assert.InDelta(t, n.StretchMM(12, 4), r.KeptMM, 1e-9)
	p.Do(Action{Kind: Again})
	for range 40 {
		p.Do(Action{Kind: NotEasy})
	}
	r = p.Snapshot().Round
	assert.Equal(t, "no reach found", r.Call)
	assert.Equal(t, "No window of four fingers was easy. The 69 mm kept before stay.", r.Detail)
	require.Len(t, p.practice.results, 2)
	assert.Same(t, p.practice.results[0], LastKept(p.practice.results))
}
