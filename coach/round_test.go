package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func plan(n Neck, kind RoundKind) Round {
	return Round{Kind: kind, Neck: n, System: Four, Low: 1, High: 12, Bars: 8, Beats: 4, Beat: 500 * time.Millisecond, Budget: 2}
}

func TestRound_RefusesWhatCannotBePlayed(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for _, kind := range []RoundKind{RoundHold, RoundBudget, RoundCall} {
		require.NoError(t, plan(n, kind).Validate())
	}
	for want, change := range map[string]func(*Round){
		"hold, budget or call":     func(r *Round) { r.Kind = "rest" },
		"positions 1 to 19":        func(r *Round) { r.High = 20 },
		"region 0":                 func(r *Round) { r.Low = 0 },
		"region 7 to 5":            func(r *Round) { r.Low, r.High = 7, 5 },
		"at least 4 positions":     func(r *Round) { r.Low, r.High = 5, 7 },
		"fits on 3 frets":          func(r *Round) { r.Neck.Frets, r.Low, r.High = 3, 1, 1 },
		"0 bars":                   func(r *Round) { r.Bars = 0 },
		"0 beats in a bar":         func(r *Round) { r.Beats = 0 },
		"a beat of 0s":             func(r *Round) { r.Beat = 0 },
		"a budget of -1":           func(r *Round) { r.Budget = -1 },
		"1000 bars":                func(r *Round) { r.Bars = 1000 },
		"33 beats in a bar":        func(r *Round) { r.Beats = 33 },
		"6 to 600 beats a minute)": func(r *Round) { r.Beat = time.Minute },
	} {
		r := plan(n, RoundCall)
		change(&r)
		assert.ErrorContains(t, r.Validate(), want)
	}
}

func TestRound_CallsSensibleDistances(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	rapid.Check(t, func(t *rapid.T) {
		r := plan(n, RoundCall)
		r.Low = rapid.IntRange(1, 16).Draw(t, "low")
		r.High = rapid.IntRange(r.Low+3, 19).Draw(t, "high")
		r.Bars = rapid.IntRange(1, 64).Draw(t, "bars")
		r.Nth = rapid.IntRange(0, 1000).Draw(t, "nth")
		calls := r.Calls()
		if len(calls) != (r.Bars+1)/2 {
			t.Fatalf("%d calls in %d bars", len(calls), r.Bars)
		}
		for k, c := range calls {
			if c.Bar != 1+2*k || c.Position < r.Low || c.Position > r.High {
				t.Fatalf("call %d: %+v", k, c)
			}
			if k == 0 {
				continue
			}
			if d := abs(c.Position - calls[k-1].Position); d < 2 || d > 5 {
				t.Fatalf("call %d lies %d frets away", k, d)
			}
		}
	})
}

// The same round gives the same windows; another round of the same region
// others; and every position of the region comes up.
func TestRound_CallsAreTheSameForTheSameRound(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	assert.Equal(t, r.Calls(), r.Calls())
	seen, differ := map[int]int{}, 0
	first := r.Calls()
	for r.Nth = range 100 {
		calls := r.Calls()
		if r.Nth > 0 && !assert.ObjectsAreEqual(first, calls) {
			differ++
		}
		for _, c := range calls {
			seen[c.Position]++
		}
	}
	assert.Greater(t, differ, 95)
	assert.Len(t, seen, 12)
	for p, times := range seen {
		assert.Greater(t, times, 10, "position %d", p)
	}
	hold := plan(bass4(t), RoundHold)
	assert.Len(t, hold.Calls(), 1)
	assert.Empty(t, plan(bass4(t), RoundBudget).Calls())
}

func TestRound_SaysWhatItAsks(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	assert.Equal(t, "8 bars, 2 shifts", plan(n, RoundBudget).Title())
	one := plan(n, RoundBudget)
	one.Bars, one.Budget = 1, 1
	assert.Equal(t, "1 bar, 1 shift", one.Title())
	assert.NotEqual(t, plan(n, RoundHold).Title(), plan(n, RoundCall).Title())
	assert.Equal(t, "window 5 to 8", Four.Window(5))
	assert.Equal(t, "window 5 to 7", Three.Window(5))
	assert.Equal(t, 16*time.Second, plan(n, RoundHold).Length())
}
