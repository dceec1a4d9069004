package coach

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Source: Simandl, New Method for the Double Bass: semitones above any open
// string under fingers 1, 2 and 4 (half and I as printed, the rest from
// memory; schools number the positions differently).
func TestThree_CoversThePositionsOfTheDoubleBass(t *testing.T) {
	t.Parallel()
	for i, c := range []struct {
		name  string
		frets [3]int
	}{
		{"half", [3]int{1, 2, 3}}, {"I", [3]int{2, 3, 4}}, {"II", [3]int{3, 4, 5}}, {"II-III", [3]int{4, 5, 6}},
		{"III", [3]int{5, 6, 7}}, {"III-IV", [3]int{6, 7, 8}}, {"IV", [3]int{7, 8, 9}}, {"V", [3]int{8, 9, 10}},
		{"V-VI", [3]int{9, 10, 11}}, {"VI", [3]int{10, 11, 12}}, {"VI-VII", [3]int{11, 12, 13}}, {"VII", [3]int{12, 13, 14}},
	} {
		position := i + 1
		for j, finger := range []int{1, 2, 4} {
			assert.Equal(t, finger, Three.FingerAt(c.frets[j]-position), "%s, finger %d", c.name, finger)
			assert.True(t, Three.Covers(position, Place{1, c.frets[j]}), c.name)
		}
		assert.False(t, Three.Covers(position, Place{1, c.frets[2] + 1}), c.name)
		assert.False(t, Three.Covers(position, Place{1, c.frets[0] - 1}) && c.frets[0] > 1, c.name)
	}
}

// Source: as above: on the G string half position is Ab A Bb, position I is
// A Bb B.
func TestThree_NamesOnTheGString(t *testing.T) {
	t.Parallel()
	n, err := ParseNeck("double")
	require.NoError(t, err)
	under := func(position int) (names []string) {
		for _, f := range Three.Fingers {
			names = append(names, PitchName(n.Pitch(Place{1, position + f.Offset})))
		}
		return names
	}
	assert.Equal(t, []string{"Ab2", "A2", "Bb2"}, under(1))
	assert.Equal(t, []string{"A2", "Bb2", "B2"}, under(2))
}

// Source: common practice: one finger for each of four frets.
func TestFour_IsOneFingerPerFret(t *testing.T) {
	t.Parallel()
	for i := range 4 {
		assert.Equal(t, i+1, Four.FingerAt(i))
	}
	assert.Zero(t, Four.FingerAt(-1))
	assert.Zero(t, Four.FingerAt(4))
	assert.Equal(t, 4, Four.Width())
	assert.Equal(t, 3, Three.Width())
	assert.True(t, Four.Covers(9, Place{2, 0}), "an open string needs no finger")
}

func TestParseSystem_KnowsBoth(t *testing.T) {
	t.Parallel()
	for _, s := range Systems {
		got, err := ParseSystem(s.Name)
		require.NoError(t, err)
		assert.Equal(t, s, got)
	}
	_, err := ParseSystem("five")
	assert.ErrorContains(t, err, "say four or three")
	assert.Equal(t, Three.Name, Four.Other().Name)
	assert.Equal(t, Four.Name, Three.Other().Name)
	assert.Equal(t, Four.Name, gapped.Other().Name)
}

func TestNewEconomy_RefusesASystemWithoutFirstFinger(t *testing.T) {
	t.Parallel()
	for _, fingers := range [][]Finger{nil, {{2, 1}}} {
		assert.Panics(t, func() { NewEconomy(neckOf(4, 22), System{"none", fingers}) })
	}
}
