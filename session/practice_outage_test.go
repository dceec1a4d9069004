package session

import (
	"cmp"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/midiin"
)

// A bar in which the input was gone is named: it was not the player's silence.
func TestRoundPractice_SaysWhereTheInputWasGone(t *testing.T) {
	t.Parallel()
	for gone, want := range map[[2]int]string{ // bars, from 0 and to before
		{1, 2}: "the input was gone in 1 of 8 bars (2), which do not count",
		{2, 4}: "the input was gone in 2 of 8 bars (3, 4), which do not count",
		{1, 5}: "the input was gone in 4 of 8 bars (2 to 5), which do not count",
		{3, 8}: "no score: the input was gone in 5 of 8 bars (4 to 8)",
		{0, 8}: "no score: the input was gone in 8 of 8 bars (1 to 8)",
	} {
		p := round(t, coach.RoundHold, 8, 0)
		position := p.Plan().Calls()[0].Position
		line := func(bar int) time.Duration { return p.First() + time.Duration(4*bar)*p.Beat }
		index := 0
		for bar := range 8 {
			if bar == gone[0] {
				p.Lost(line(bar))
			}
			if bar == gone[1] {
				p.Found(line(bar))
			}
			if bar >= gone[0] && bar < gone[1] {
				continue
			}
			n := coach.Note{At: line(bar), Pitch: 45, String: 2}
			p.Note(index, n)
			p.Settled(n, coach.Estimate{Note: index, At: n.At, Settled: true, Position: position, Probability: 0.9,
				Place: coach.Place{String: 2, Fret: position}, PlaceProbability: 1})
			index++
		}
		p.Tick(p.Meter.End())
		require.True(t, p.Done())
		v := p.View(p.now)
		assert.Equal(t, want, v.Detail)
		assert.Equal(t, v.Of, v.Score)
	}
	few := round(t, coach.RoundHold, 8, 0)
	few.Lost(few.First())
	few.Found(few.First() + 8*few.Beat)
	few.Tick(few.Meter.End())
	assert.Equal(t, "0 notes in 8 bars: too few for a score; the input was gone in 2 of 8 bars (1, 2)", few.View(few.now).Detail)
}

// The take says when the input was gone, so that its notes give the same points
// again. It may be gone before a round begins.
func TestLive_ACableOutIsNotInTheScoreNorInItsTake(t *testing.T) {
	t.Parallel()
	setup := plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4"})
	plan := func(start time.Duration, _ []Practice) Practice {
		m, err := NewMeter(start, 120, 4, 1, 8)
		require.NoError(t, err)
		p, err := NewRoundPractice(coach.Round{Kind: coach.RoundCall, Neck: setup.Neck, System: coach.Four, Low: 3, High: 12}, m, 0)
		require.NoError(t, err)
		return p
	}
	calls := plan(0, nil).(*RoundPractice).Plan().Calls()
	perf := performance{channel: 1}
	perf.note(0, 45, 200*time.Millisecond)
	cable := func(at time.Duration, kind midiin.EventKind) {
		perf.events = append(perf.events, midiin.Event{At: at, Kind: kind, Text: "bass"})
	}
	for i := range 32 { // quarters in each window from its bar line on
		at := 4*testBeat + time.Duration(i)*testBeat
		bar := i / 4
		switch {
		case i == 8:
			cable(at-20*time.Millisecond, midiin.Lost)
		case i == 16:
			cable(at, midiin.Found)
		}
		if bar == 2 || bar == 3 {
			continue
		}
		perf.note(at, 38+calls[bar/2].Position+i%4, testBeat-50*time.Millisecond)
	}
	end := 40 * testBeat
	take := &log{events: []midiin.Event{{Kind: midiin.Text, Text: midiin.TakeMark}}}
	live := NewLive(LiveOptions{Setup: setup, Source: quietSource{}, Recorder: take, Practice: plan})
	live.start = time.Now()
	for _, e := range perf.events {
		live.event(e)
	}
	live.pipe.End(end)
	again := NewPipeline(setup)
	again.practise(plan)
	for i, e := range take.events { // a take keeps them as markers
		switch e.Kind {
		case midiin.Lost:
			take.events[i].Kind, take.events[i].Text = midiin.Marker, LostMarker+e.Text
		case midiin.Found:
			take.events[i].Kind, take.events[i].Text = midiin.Marker, FoundMarker+e.Text
		}
	}
	feed(again, take.events, end, noTicks)
	for name, p := range map[string]*Pipeline{"live": live.pipe, "take": again} {
		require.Len(t, p.practice.results, 1, name)
		got := p.practice.results[0].(*RoundPractice).Score()
		assert.Equal(t, []int{60, 60}, []int{got.Points, got.Of}, "%s: %v", name, got.Losses)
		assert.Equal(t, []int{3, 4}, got.Gone, name)
	}

	unplugged := NewPipeline(setup)
	unplugged.practise(plan)
	unplugged.Event(midiin.Event{Kind: midiin.Lost, Text: "bass"})
	unplugged.Advance(time.Second)
	unplugged.Do(Action{Kind: Again})
	unplugged.Advance(time.Minute)
	require.Len(t, unplugged.practice.results, 1)
	assert.Len(t, unplugged.practice.results[0].(*RoundPractice).Score().Gone, 8)
}

