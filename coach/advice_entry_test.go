package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The start is free: a hand that comes down the neck while an open string sounds
// has made no shift that the same place would save.
func TestAdviser_CountsNoMoveBeforeTheFirstFrettedNote(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{3, 0}, Place{3, 2}, Place{2, 1}, Place{2, 4}, Place{3, 2})
	_, ok := told(t, NewAdviser(n, Four, 0), notes, 11, 1, 1, 1, 1)
	assert.False(t, ok)
	_, ok = told(t, NewAdviser(n, Four, 0), notes, 11, 1, 2, 1, 1)
	assert.True(t, ok, "a move that nothing needs")
}

// filled is an Adviser that has heard a full passage: a hand of own at 5, on the
// frets of its window in turn, where nothing is to say.
func filled(t *testing.T, n Neck, own System) *Adviser {
	t.Helper()
	a := NewAdviser(n, own, 0)
	for i := range passageNotes {
		_, ok := played(a, i, places(n, Place{1, 5 + i%own.Width()})[0], 5, 0)
		require.False(t, ok)
	}
	return a
}

// Twenty-four notes fill a passage. What follows at once begins where the hand is:
// the way to a better place costs what it saves.
func TestAdviser_CountsTheWayThereWhereNoRestPaysForIt(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	said, ok := told(t, filled(t, n, Four), places(n, Place{3, 6}, Place{3, 7}, Place{3, 8}, Place{3, 7}), 5, 4, 5, 5)
	require.True(t, ok, "two needless moves are saved where the hand is")
	assert.Equal(t, [2]int{2, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
	assert.Equal(t, 5, said.Path[0].Position)

	near := places(n, Place{3, 6}, Place{3, 7}, Place{3, 6}, Place{3, 7})
	for _, positions := range [][]int{{5, 4, 4, 4}, {6, 5, 5, 5}} {
		said, ok = told(t, filled(t, n, Four), near, positions...)
		require.True(t, ok, "one needless move, and no way to where the hand is")
		assert.Equal(t, [2]int{1, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
		assert.Equal(t, 5, said.Path[0].Position)
	}

	// The line lies at 7 to 10 and is played from 5, with one move that a start at
	// 7 would save: but the hand comes from 5 without a rest.
	higher := places(n, Place{3, 7}, Place{3, 8}, Place{3, 10}, Place{3, 9}, Place{3, 10})
	_, ok = told(t, filled(t, n, Four), higher, 5, 5, 7, 7, 7)
	assert.False(t, ok)
	higher[0].Gap = PassageGap + 1
	said, ok = told(t, filled(t, n, Four), higher, 5, 5, 7, 7, 7)
	require.True(t, ok)
	assert.Equal(t, [2]int{1, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
}

// A double stop that four fingers hold and three do not is no shift that three
// save: they would have to jump between two notes struck together.
func TestAdviser_SpeaksForNoSystemThatTearsAGrip(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{4, 5}, Place{4, 6}, Place{4, 7}, Place{3, 10}, Place{3, 11}, Place{3, 12})
	for i := range notes {
		notes[i].At, notes[i].Gap = time.Duration(i)*250*time.Millisecond, 0
	}
	notes[3].At, notes[3].Sounding = notes[2].At+5*time.Millisecond, true
	require.Less(t, economyOf(n, Three, notes).Fewest().Shifts, economyOf(n, Four, notes).Fewest().Shifts)
	for _, reach := range []float64{0, 50} { // within it, and beyond
		said, _ := told(t, NewAdviser(n, Four, reach), notes, 5, 5, 7, 7, 9, 9)
		assert.NotEqual(t, Three.Name, said.System)
	}
}

// The sheet draws Path under "As advised: ShiftsThen shifts": where the way there or
// back is counted in it, something must say so, or the picture has fewer.
func TestAdviser_CountsTheShiftsOfThePathItShows(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	// Two moves, where going to 7 is one.
	line := places(n, Place{3, 7}, Place{3, 8}, Place{3, 9}, Place{3, 10}, Place{3, 8}, Place{3, 10}, Place{3, 7})
	said, ok := told(t, filled(t, n, Four), line, 5, 5, 6, 7, 7, 7, 7)
	require.True(t, ok)
	within := 0
	for i, s := range said.Path[1:] {
		if s.Position != said.Path[i].Position {
			within++
		}
	}
	require.Equal(t, within, said.ShiftsThen)
}

// A relief is said once for its window. A better place that was looked for and is
// not said, for the way there costs what it saves, does not bring it back.
func TestAdviser_ARejectedPlaceForgetsNoRelief(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Four, 0)
	k := 0
	said := 0
	passage := func(detour int) {
		for i := range passageNotes {
			note := places(n, Place{3, 1 + 2*(i%2)})[0]
			note.Gap = 0
			if k == 0 {
				note.Gap = Rest
			}
			position, moved := 1, 0.0
			if detour > 0 && i >= detour {
				position = 2
			}
			if i == detour && i > 0 {
				moved = 1
			}
			if s, ok := played(a, k, note, position, moved); ok && s.Kind == AdviceRelief {
				said++
			}
			k++
		}
	}
	passage(0)
	passage(0)
	require.LessOrEqual(t, said, 1)
	before := said
	passage(23)
	passage(0)
	passage(0)
	assert.Equal(t, before, said)
}

// The last note of a full passage may be followed by a rest: then the way back is
// free.
func TestAdviser_CountsNoWayBackIntoARest(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	line := func(after time.Duration) (said Advice, ok bool) {
		a := NewAdviser(n, Four, 0)
		for i := range passageNotes {
			note := places(n, Place{3, 7 + i%2})[0]
			note.Gap = 0
			position, moved := 5, 0.0
			if i >= 12 {
				position = 7
			}
			if i == 12 {
				moved = 1
			}
			_, ok := played(a, i, note, position, moved)
			require.False(t, ok)
		}
		note := places(n, Place{3, 7})[0]
		note.Gap = after
		return played(a, passageNotes, note, 7, 0)
	}
	_, ok := line(0)
	assert.False(t, ok, "begun at 5 it would have to go to 7 in the end")
	said, ok := line(PassageGap + time.Millisecond)
	require.True(t, ok)
	assert.Equal(t, [2]int{1, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
}

// A full passage gives way to one that begins with an open string: the way there is
// made at its first fretted note, and counts as if that came first.
func TestAdviser_CountsTheWayThereUnderAnOpenString(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	// From 5 to 8 and on to 7, where going to 7 at once is enough.
	line := places(n, Place{4, 0}, Place{3, 8}, Place{3, 9}, Place{3, 10}, Place{3, 7}, Place{3, 8})
	said, ok := told(t, filled(t, n, Four), line, 5, 8, 8, 8, 7, 7)
	require.True(t, ok)
	assert.Equal(t, [2]int{1, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
}

// Two fretted notes are no passage, with an open string struck beside each either.
func TestAdviser_CountsNoOpenStringBesideAFinger(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{3, 5}, Place{4, 0}, Place{3, 8}, Place{4, 0})
	for _, i := range []int{1, 3} {
		notes[i].At, notes[i].Sounding = notes[i-1].At, true
	}
	_, ok := told(t, NewAdviser(n, Three, 0), notes, 5, 5, 6, 6)
	assert.False(t, ok)
}

// Another system saves nothing either where the way to its window is the move that it
// would save: from 5 three fingers go to 7 in the middle, four to 6 at the start.
func TestAdviser_CountsTheWayThereForTheOtherSystemToo(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	line := places(n, Place{3, 6}, Place{3, 7}, Place{3, 8}, Place{3, 9}, Place{3, 8}, Place{3, 9})
	_, ok := told(t, filled(t, n, Three), line, 5, 5, 7, 7, 7, 7)
	assert.False(t, ok)
	line[0].Gap = PassageGap + 1
	said, ok := told(t, filled(t, n, Three), line, 5, 5, 7, 7, 7, 7)
	require.True(t, ok)
	assert.Equal(t, AdviceSystem, said.Kind)
	assert.Equal(t, [2]int{1, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
}

// Nor are three fingers a relief without one shift more where the hand comes without
// a rest from 5, from where four play frets 6 and 8 too, before they go to 3.
func TestAdviser_CountsTheWayToARelief(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1", 22)
	line := places(n, Place{1, 6}, Place{1, 8}, Place{1, 6}, Place{1, 3}, Place{1, 5})
	_, ok := told(t, filled(t, n, Four), line, 5, 5, 5, 3, 3)
	assert.False(t, ok)
	line[0].Gap = PassageGap + 1
	said, ok := told(t, filled(t, n, Four), line, 5, 5, 5, 3, 3)
	require.True(t, ok)
	assert.Equal(t, AdviceRelief, said.Kind)
}

// Rule of the model (DEVELOPERS.md): notes struck within 30 ms on different strings are
// one grip. A full passage ends before it or behind it; two notes alone that follow
// each other as fast belong to none.
func TestAdviser_CutsNoGrip(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	for name, c := range map[string]struct {
		last  []Place // struck together from note 21 on
		apart time.Duration
		ends  int // last note of the passage that is full
	}{
		"three across the cut":     {[]Place{{4, 5}, {3, 7}, {2, 7}, {1, 7}}, 10 * time.Millisecond, 20},
		"two before it":            {[]Place{{4, 5}, {3, 7}, {2, 6}}, 10 * time.Millisecond, 23},
		"one after another":        {[]Place{{4, 5}, {3, 7}, {2, 7}, {1, 7}}, 40 * time.Millisecond, 23},
		"no hand holds the first":  {[]Place{{4, 12}, {3, 7}, {2, 7}, {1, 7}}, 10 * time.Millisecond, 21},
		"both on the lower string": {[]Place{{4, 6}, {4, 5}, {4, 6}, {4, 5}}, 10 * time.Millisecond, 23},
	} {
		a := NewAdviser(n, Three, 0)
		add := func(i int, at Place, together bool) (Advice, bool) {
			note := places(n, at)[0]
			note.At, note.Gap, note.Sounding = time.Duration(i)*250*time.Millisecond, 0, together
			if together {
				note.At = 21*250*time.Millisecond + time.Duration(i-21)*c.apart
			}
			return played(a, i, note, 5, 0)
		}
		for i := range 21 {
			_, ok := add(i, []Place{{4, 5}, {4, 8}}[i%2], false)
			require.False(t, ok, name)
		}
		var said Advice
		k := 21
		for i, at := range c.last {
			s, ok := add(k, at, i > 0)
			if ok {
				said = s
			}
			k++
		}
		for ; said.Path == nil && k < 30; k++ {
			said, _ = add(k, Place{4, 5}, false)
		}
		require.NotNil(t, said.Path, name)
		assert.Equal(t, [2]int{0, c.ends}, [2]int{said.First, said.Last}, name)
		assert.Len(t, said.Path, c.ends+1, name)
		for ; k < 40; k++ {
			_, ok := add(k, []Place{{4, 5}, {4, 8}}[k%2], false)
			require.False(t, ok, name)
		}
		said, ok := a.Close()
		require.True(t, ok, name)
		assert.Equal(t, [2]int{c.ends + 1, 39}, [2]int{said.First, said.Last}, name)
	}
}
