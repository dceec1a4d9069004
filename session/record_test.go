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

// The glossary: a shift is sure when no window holds both notes, likely from a
// probability of one half on; less is not listed.
func TestRecord_ListsSureAndLikelyShifts(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	r := newRecord(0)
	for i, e := range []coach.Estimate{
		{Position: 3, Moved: 0.49, From: 1},
		{Position: 5, Moved: 0.5, From: 3},
		{Position: 12, Moved: 0.9, From: 5, Sure: true},
		{Position: 12, Moved: 0.6, From: 12},
	} {
		e.Note, e.Probability, e.Low, e.High = i, 0.87654, e.Position-1, e.Position+1
		e.Place, e.Finger = coach.Place{String: 2, Fret: e.Position + 1}, 2
		e.PlaceProbability, e.Extended = 0.5, i == 2
		r.note(midiin.Note{At: time.Duration(i) * time.Second, Pitch: 40 + i, Velocity: 70 + i, Slide: i})
		r.off(i, time.Duration(i)*time.Second+123456*time.Microsecond)
		r.settle(&e, &neck)
	}
	assert.Equal(t, ReviewNote{At: 2, Off: 2.1235, Pitch: 42, String: 2, Fret: 13, Finger: 2, Position: 12,
		Probability: 0.8765, Low: 11, High: 13, Slide: 2, Velocity: 72, Reached: true, PlaceSure: 0.5}, r.notes[2])
	for i := range r.shifts { // fret n lies 863.6 (1 - 2^(-n/12)) mm from the nut
		assert.InDelta(t, []float64{79.229, 215.169}[i], r.shifts[i].MM, 0.001)
		r.shifts[i].MM = 0
	}
	assert.Equal(t, []ReviewShift{
		{At: 1, Note: 1, From: 3, To: 5, Frets: 2, Kind: "likely", Probability: 0.5},
		{At: 2, Note: 2, From: 5, To: 12, Frets: 7, Kind: "sure", Probability: 0.9},
	}, r.shifts)
}

// A sitting forgets old notes, for memory alone: what it shows and says is that of
// one that keeps all.
func TestRecord_ForgetsOldNotesAndNothingElse(t *testing.T) {
	t.Parallel()
	shifts, advice := 0, 0 // forgotten
	for name, values := range everyInput {
		rec := recording(t, name)
		events, err := rec.Events(context.Background())
		require.NoError(t, err)
		setup := plainSetup(t, values)
		all := NewPipeline(setup)
		setup.Keep = 40
		few := NewPipeline(setup)
		for _, e := range events {
			all.Event(e)
			few.Event(e)
			require.Equal(t, all.Snapshot(), few.Snapshot(), "%s at %v", name, e.At)
			require.LessOrEqual(t, len(few.record.notes), 80)
		}
		all.End(rec.File.Length())
		few.End(rec.File.Length())

		want, got := all.Review("x", "", nil), few.Review("x", "", nil)
		base := len(want.Notes) - len(got.Notes)
		require.Positive(t, base, name)
		first, told := 0, 0
		for first < len(want.Shifts) && int(want.Shifts[first].Note) < base {
			first++
		}
		for told < len(want.Advice) && want.Advice[told].FirstNote < base {
			told++
		}
		shifts, advice = shifts+first, advice+told
		want.Notes, want.Shifts, want.Advice = want.Notes[base:], want.Shifts[first:], want.Advice[told:]
		if len(got.Shifts) > 0 && int(got.Shifts[0].Note) == base { // the note before it is gone
			want.Shifts[0].GapMS = 0
		}
		want.Phrases, got.Phrases = nil, nil
		want.Input.Dropped, got.Input.Dropped = nil, nil
		assert.Equal(t, want, got, name)
	}
	assert.Positive(t, shifts)
	assert.Positive(t, advice)
}
