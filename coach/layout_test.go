package coach

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// laid is a style laid out on the standard neck, with nothing learnt but what
// teach does.
func laid(t *testing.T, k int, teach func(*learnt)) *cast {
	n := fourStrings(t)
	c := newCast(styles[k], n, Four)
	teach(&c.learnt)
	c.lay(newMelody(n))
	return c
}

// way is the weight of going from position p to q for fret, positions from 0.
func (c *cast) way(fret, p, q int) float64 {
	return c.ways[fret][p*(c.to[fret]-c.from[fret])+q-c.from[fret]]
}

// An open string asks nothing of the hand, which moves for it the less.
func TestCast_AnOpenStringMovesNoHand(t *testing.T) {
	t.Parallel()
	for k := range commonStyles {
		c := laid(t, k, func(*learnt) {})
		c.extend = 0
		moves := 0.0
		for q := range c.np {
			if q != 4 {
				moves += c.way(0, 4, q)
			}
		}
		assert.InDelta(t, c.move*openMove, moves/c.reach[0][4], 1e-3*c.move, "style %d", k)
	}
}

// Worked by hand: of nine landings going up eight were on the fourth finger.
func TestCast_AHandThatPlansLandsAsItDid(t *testing.T) {
	t.Parallel()
	const fret, p = 12, 2
	for k, st := range styles[:commonStyles] {
		if st.manner == reacting {
			continue
		}
		plain := laid(t, k, func(*learnt) {})
		taught := laid(t, k, func(l *learnt) { l.landed[upward][4], l.landed[upward][2] = 8, 1 })
		for finger, landed := range map[int]float64{1: 0, 2: 1, 3: 0, 4: 8} {
			q := fret - finger
			want := 4 * (planPrior/4 + landed) / (planPrior + 9)
			assert.InDelta(t, want, taught.way(fret, p, q)/plain.way(fret, p, q), 1e-9, "style %d, finger %d", k, finger)
		}
		assert.InDelta(t, 1, taught.way(fret, 13, 11)/plain.way(fret, 13, 11), 1e-9, "not going down")
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
