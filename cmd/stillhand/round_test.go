package main

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// Each time is told with its bar and window, and as surely as it is known.
func TestArrivalText_TellsWhichWindowAndHowSure(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "bar 1 (5 to 8) 0.0, bar 3 (9 to 12) perhaps 1.3, bar 5 (6 to 9) not known, bar 7 (3 to 6) never, bar 9 (7 to 10) not known",
		arrivalText(coach.Four, []coach.Arrival{
			{Call: coach.Call{Bar: 1, Position: 5}, Sure: true},
			{Call: coach.Call{Bar: 3, Position: 9}, After: 1300 * time.Millisecond},
			{Call: coach.Call{Bar: 5, Position: 6}, Unclear: true},
			{Call: coach.Call{Bar: 7, Position: 3}, After: -1},
			{Call: coach.Call{Bar: 9, Position: 7}, After: -1, Unclear: true},
		}))
}

// What a round says at its end fits a terminal of 80 columns.
func TestSay_WrapsAsTheOthersDo(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	m, err := session.NewMeter(0, 120, 4, 1, 8)
	require.NoError(t, err)
	for _, kind := range []coach.RoundKind{coach.RoundBudget, coach.RoundCall} {
		r := coach.Round{Kind: kind, Neck: neck, System: coach.Three, Low: 1, High: 12, Bars: 8, Beats: 4, Budget: 1}
		p, err := session.NewRoundPractice(r, m, 0)
		require.NoError(t, err)
		for i := range 8 {
			n := coach.Note{At: m.First() + time.Duration(4*i)*m.Beat, Pitch: 45, String: 2}
			p.Note(i, n)
			p.Settled(n, coach.Estimate{Note: i, At: n.At, Settled: true, Position: 7, Low: 7, High: 7, Probability: 1, Place: coach.Place{String: 2, Fret: 7}, PlaceProbability: 1})
		}
		p.Tick(m.End())
		require.True(t, p.Done())
		var out bytes.Buffer
		say(&world{out: &out}, []session.Practice{p}, roundOptions{tempo: 120}.describe(p.Plan(), coach.Many), noBest)
		assert.Contains(t, strings.Join(strings.Fields(out.String()), " "), "8 bars of 4 at 120")
		for line := range strings.Lines(out.String()) {
			assert.LessOrEqual(t, len(strings.TrimRight(line, "\n")), 78, line)
		}
	}
}

// What costs points is said from the rules themselves.
func TestRoundHelp_SaysWhatPointsAreFor(t *testing.T) {
	t.Parallel()
	help := strings.Join(strings.Fields(roundCommand(&world{}).Long), " ")
	for _, want := range []string{
		fmt.Sprintf("A bar is worth %d points", coach.BarPoints), "never falls under 0",
		fmt.Sprintf("outside the window costs %d, at most %d in a bar", coach.LeavePoints, coach.BarPoints),
		fmt.Sprintf("a shift over the budget %d", coach.ShiftPoints),
		fmt.Sprintf("of the %d for its two bars", coach.BarsPerCall*coach.BarPoints),
		"A note that lies in the window costs nothing, wherever the hand is thought to be",
		"Of budget a note is sure when it is sure whether the hand shifted to it, also where its place is a guess",
		"nor one of which the input was gone for more than half a beat",
		"up to half a beat before a bar line where another window is called counts as on the line",
	} {
		assert.Contains(t, help, want)
	}
}

// The second score is not the first, also where the first was 0.
func TestSay_AScoreOfNothingIsAScore(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	m, err := session.NewMeter(0, 120, 4, 1, 2)
	require.NoError(t, err)
	var done []session.Practice
	for _, position := range []int{17, 5} { // far out of the window, and in it
		r := coach.Round{Kind: coach.RoundHold, Neck: neck, System: coach.Four, Low: 5, High: 5}
		p, err := session.NewRoundPractice(r, m, 0)
		require.NoError(t, err)
		for i := range 16 {
			n := coach.Note{At: m.First() + time.Duration(i)*m.Beat/2, Pitch: 38 + position, String: 2}
			p.Note(i, n)
			p.Settled(n, coach.Estimate{Note: i, At: n.At, Settled: true, Position: position, Low: position, High: position, Probability: 1, Place: coach.Place{String: 2, Fret: position}, PlaceProbability: 1})
		}
		p.Tick(m.End())
		require.True(t, p.Done())
		done = append(done, p)
	}
	said := func(best int) string {
		var out bytes.Buffer
		say(&world{out: &out}, done, "", best)
		return out.String()
	}
	first := said(noBest)
	assert.Contains(t, first, "0 of 20 points, the first score with these settings")
	assert.Contains(t, first, "20 of 20 points, the best so far; it was 0")
	assert.Contains(t, said(0), "0 of 20 points, best so far 0")
}
