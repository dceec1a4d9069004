package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestScorer_CallAsksHowSoon(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	calls := r.Calls()
	position := func(bar int) int { return calls[(bar-1)/2].Position }
	full := score(r, eighths(r, position)...)
	assert.Equal(t, 80, full.Points)
	require.Len(t, full.Arrivals, 4)
	for k, a := range full.Arrivals {
		assert.Equal(t, Arrival{Call: calls[k], Sure: true}, a)
	}

	// The second call is reached with the third eighth of its third beat.
	var notes []Estimate
	for i, e := range eighths(r, position) {
		if i >= 16 && i < 20 {
			e = at(int(e.At/time.Millisecond), calls[0].Position, calls[0].Position+1) // which the second window does not hold
		}
		notes = append(notes, e)
	}
	late := score(r, notes...)
	assert.Equal(t, 2*r.Beat, late.Arrivals[1].After)
	assert.Equal(t, 80-20*2/8, late.Points)
	assert.Contains(t, late.Losses[0].Text, "reached no sooner than 2 beats after the bar line")

	var stays []Estimate
	for i, e := range eighths(r, func(int) int { return calls[0].Position }) {
		stays = append(stays, at(int(e.At/time.Millisecond), calls[0].Position, calls[0].Position+1+i%3))
	}
	stay := score(r, stays...)
	lost := 0
	for k, c := range calls {
		if c.Position == calls[0].Position {
			assert.NotEqual(t, time.Duration(-1), stay.Arrivals[k].After)
			continue
		}
		if stay.Arrivals[k].After < 0 {
			lost += 20
		}
	}
	assert.Equal(t, 80-lost, stay.Points)
	assert.Positive(t, lost)
	silent := score(r)
	assert.Zero(t, silent.Points)
	assert.Len(t, silent.Losses, 4)
	assert.Contains(t, silent.Losses[0].Text, "no note was played in window ")
	assert.False(t, silent.Enough)
}

// When a hand was in the window is told for a fact only if the note shows it.
func TestScorer_AnArrivalIsAsSureAsItsNote(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	r.Bars = 4
	calls := r.Calls()
	p, q := calls[0].Position, calls[1].Position
	beat := int(r.Beat / time.Millisecond)
	doubtful := func(e Estimate) Estimate {
		e.Probability = Sure - 0.01
		return e
	}
	near := at(0, p+1, p+1)
	near.Low = p
	for name, tc := range map[string]struct {
		first         Estimate
		after         time.Duration
		sure, unclear bool
	}{
		"sure":       {first: at(0, p, p), sure: true},
		"doubtful":   {first: doubtful(at(0, p, p))},
		"a fret off": {first: near},
		"elsewhere":  {first: at(0, 19, 19), after: 3 * r.Beat, sure: true},
	} {
		got := score(r, tc.first, at(3*beat, p, p), at(8*beat, q, q), at(12*beat, q, q))
		require.Len(t, got.Arrivals, 2)
		assert.Equal(t, Arrival{Call: calls[0], After: tc.after, Sure: tc.sure}, got.Arrivals[0], name)
		assert.Equal(t, Arrival{Call: calls[1], Sure: true}, got.Arrivals[1], name)
	}

	// A call of which both bars are guesses; what it seemed to cost is none of
	// the losses either.
	got := score(r, at(0, p, p), at(4*beat, p, p), doubtful(at(11*beat, q, q)), doubtful(at(12*beat, q, q)))
	require.Len(t, got.Arrivals, 2)
	assert.Equal(t, Arrival{Call: calls[1], After: 3 * r.Beat, Unclear: true}, got.Arrivals[1])
	assert.Empty(t, got.Losses)
	assert.Equal(t, []int{20, 20}, []int{got.Points, got.Of})

	// A hand that may have been there and surely left has lost two points a note, or
	// was late when it surely came: what costs less counts, of equals the earlier.
	// What is taken back makes room for what is lost in the bar afterwards.
	out := func(beats float64) Estimate { return at(int(beats*float64(beat)), 19, 19) }
	rest := []Estimate{at(4*beat, p, p), at(8*beat, q, q), at(12*beat, q, q)}
	got = score(r, append([]Estimate{doubtful(at(0, p, p)), out(0.5), at(beat, p, p)}, rest...)...)
	assert.Equal(t, Arrival{Call: calls[0]}, got.Arrivals[0])
	assert.Equal(t, 40-2, got.Points)
	got = score(r, append([]Estimate{doubtful(at(0, p, p)), out(0.5), out(1), out(1.5), out(2), at(3*beat, p, p), out(3.5)}, rest...)...)
	assert.Equal(t, Arrival{Call: calls[0], After: 3 * r.Beat, Sure: true}, got.Arrivals[0])
	assert.Equal(t, 40-20*3/8-2, got.Points)

	// Losses are never more than the points that are missing.
	got = score(r, at(0, p, p), at(4*beat, p, p), doubtful(at(11*beat, q, q)), at(15*beat, q, q))
	assert.Equal(t, []int{23, 30}, []int{got.Points, got.Of})
	got = score(r, at(0, p, p), at(4*beat, p, p), doubtful(at(15*beat, q, q)))
	require.Len(t, got.Losses, 1)
	assert.Equal(t, []int{20, 30, 10}, []int{got.Points, got.Of, got.Losses[0].Points})
}

