package coach

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// answer plays a search as a hand would that is at ease up to limit mm.
func answer(n Neck, s System, limit float64) (Reach, bool, []int) {
	r := NewReachSearch(n, s)
	var asked []int
	for r.Position() != 0 {
		asked = append(asked, r.Position())
		if r.StretchMM() <= limit {
			r.Easy()
		} else {
			r.NotEasy()
		}
	}
	got, ok := r.Reach(20000)
	return got, ok, asked
}

// Stretches at 34 in, frets 5-8 and 1-3, from the table of fret distances:
// 103 and 89 mm.
func TestReachSearch_FindsTheLowestEasyPosition(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	got, ok, asked := answer(n, Four, 104)
	assert.True(t, ok)
	assert.Equal(t, 5, got.Position)
	assert.InDelta(t, 103, got.MM, 0.5)
	assert.Equal(t, []int{12, 11, 10, 9, 8, 7, 6, 5, 4}, asked)
	assert.Equal(t, 20000, got.Day)
	assert.False(t, got.AtLeast)
	assert.Equal(t, "comfortable reach: 103 mm, four fingers at position 5", got.Text())

	got, ok, _ = answer(n, Three, 200)
	assert.True(t, ok)
	assert.Equal(t, "three", got.System)
	assert.InDelta(t, 89, got.MM, 0.5)
	assert.True(t, got.AtLeast)
	assert.Contains(t, got.Text(), "at least 89 mm")
}

func TestReachSearch_GoesUpWhenTheStartIsTooWide(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	got, ok, asked := answer(n, Four, 60)
	assert.True(t, ok)
	assert.Equal(t, []int{12, 13, 14, 15}, asked)
	assert.Equal(t, 15, got.Position)
	_, ok, asked = answer(n, Four, 10)
	assert.False(t, ok, "nothing was easy")
	assert.Equal(t, n.Positions(4), asked[len(asked)-1])
}

func TestReachSearch_AgreesWithTheTableOfStretches(t *testing.T) {
	t.Parallel()
	for _, name := range PresetNames() {
		n, err := ParseNeck(name)
		assert.NoError(t, err)
		for _, s := range Systems {
			for limit := 40.4999; limit < 170; limit += 4 { // as exact as a comparison of whole millimetres
				got, ok, _ := answer(n, s, limit)
				best, found := 0.0, false
				for p := 1; p <= n.Positions(s.Width()); p++ {
					if mm := n.StretchMM(p, s.Width()); mm <= limit && mm > best {
						best, found = mm, true
					}
				}
				assert.Equal(t, found, ok, "%s %s %g", name, s.Name, limit)
				assert.InDelta(t, best, got.MM, 1e-9)
				assert.Equal(t, got.Position, LowestWithin(n, s.Width(), limit))
			}
		}
	}
}

func TestReachSearch_AnswersAfterTheEndChangeNothing(t *testing.T) {
	t.Parallel()
	r := NewReachSearch(Neck{Open: []int{40}, Frets: 3, ScaleMM: 860}, Four)
	_, ok := r.Reach(1)
	assert.False(t, ok)
	assert.Equal(t, 1, r.Position(), "a neck too short for the window has one position")
	r.Easy()
	before, ok := r.Reach(1)
	assert.True(t, ok)
	r.NotEasy()
	r.Easy()
	after, _ := r.Reach(1)
	assert.Equal(t, before, after)
	assert.Zero(t, r.Position())
}

// What a hand has, in mm: a small child's over three close frets, and an adult's
// over the first four of a double bass with room.
func TestValidReach_RefusesWhatIsNoHands(t *testing.T) {
	t.Parallel()
	for _, mm := range []float64{20, 40, 158.3, 300} {
		assert.NoError(t, ValidReach(mm))
	}
	for _, mm := range []float64{0, 5, 19.9, 301, 1050, math.NaN()} {
		assert.ErrorContains(t, ValidReach(mm), "from 20 to 300 mm")
	}
}

// Rounded to hundredths of a millimetre, as a search writes it down, or to whole
// ones, as a program shows it.
func TestWithinReach_HoldsTheWindowThatAWrittenReachCameFrom(t *testing.T) {
	t.Parallel()
	for _, name := range PresetNames() {
		n, err := ParseNeck(name)
		assert.NoError(t, err)
		for _, s := range Systems {
			for p := 1; p <= n.Positions(s.Width()); p++ {
				mm := n.StretchMM(p, s.Width())
				for _, written := range []float64{math.Round(mm*100) / 100, math.Round(mm)} {
					assert.True(t, WithinReach(mm, written), "%s %s at %d", name, s.Name, p)
					assert.LessOrEqual(t, LowestWithin(n, s.Width(), written), p)
					assert.NotZero(t, newCover(n, s).withinReach(written)&(1<<p), "%s %s at %d", name, s.Name, p)
				}
			}
		}
	}
	assert.False(t, WithinReach(105.52, 105.4))
	assert.False(t, WithinReach(106, 105.4))
	assert.True(t, WithinReach(200, 0), "not known")
}
