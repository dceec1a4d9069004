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
			e = at(int(e.At/time.Millisecond), calls[0].Position, calls[0].Position)
		}
		notes = append(notes, e)
	}
	late := score(r, notes...)
	assert.Equal(t, 2*r.Beat, late.Arrivals[1].After)
	assert.Equal(t, 80-20*2/8, late.Points)
	assert.Contains(t, late.Losses[0].Text, "reached no sooner than 2 beats after the bar line")

	stay := score(r, eighths(r, func(int) int { return calls[0].Position })...)
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
	assert.Contains(t, silent.Losses[0].Text, "the hand was never in window ")
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