// While a call holds, nothing is lost for not being there yet.
func TestScorer_WaitsForACallToEnd(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	s := NewScorer(r, 0)
	assert.Equal(t, 80, s.Score(2*r.Bar()-1).Points)
	assert.Empty(t, s.Score(2*r.Bar()-1).Arrivals)
	assert.Equal(t, 60, s.Score(2*r.Bar()).Points)
	assert.Len(t, s.Score(2*r.Bar()).Arrivals, 1)
}

// With an odd number of bars the last call holds for one.
func TestScorer_LastCallMayBeShort(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	r.Bars = 3
	silent := score(r)
	assert.Equal(t, 30, silent.Of)
	assert.Equal(t, []int{20, 10}, []int{silent.Losses[0].Points, silent.Losses[1].Points})
	assert.Zero(t, silent.Points)
}

// The tracker does not know what is called: a note in the window may have been
// played there, whatever else is likelier.
func TestScorer_ANoteInTheWindowCalledIsThere(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	r.Bars = 4
	calls := r.Calls()
	require.Equal(t, []int{8, 5}, []int{calls[0].Position, calls[1].Position})
	got := score(r, at(0, 5, 8), at(500, 8, 11), at(2500, 8, 9), at(4000, 8, 8), at(4500, 5, 6), at(6000, 5, 7))
	assert.Empty(t, got.Losses)
	assert.Equal(t, []Arrival{{Call: calls[0]}, {Call: calls[1]}}, got.Arrivals)
}

// Half a beat ahead of a bar line is on time, at each one.
func TestScorer_EarlyIsOnTimeAtEachBarLine(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	r.Bars = 4
	calls := r.Calls()
	for name, tc := range map[string]struct {
		early Estimate
		lost  int
	}{
		"in time":          {early: at(3750, 5, 5)},
		"too early":        {early: at(3749, 5, 5), lost: LeavePoints + 20/8},
		"in both windows":  {early: at(3990, 8, 8)},
		"in the last one":  {early: at(3990, 8, 10), lost: 20 / 8},
		"in neither":       {early: at(3990, 14, 14), lost: LeavePoints + 20/8},
		"an open string":   {early: at(3990, 5, 0), lost: 20 / 8},
		"a window further": {early: at(1990, 5, 5), lost: LeavePoints + 20/8},
	} {
		got := score(r, at(-250, 8, 9), at(500, 8, 11), tc.early, at(4500, 5, 6), at(6000, 5, 7))
		assert.Equal(t, 40-tc.lost, got.Points, name)
		require.Len(t, got.Arrivals, 2)
		assert.True(t, got.Arrivals[0].Sure, name)
		assert.Equal(t, calls[1], got.Arrivals[1].Call)
	}
	early := score(r, at(-250, 8, 9), at(500, 8, 11), at(3900, 5, 5), at(6000, 5, 7))
	assert.Equal(t, Arrival{Call: calls[1], Sure: true}, early.Arrivals[1])
	last := score(r, at(0, 8, 8), at(3990, 8, 8), at(4500, 5, 5))
	assert.Equal(t, Arrival{Call: calls[1]}, last.Arrivals[1], "a note in both windows may be of either")
	only := score(r, at(3990, 8, 8), at(4500, 5, 5), at(6000, 5, 7), at(7000, 5, 7))
	assert.Equal(t, Arrival{Call: calls[0], After: 3990 * time.Millisecond, Sure: true}, only.Arrivals[0])
}

// A note that may have been the arrival is none when that costs more than coming
// late.
func TestScorer_WhatArrivedIsWhatCostsLess(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	r.Bars = 4
	calls := r.Calls()
	// An eighth in both windows, three in the old one only, then the new one.
	got := score(r, at(0, 8, 8), at(3750, 8, 8), at(4000, 8, 9), at(4250, 8, 9), at(4500, 8, 9), at(4750, 5, 6))
	require.Len(t, got.Losses, 1)
	assert.Equal(t, 20/8, got.Losses[0].Points)
	assert.Equal(t, Arrival{Call: calls[1], After: 750 * time.Millisecond, Sure: true}, got.Arrivals[1])
	// There on the bar line, perhaps, and one slip: coming back late would cost more.
	got = score(r, at(0, 8, 8), at(4000, 8, 8), at(5000, 8, 9), at(6000, 5, 6))
	require.Len(t, got.Losses, 1)
	assert.Equal(t, LeavePoints, got.Losses[0].Points)
	assert.Equal(t, Arrival{Call: calls[1]}, got.Arrivals[1])
	// Surely there: what leaves it afterwards costs.
	got = score(r, at(0, 8, 8), at(4000, 5, 6), at(4250, 8, 9), at(4500, 8, 9), at(4750, 5, 6))
	assert.Len(t, got.Losses, 2)
	assert.Equal(t, 40-2*LeavePoints, got.Points)
}
