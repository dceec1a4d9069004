package coach

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func fingering(steps []Step) string {
	s := ""
	for _, st := range steps {
		s += fmt.Sprint(st.Finger)
	}
	return s
}

func frets(steps []Step) []int {
	var f []int
	for _, st := range steps {
		f = append(f, st.Place.Fret)
	}
	return f
}

// Common practice: one finger per fret is 1-2-3-4; the double-bass hand plays
// a whole tone 1-2-4; five frets are 1-1-2-4-4 with three fingers.
func TestCell_PlaysTheTradesFingers(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		kind   CellKind
		system System
		want   string
		frets  []int
		shifts int
	}{
		{WindowCell, Four, "1234321", []int{5, 6, 7, 8, 7, 6, 5}, 0},
		{WindowCell, Three, "12421", []int{5, 6, 7, 6, 5}, 0},
		{FiveCell, Four, "123444321", []int{5, 6, 7, 8, 9, 8, 7, 6, 5}, 2},
		{FiveCell, Three, "112444211", []int{5, 6, 7, 8, 9, 8, 7, 6, 5}, 4},
	} {
		c := Cell{tc.kind, tc.system, 5, 2}
		steps := c.Steps(1)
		assert.Equal(t, tc.want, fingering(steps), "%s %s", tc.system.Name, tc.kind)
		assert.Equal(t, tc.frets, frets(steps))
		assert.Equal(t, tc.shifts, shiftsIn(steps))
		for i, s := range steps {
			assert.Equal(t, i, s.Note)
			assert.True(t, tc.system.Covers(s.Position, s.Place))
			assert.NotZero(t, s.Finger)
		}
	}
}

// Common practice: with one finger per fret five frets need one shift of one
// fret; three fingers need two frets of travel, and no way travels less.
func TestCell_FiveFretsTravelAsLittleAsTheyCan(t *testing.T) {
	t.Parallel()
	for system, want := range map[string]int{"four": 1, "three": 2} {
		s, err := ParseSystem(system)
		assert.NoError(t, err)
		up := Cell{FiveCell, s, 3, 1}.up()
		travel := 0
		for i := 1; i < len(up); i++ {
			travel += abs(up[i].Position - up[i-1].Position)
		}
		assert.Equal(t, want, travel, system)
		assert.Equal(t, want, leastTravel(s, 5), system)
	}
}

// leastTravel tries every position for every one of count frets in a row.
func leastTravel(s System, count int) int {
	best := math.MaxInt
	var walk func(fret, from, travel int)
	walk = func(fret, from, travel int) {
		if fret == 10+count {
			best = min(best, travel)
			return
		}
		for _, f := range s.Fingers {
			if p := fret - f.Offset; from == 0 {
				walk(fret+1, p, 0)
			} else {
				walk(fret+1, p, travel+abs(p-from))
			}
		}
	}
	walk(10, 0, 0)
	return best
}

// Simandl, New Method for the Double Bass: between 1 and 4 a whole tone, 2
// takes the half step; semitones above the open string under 1, 2, 4 by
// position (half and I read in print, the rest from memory).
func TestCell_ThreeFingersLieAsSimandlHasThem(t *testing.T) {
	t.Parallel()
	for position, want := range [][3]int{{1, 2, 3}, {2, 3, 4}, {3, 4, 5}, {4, 5, 6}, {5, 6, 7}, {6, 7, 8},
		{7, 8, 9}, {8, 9, 10}, {9, 10, 11}, {10, 11, 12}, {11, 12, 13}, {12, 13, 14}} {
		up := Cell{WindowCell, Three, position + 1, 1}.up()
		assert.Equal(t, "124", fingering(up))
		assert.Equal(t, want[:], frets(up))
	}
}

// Fret-to-fret stretch in mm, frets 1-4, 1-3, 5-8, 12-15, from x(n) =
// L (1 - 2^(-n/12)), worked out apart from this program, to the whole mm.
func TestCell_StretchFollowsTheTable(t *testing.T) {
	t.Parallel()
	for inch, want := range map[float64][4]float64{34: {130, 89, 103, 69}, 30: {114, 78, 91, 61}, 25: {95, 65, 76, 51}, 41.5: {158, 109, 126, 84}} {
		n := Neck{Open: []int{43, 38, 33, 28}, Frets: 24, ScaleMM: inch * MillimetresPerInch}
		for i, c := range []Cell{{WindowCell, Four, 1, 1}, {WindowCell, Three, 1, 1}, {WindowCell, Four, 5, 1}, {FiveCell, Four, 12, 1}} {
			assert.InDelta(t, want[i], c.StretchMM(n), 0.5, "%g in, column %d", inch, i)
		}
	}
}

func TestCell_TwoPassesTurnWithoutStrikingTwice(t *testing.T) {
	t.Parallel()
	steps := Cell{WindowCell, Four, 1, 3}.Steps(2)
	assert.Equal(t, []int{1, 2, 3, 4, 3, 2, 1, 2, 3, 4, 3, 2, 1}, frets(steps))
}

func TestCell_FitsOnTheNeck(t *testing.T) {
	t.Parallel()
	n := Neck{Open: []int{43, 38}, Frets: 16, ScaleMM: 860}
	assert.True(t, Cell{WindowCell, Four, 13, 2}.Fits(n))
	assert.False(t, Cell{FiveCell, Four, 13, 2}.Fits(n), "five frets need one more")
	assert.True(t, Cell{FiveCell, Four, 12, 2}.Fits(n))
	assert.False(t, Cell{WindowCell, Four, 0, 2}.Fits(n))
	assert.False(t, Cell{WindowCell, Four, 1, 3}.Fits(n))
}

// A system that this package has never heard of: thumb, two fingers, and one
// that covers six frets.
func TestCell_TakesAnySystem(t *testing.T) {
	t.Parallel()
	gap := System{"gap", []Finger{{1, 0}, {2, 2}, {3, 3}}}
	for _, s := range []System{gap, {"two", []Finger{{1, 0}, {2, 1}}}, {"wide", []Finger{{1, 0}, {2, 1}, {3, 2}, {4, 3}, {4, 4}, {4, 5}}}} {
		c := Cell{FiveCell, s, 4, 1}
		steps := c.up()
		assert.Equal(t, c.Frets(), len(steps))
		for i, st := range steps {
			assert.Equal(t, 4+i, st.Place.Fret, s.Name)
			assert.Equal(t, st.Finger, s.FingerAt(st.Place.Fret-st.Position), s.Name)
			assert.NotZero(t, st.Finger, s.Name)
		}
	}
}