// An attempt that a cable out has spoilt is not held against the player; one that
// passed all the same counts, and so does one of which all was heard.
func TestRungPractice_ACableOutIsNotHeldAgainstThePlayer(t *testing.T) {
	t.Parallel()
	n := neck(t)
	for name, tc := range map[string]struct {
		lost, found float64 // in beats from bar 1 on; 0 for never
		without     [2]int  // the notes not heard
		wrong       bool    // note 3 is
		counts      bool
		call        string
	}{
		"there all the time":        {without: [2]int{5, 8}, counts: true, call: "not yet: notes"},
		"gone for three notes":      {lost: 4.5, found: 7.5, without: [2]int{5, 8}, call: "does not count"},
		"gone and not back":         {lost: 4.5, without: [2]int{5, 13}, call: "does not count"},
		"gone between two notes":    {lost: 4.5, found: 4.9, counts: true, call: "passed"},
		"back before the first":     {lost: -3, found: -1, wrong: true, counts: true, call: "not yet: notes"},
		"back with the first":       {lost: -3, found: -0.1, wrong: true, call: "does not count"},
		"gone after the last":       {lost: 12.1, wrong: true, counts: true, call: "not yet: notes"},
		"gone and back after that":  {lost: 12.1, found: 12.5, wrong: true, counts: true, call: "not yet: notes"},
		"gone from before it began": {lost: -4, without: [2]int{0, 13}, call: "does not count"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			perf := performance{channel: 1}
			cable := func(beats float64, kind midiin.EventKind) {
				at := time.Duration((4 + beats) * float64(testBeat))
				perf.events = append(perf.events, midiin.Event{At: at, Kind: kind, Text: "bass"})
			}
			perf.note(0, 45, 200*time.Millisecond)
			steps := coach.Cell{Kind: coach.WindowCell, System: coach.Four, Position: 7, String: 2}.Steps(coach.CellPasses)
			for i, s := range steps {
				if i >= tc.without[0] && i < tc.without[1] {
					continue
				}
				pitch := n.Pitch(s.Place)
				if tc.wrong && i == 3 {
					pitch++
				}
				perf.note(time.Duration(4+i)*testBeat, pitch, testBeat-20*time.Millisecond)
			}
			if tc.lost != 0 {
				cable(tc.lost, midiin.Lost)
			}
			if tc.found != 0 {
				cable(tc.found, midiin.Found)
			}
			slices.SortStableFunc(perf.events, func(a, b midiin.Event) int { return cmp.Compare(a.At, b.At) })
			pipe := NewPipeline(plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4"}))
			pipe.practise(func(start time.Duration, _ []Practice) Practice {
				m, err := NewMeter(start, 120, 4, 1, 1)
				require.NoError(t, err)
				p, err := NewRungPractice(n, coach.Cell{Kind: coach.WindowCell, System: coach.Four, Position: 7, String: 2}, m)
				require.NoError(t, err)
				return p
			})
			feed(pipe, perf.events, 80*testBeat, noTicks)
			require.Len(t, pipe.practice.results, 1)
			p := pipe.practice.results[0].(*RungPractice)
			assert.Equal(t, tc.counts, p.Counts())
			v := p.View(p.now)
			assert.Equal(t, tc.call, v.Call)
			if !tc.counts {
				assert.Equal(t, InputGone, v.Title)
			}
		})
	}
}
