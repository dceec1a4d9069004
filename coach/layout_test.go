package coach

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
)

// An open string asks nothing of the hand, which moves for it the less.
func TestCast_AnOpenStringMovesNoHand(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for k, st := range styles[:commonStyles] {
		c := newCast(st, n, Four, nil)
		c.lay(newMelody(n))
		moves := c.reach[0][4] - c.ways[0][4*c.np+4] // all positions play it
		assert.InDelta(t, c.move*openMove, moves/c.reach[0][4], 1e-3*c.move, "style %d", k)
	}
}

// The second finger lands on the first note of each window, and the notes that
// follow show where that is: a hand that plans is known to land so.
func TestTracker_LearnsWhereAPlanningHandLands(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	window := func(p int) []Place { return []Place{{2, p + 1}, {3, p}, {3, p + 3}, {2, p}, {2, p + 3}} }
	var line []Place
	for range 12 {
		line = append(append(line, window(3)...), window(9)...)
	}
	tr := NewTracker(n, Four, Habits{})
	estimates(tr, lineAt(n, true, line...))
	c := tr.casts[slices.IndexFunc(styles[:], func(st style) bool { return st.manner == planning })]
	for _, way := range []landing{downward, upward} {
		assert.Greater(t, c.land[way][2], 0.5)
		assert.InDelta(t, 1, sum(c.land[way]), 1e-12)
	}
}

// Worked by hand: powers of 1 and of 2^16.
func TestTemper_TakesPartsOfTheLogarithm(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		told bool
		m    manner
		want float64
	}{
		{false, reacting, 1 << 15}, {false, planning, 1 << 15}, {false, placed, 1 << 8},
		{true, reacting, 1 << 18}, {true, placed, 1 << 18},
	} {
		p := []float64{1, 0, 1 << 16}
		temper(p, c.told, c.m)
		assert.InDeltaSlice(t, []float64{1, 0, c.want}, p, 1e-9)
		normalise(p)
		assert.InDeltaSlice(t, []float64{1 / (1 + c.want), 0, c.want / (1 + c.want)}, p, 1e-12)
	}
}

func TestReading_IsReluctantToMove(t *testing.T) {
	t.Parallel()
	r := reading{like: [moveClasses]float64{0.5, 0.1, 0.4}}
	m := r.moves()
	assert.InDeltaSlice(t, []float64{0.5, 0.1 * reluctance, 0.4 * reluctance}, m[:], 1e-12)
}

// An open string asks nothing of the hand, so it teaches nothing of its moves.
func TestTracker_OpenStringsTeachNoMoves(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	estimates(tr, lineAt(n, true, Place{4, 0}, Place{3, 0}, Place{2, 0}, Place{1, 0}))
	assert.Zero(t, tr.Habits().Free)
	estimates(tr, lineAt(n, true, Place{4, 3}, Place{3, 3}, Place{2, 3}, Place{1, 3}))
	assert.NotZero(t, tr.Habits().Free)
}

// What pitch alone tells is claimed less surely, of the position and of the place,
// and what a told string tells more, of moves as well.
func TestTracker_TempersWhatItClaims(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	places := []Place{{3, 5}, {3, 7}, {2, 5}, {2, 7}, {3, 4}, {3, 5}}
	for _, known := range []bool{true, false} {
		raw := NewTracker(n, Four, Habits{})
		raw.tempers = false
		soft := estimates(NewTracker(n, Four, Habits{}), lineAt(n, known, places...))
		for i, sure := range estimates(raw, lineAt(n, known, places...)) {
			assert.Equal(t, sure.Position, soft[i].Position)
			if known {
				assert.Greater(t, soft[i].Probability, sure.Probability, "note %d", i)
				odds := func(e Estimate) float64 { return e.Moved / (1 - e.Moved) }
				assert.InEpsilon(t, 1+math.Pow(odds(sure), 9.0/8), 1+odds(soft[i]), 1e-9, "note %d", i)
				continue
			}
			assert.InDelta(t, sure.Moved, soft[i].Moved, 1e-12, "note %d", i)
			assert.Less(t, soft[i].Probability, sure.Probability, "note %d", i)
			if sure.PlaceProbability > 0.5 { // the likeliest
				assert.Less(t, soft[i].PlaceProbability, sure.PlaceProbability, "note %d", i)
			}
		}
	}
}

func TestTracker_HearsGapsReluctantly(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	estimates(tr, lineAt(n, true, Place{3, 5}, Place{3, 7}))
	f := tr.frame(1)
	for _, k := range f.ears {
		tells := &f.tells[k]
		assert.Equal(t, tells.reading.moves(), tells.moves[0])
		assert.Less(t, tells.moves[0][1], tells.reading.like[1])
	}
}
