package coach

import (
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

// Worked by hand: powers of 1 and 256.
func TestSoften_TakesEighthsOfTheLogarithm(t *testing.T) {
	t.Parallel()
	for m, want := range map[manner]float64{reacting: 128, planning: 128, placed: 32} {
		p := []float64{1, 0, 256}
		soften(p, m)
		assert.InDeltaSlice(t, []float64{1, 0, want}, p, 1e-9)
		normalise(p)
		assert.InDeltaSlice(t, []float64{1 / (1 + want), 0, want / (1 + want)}, p, 1e-12)
	}
}

func TestReading_IsReluctantToMove(t *testing.T) {
	t.Parallel()
	r := reading{like: [moveClasses]float64{0.5, 0.1, 0.4}}
	m := r.moves()
	assert.InDeltaSlice(t, []float64{0.5, 0.1 * reluctance, 0.4 * reluctance}, m[:], 1e-12)
}
