package coach

import (
	"cmp"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// costOf checks that steps play the groups of a line with system s, grip by
// grip, and adds up what that costs.
func costOf(t *testing.T, n Neck, s System, all []group, steps []Step) (c Cost) {
	t.Helper()
	i, from := 0, 0
	for _, g := range all {
		used := map[int]bool{}
		for _, note := range g.notes {
			step := steps[i]
			require.Equal(t, i, step.Note)
			require.GreaterOrEqual(t, step.Position, 1)
			require.LessOrEqual(t, step.Position, n.Positions(s.Width()))
			if used[0] {
				require.Equal(t, steps[i-1].Position, step.Position, "one grip, one position")
			}
			used[0] = true
			i++
			if !playable(n, s, note) {
				require.Zero(t, step.Place)
				require.Zero(t, step.Finger)
				continue
			}
			require.Contains(t, candidates(n, note), step.Place)
			require.Equal(t, note.Pitch, n.Pitch(step.Place))
			require.True(t, s.Covers(step.Position, step.Place))
			require.False(t, used[step.Place.String], "one string, one note")
			used[step.Place.String] = true
			if step.Place.Fret == 0 {
				require.Zero(t, step.Finger)
			} else {
				require.Equal(t, s.FingerAt(step.Place.Fret-step.Position), step.Finger)
				require.NotZero(t, step.Finger)
			}
		}
		to := steps[i-1].Position
		if from != 0 && to != from {
			c.Shifts++
			c.Travel += max(to-from, from-to)
		}
		if !g.free(n) {
			c.WidestMM = max(c.WidestMM, n.StretchMM(to, s.Width()))
		}
		from = to
	}
	return c
}

// Source: every hand there is, tried one by one: cheapest, then nearest start,
// then narrowest.
func TestBestPath_EqualsExhaustiveSearch(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(31, 32))
	for trial := range 4000 {
		n := randomNeck(r, 7)
		s := triedSystems[trial%len(triedSystems)]
		notes := randomLine(r, n, 1+r.IntN(5))
		if trial%5 == 0 {
			notes = grippedLine(r, n)
		}
		near := r.IntN(n.Frets + 3)
		all := groups(n, notes, func(int) System { return s }, fitsSomewhere(n))
		best, away := Cost{Shifts: 1 << 30}, 0
		hands(n, all, func(start, _ int, c Cost) {
			if start > n.Positions(s.Width()) {
				return // a hand that no window of the system has
			}
			d := 0
			if near > 0 {
				d = max(start-near, near-start)
			}
			if cmp.Or(cmp.Compare(c.Shifts, best.Shifts), cmp.Compare(c.Travel, best.Travel), cmp.Compare(d, away), cmp.Compare(c.WidestMM, best.WidestMM)) < 0 {
				best, away = c, d
			}
		})
		cost, steps := BestPath(n, s, notes, near)
		require.Equal(t, best, cost, "trial %d: %s near %d on %+v: %+v", trial, s.Name, near, n, notes)
		require.Len(t, steps, len(notes))
		require.Equal(t, cost, costOf(t, n, s, all, steps), "trial %d", trial)
		if near > 0 {
			require.Equal(t, away, max(steps[0].Position-near, near-steps[0].Position), "trial %d", trial)
		}
	}
}

// Source: common practice, in many method books: one octave of C major from
// the A string's fret 3 with the second finger, one finger a fret: 2 4 | 1 2 4
// | 1 3 4 on frets 3 5 2 3 5 2 4 5, without a shift.
func TestBestPath_FingersCMajor(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := scale(36)
	for i, str := range []int{3, 3, 2, 2, 2, 1, 1, 1} {
		notes[i].String = str
	}
	cost, steps := BestPath(n, Four, notes, 0)
	assert.Zero(t, cost.Shifts)
	var frets, fingers []int
	for _, s := range steps {
		assert.Equal(t, 2, s.Position)
		frets, fingers = append(frets, s.Place.Fret), append(fingers, s.Finger)
	}
	assert.Equal(t, []int{3, 5, 2, 3, 5, 2, 4, 5}, frets)
	assert.Equal(t, []int{2, 4, 1, 2, 4, 1, 3, 4}, fingers)
}

// Of equally cheap strings the path keeps to the nearest, and it moves while an
// open string sounds.
func TestBestPath_KeepsStringsTogether(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	_, steps := BestPath(n, Four, append(places(n, Place{4, 3}), line(33)...), 3)
	assert.Equal(t, Place{4, 5}, steps[1].Place, "A1 after the E string")
	_, steps = BestPath(n, Four, append(places(n, Place{2, 3}), line(33)...), 3)
	assert.Equal(t, Place{3, 0}, steps[1].Place, "A1 after the D string")

	_, steps = BestPath(n, Four, places(n, Place{4, 3}, Place{4, 0}, Place{4, 12}), 3)
	assert.Equal(t, []int{3, 9, 9}, []int{steps[0].Position, steps[1].Position, steps[2].Position})
}

func TestBestPath_OfNothingCostsNothing(t *testing.T) {
	t.Parallel()
	cost, steps := BestPath(neckOf(4, 22), Four, nil, 5)
	assert.Zero(t, cost)
	assert.Empty(t, steps)
}

// Of ways that cost the same the hand takes the one that moves as early as it may: from 1
// to 9 by any position from 5 to 8, and from 19 to 8 by any from 12 to 9. The window at 1
// is the widest either way.
func TestBestPath_MovesEarly(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1", 22)
	for _, c := range []struct{ frets, positions []int }{
		{[]int{1, 8, 12}, []int{1, 8, 9}},
		{[]int{1, 22, 12, 8}, []int{1, 19, 9, 8}},
	} {
		var notes []Note
		for _, fret := range c.frets {
			notes = append(notes, places(n, Place{1, fret})...)
		}
		_, steps := BestPath(n, Four, notes, 0)
		var positions []int
		for _, s := range steps {
			positions = append(positions, s.Position)
		}
		assert.Equal(t, c.positions, positions)
	}
}

// Where one hand has a pitch on several strings, it takes the one nearest to the string
// before, the higher of two: G2 is open beside fret 5 of the D string, and G1, between
// strings as close as these, beside fret 3 of the string below the next.
func TestBestPath_TakesTheStringNearestToTheOneBefore(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	for before, want := range map[Place]Place{{1, 5}: {1, 0}, {2, 4}: {2, 5}, {3, 5}: {2, 5}} {
		_, steps := BestPath(n, Four, append(places(n, Place{3, 5}, before), Note{Pitch: 43, At: time.Second}), 0)
		assert.Equal(t, want, steps[2].Place, before)
	}
	n = mustNeck(t, "E1 F1 G1", 22)
	_, steps := BestPath(n, Four, append(places(n, Place{2, 6}, Place{2, 3}), Note{Pitch: 31, At: time.Second}), 0)
	assert.Equal(t, Place{1, 0}, steps[2].Place)
}
