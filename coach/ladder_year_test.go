package coach

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// follow plays day after day as told and returns what Ladder said each
// morning, with the log. practise answers a day's attempt, or none.
func follow(t *rapid.T, n Neck, reach float64, first, count int, practise func(day int, today Today) (LadderDay, bool)) ([]Today, []LadderDay) {
	var log []LadderDay
	var mornings []Today
	for day := first; day < first+count; day++ {
		today, err := Ladder(n, Four, reach, log, day)
		if err != nil {
			t.Fatal(err)
		}
		mornings = append(mornings, today)
		if d, ok := practise(day, today); ok {
			d.Day = day
			log = append(log, d)
		}
	}
	return mornings, log
}

// What must hold of any player, whatever is logged: no two moves within three
// days, one rung at a time, none down unless the rung passed on three separate
// days after the last discomfort, none without practice.
func TestLadder_HoldsItsPromises(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	rapid.Check(t, func(t *rapid.T) {
		reach := rapid.SampledFrom([]float64{0, 90, 110, 125}).Draw(t, "reach")
		mark := rapid.Custom(func(t *rapid.T) LadderDay {
			return LadderDay{
				Passed:     rapid.IntRange(0, 9).Draw(t, "passed") < 7,
				Discomfort: rapid.SampledFrom([]int{NotSaid, 0, 0, 0, 0, 0, 0, 1, 2, 3, 5, 10}).Draw(t, "discomfort"),
			}
		})
		mornings, log := follow(t, n, reach, 100, 60, func(_ int, today Today) (LadderDay, bool) {
			d := mark.Draw(t, "day")
			d.Rung = today.Rung
			if rapid.IntRange(0, 9).Draw(t, "strays") == 0 {
				d.Rung.Position++
			}
			return d, rapid.IntRange(0, 3).Draw(t, "practises") > 0
		})
		lastMove := -100
		for i := 1; i < len(mornings); i++ {
			step := mornings[i].Step - mornings[i-1].Step
			if step == 0 {
				continue
			}
			day := 100 + i
			if step < -1 || step > 1 {
				t.Fatalf("day %d: %d rungs at once", day, step)
			}
			if day-lastMove < 3 {
				t.Fatalf("day %d: moved, and on day %d", day, lastMove)
			}
			if step > 0 && cleanPasses(log, mornings[i-1].Rung, lastMove, day) < 3 {
				t.Fatalf("day %d: went down on too little: %+v", day, log)
			}
			if step < 0 && misses(log, mornings[i-1].Rung, lastMove, day) < 2 {
				t.Fatalf("day %d: went up without cause: %+v", day, log)
			}
			lastMove = day
		}
	})
}

// cleanPasses counts, backwards, the days of [from, to) on which r passed,
// until a day with discomfort.
func cleanPasses(log []LadderDay, r Rung, from, to int) int {
	passed := 0
	for i := len(log) - 1; i >= 0; i-- {
		d := log[i]
		if d.Day >= to || d.Day < from {
			continue
		}
		if d.Discomfort >= 3 {
			break
		}
		if d.Passed && d.Rung == r {
			passed++
		}
	}
	return passed
}

func misses(log []LadderDay, r Rung, from, to int) int {
	missed := 0
	for _, d := range log {
		if d.Day < to && d.Day >= from && d.Rung == r && !d.Passed {
			missed++
		}
	}
	return missed
}

// Gaps in the calendar change nothing: the same practice with idle days
// between ends on the same rung.
func TestLadder_IdleDaysChangeNothing(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	rapid.Check(t, func(t *rapid.T) {
		passes := rapid.SliceOfN(rapid.Bool(), 0, 40).Draw(t, "passes")
		idle := rapid.SliceOfN(rapid.IntRange(3, 30), len(passes), len(passes)).Draw(t, "idle")
		walk := func(step func(i int) int) Today {
			var log []LadderDay
			day := 0
			for i, p := range passes {
				today, err := Ladder(n, Four, 0, log, day)
				if err != nil {
					t.Fatal(err)
				}
				log = append(log, LadderDay{Day: day, Rung: today.Rung, Passed: p})
				day += step(i)
			}
			today, err := Ladder(n, Four, 0, log, day)
			if err != nil {
				t.Fatal(err)
			}
			return today
		}
		slow := walk(func(i int) int { return idle[i] })
		even := walk(func(int) int { return 3 })
		if slow.Rung != even.Rung || slow.Passed != even.Passed {
			t.Fatalf("idle days: %+v, without: %+v", slow.Rung, even.Rung)
		}
	})
}

// A year of days with a simulated player: the hand grows used to a stretch
// slowly, tires within a week, skips days, and speaks up when it was too much.
func TestLadder_AYearWithAPlayer(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for _, tc := range []struct {
		name            string
		gain            float64 // mm of ease won by a day's practice
		limit           float64 // mm beyond which this hand never gets
		skip, tire      float64 // share of days missed, mm of ease lost by two days in a row
		atMost, atLeast int     // lowest position reached within the year
	}{
		{"steady", 0.9, 200, 0.15, 0.5, 1, 1},
		{"slow", 0.25, 95, 0.3, 1, 12, 5},
		{"never beyond 80 mm", 0.9, 80, 0.2, 0.5, 12, 8},
	} {
		rng := rand.New(rand.NewPCG(2, 3))
		var log []LadderDay
		ease, lowest, idle, discomforts := 70.0, 99, 0, 0
		var last Today
		for day := 19000; day < 19365; day++ {
			today := ladder(t, n, 0, log, day)
			if day > 19000 {
				step := today.Step - last.Step
				assert.LessOrEqual(t, abs(step), 1)
				assert.False(t, step > 0 && last.Held, "%s, day %d: down after discomfort", tc.name, day)
			}
			last = today
			if today.Rung.Kind == WindowCell {
				lowest = min(lowest, today.Rung.Position)
			}
			if rng.Float64() < tc.skip {
				idle++
				continue
			}
			tired := 0.0
			if idle == 0 {
				tired = tc.tire
			}
			idle = 0
			over := today.StretchMM - (ease - tired)
			d := LadderDay{Day: day, Rung: today.Rung, Passed: over < 3*rng.Float64()}
			if over > 2 {
				d.Discomfort = min(10, int(over))
			}
			if d.Discomfort >= holdDiscomfort {
				discomforts++
			}
			log = append(log, d)
			ease = min(tc.limit, ease+tc.gain)
		}
		assert.LessOrEqual(t, lowest, tc.atMost, tc.name)
		assert.GreaterOrEqual(t, lowest, tc.atLeast, tc.name)
		for i, turn := range last.Way {
			if i > 0 {
				assert.GreaterOrEqual(t, turn.Day-last.Way[i-1].Day, 3, tc.name)
				assert.Equal(t, last.Way[i-1].To, turn.From, tc.name)
			}
		}
		assert.Less(t, discomforts, 45, "%s: a hand at its limit is not sent over it every week", tc.name)
		t.Logf("%s: lowest position %d, %d moves, %d days held by discomfort", tc.name, lowest, len(last.Way), discomforts)
	}
}
