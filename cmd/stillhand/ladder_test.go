package main

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// A sitting over midnight is one of two days.
func TestAttempts_AreEachOnTheirOwnDay(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	attempt := func(start time.Duration) session.Practice {
		m, err := session.NewMeter(start, 60, 4, 1, 1)
		require.NoError(t, err)
		p, err := session.NewRungPractice(neck, coach.Cell{Kind: coach.WindowCell, System: coach.Four, Position: 9, String: 2}, m)
		require.NoError(t, err)
		p.Note(0, coach.Note{At: m.First(), Pitch: 47})
		p.End()
		return p
	}
	start := time.Date(2026, 11, 29, 23, 59, 30, 0, time.UTC)
	got := attempts(start, []session.Practice{attempt(0), attempt(time.Minute)}, "take.mid")
	require.Len(t, got, 2)
	for i, want := range []time.Time{start, start.Add(time.Minute)} {
		assert.Equal(t, want, got[i].At)
		assert.Equal(t, dayOf(want), got[i].Day)
	}
	assert.Equal(t, got[0].Day+1, got[1].Day)
}

// The string of an attempt is named where the player began the cell on one.
func TestLadderSay_NamesTheStringThatWasChosen(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	m, err := session.NewMeter(0, 60, 4, 1, 1)
	require.NoError(t, err)
	var done []session.Practice
	for _, fret := range []int{9, 11} {
		p, err := session.NewRungPractice(neck, coach.Cell{Kind: coach.WindowCell, System: coach.Four, Position: 9, String: 3}, m)
		require.NoError(t, err)
		p.Note(0, coach.Note{At: m.First(), Pitch: 38 + fret, String: 2})
		p.End()
		done = append(done, p)
	}
	var out strings.Builder
	ladder{w: &world{out: &out}}.say(done)
	assert.Contains(t, out.String(), "Attempt 1, string 2: not yet\n")
	assert.Contains(t, out.String(), "Attempt 2: not yet\n")
}

// An attempt that the input was gone in says so, and is not kept.
func TestLadder_KeepsNoAttemptThatTheInputWasGoneIn(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	m, err := session.NewMeter(0, 60, 4, 1, 1)
	require.NoError(t, err)
	p, err := session.NewRungPractice(neck, coach.Cell{Kind: coach.WindowCell, System: coach.Four, Position: 9, String: 2}, m)
	require.NoError(t, err)
	p.Note(0, coach.Note{At: m.First(), Pitch: 47})
	p.Lost(m.First() + time.Second)
	p.End()
	assert.Empty(t, attempts(time.Now(), []session.Practice{p}, "take.mid"))
	var out strings.Builder
	ladder{w: &world{out: &out}}.say([]session.Practice{p})
	assert.Equal(t, "Attempt 1: does not count, the input was gone meanwhile (1 of 13 notes heard)\n", out.String())
}
