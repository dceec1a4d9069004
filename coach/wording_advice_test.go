package coach

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A path of several windows names up to three, in the order of use.
func TestAdviser_NamesTheWindows(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	// On one string no window holds frets 5 and 9, so four fingers shift at each
	// change; three cannot hold 5 and 8, nor 9 and 12, either.
	pair := func(fret int) []Place { return []Place{{4, fret}, {4, fret + 3}} }
	var at []Place
	var positions []int
	for i, want := range []string{
		"Four fingers in window 5 to 8: no shift instead of 1. From A1 to C2 with 1-2-3-4, stretch 103 mm (reach unknown).",
		"Four fingers in windows 5 to 8 and 9 to 12: 1 shift instead of 3. From A1 to E2 with 1-2-3-4, stretch 103 mm (reach unknown).",
		"Four fingers in windows 5 to 8, then 9 to 12, then 13 to 16: 2 shifts instead of 5. From A1 to Ab2 with 1-2-3-4, stretch 103 mm (reach unknown).",
		"Four fingers in 4 windows from 5 to 8 on: 3 shifts instead of 7. From A1 to C3 with 1-2-3-4, stretch 103 mm (reach unknown).",
	} {
		at = append(at, pair(5+4*i)...)
		positions = append(positions, 5+4*i, 6+4*i)
		notes := append(places(n, at[0]), places(n, at...)...) // three fretted notes at least
		said, ok := told(t, NewAdviser(n, Three, 0), notes, append([]int{5}, positions...)...)
		require.True(t, ok)
		assert.Equal(t, want, said.Text)
	}
}

// Strings that were not told are not other strings, whatever the path takes.
func TestAdviser_SaysOtherStringsOnlyOfToldOnes(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Four, 0)
	for i, note := range line(36, 37, 38+2, 36) {
		_, ok := played(a, i, note, 3, float64(i%2))
		require.False(t, ok)
	}
	said, ok := a.Close()
	require.True(t, ok)
	assert.Equal(t, "Window 2 to 5: no shift instead of 2. From C2 to C2, begin with finger 2 on the A string at fret 3.", said.Text)
}

// "From G2" and "finger 3" are two notes where the first one is open: the one
// that the finger plays is named.
func TestAdviser_NamesTheFirstFingersNoteAfterAnOpenString(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{3, 0}, Place{4, 7}, Place{4, 8}, Place{3, 5}, Place{4, 8})
	said, ok := told(t, NewAdviser(n, Four, 0), notes, 7, 7, 7, 4, 7)
	require.True(t, ok)
	assert.Equal(t, "Window 5 to 8: no shift instead of 2. From A1 to C2, begin open, then B1 with finger 3 on the E string at fret 7.", said.Text)
}

// Of equally cheap paths the advice shows the one that begins nearest to the
// hand.
func TestAdviser_BeginsNearTheHand(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	for position := 5; position <= 7; position++ {
		notes := places(n, Place{4, 7}, Place{4, 8}, Place{4, 7}, Place{4, 8})
		said, ok := told(t, NewAdviser(n, Four, 0), notes, position, position+1, position, position)
		require.True(t, ok)
		assert.Equal(t, position, said.Path[0].Position)
	}
}

// Relief is said again once something else was said in between, and speaks of
// windows whose outer fingers are needed in one place.
func TestAdviser_RepeatsReliefAfterOtherAdvice(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	low := places(n, Place{4, 2}, Place{4, 4}, Place{3, 2}, Place{3, 4})
	a := NewAdviser(n, Four, 0)
	for _, want := range []AdviceKind{AdviceRelief, "", AdvicePlace, AdviceRelief, ""} {
		positions := []int{2, 2, 2, 2}
		if want == AdvicePlace {
			positions[1] = 1
		}
		said, _ := told(t, a, low, positions...)
		assert.Equal(t, want, said.Kind)
	}

	// First finger in one window, little finger in the next: no stretch at all.
	n = mustNeck(t, "E1", 22)
	apart := places(n, Place{1, 2}, Place{1, 3}, Place{1, 7}, Place{1, 7})
	_, ok := told(t, NewAdviser(n, Four, 0), apart, 2, 2, 5, 5)
	assert.False(t, ok)
}

// Relief compares optimum with optimum: a hand that moved because its reach
// forbids one window of four is not told that three fingers cost nothing.
func TestAdviser_ReliefCostsNoShift(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{4, 1}, Place{4, 4}, Place{4, 3}, Place{4, 1})
	_, ok := told(t, NewAdviser(n, Four, 105), notes, 1, 2, 2, 1)
	assert.False(t, ok)

	// On the strings that were used (Eb2 at fret 6 of the A string) three fingers
	// need four shifts and four fingers two, however often the hand moved.
	a := NewAdviser(n, Four, 105)
	for i, p := range []Place{{4, 1}, {3, 3}, {3, 6}, {3, 3}, {3, 6}, {4, 1}} {
		_, ok := a.Add(Note{Pitch: n.Pitch(p)}, Estimate{Note: i, Position: 1, Place: p, PlaceProbability: 1, Moved: 1})
		require.False(t, ok)
	}
	_, ok = a.Close()
	assert.False(t, ok)
}

// No relief where the strings that the hand used, once known, ask more of
// three fingers than of four.
func TestAdviser_ReliefHoldsForTheStringsUsed(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Four, 0)
	// C2 and Eb2 told nothing: frets 3 and 6 of the A string for four. Three
	// fingers would need C2 on the A string and Eb2 on the D string at fret 1.
	for i, note := range line(36, 39, 36, 39) {
		e := Estimate{Note: i, Position: 3, Place: Place{3, note.Pitch - 33}, PlaceProbability: 1}
		_, ok := a.Add(note, e)
		require.False(t, ok)
	}
	_, ok := a.Close()
	assert.False(t, ok)
}

// Nor where three fingers would have to jump on these strings between two notes
// struck together, though they hold them on others: E2 and D2 at frets 2 and 5 of
// the D and A strings, or E2 on the A string and D2 open.
func TestAdviser_ReliefTearsNoGripOfTheStringsUsed(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Four, 0)
	at := []Place{{4, 3}, {1, 1}, {2, 2}, {3, 5}, {1, 3}, {3, 5}, {1, 4}}
	for i, note := range places(n, at...) {
		note.String = 0
		if i == 3 {
			note.At, note.Sounding = 2*250*time.Millisecond, true
		}
		_, ok := a.Add(note, Estimate{Note: i, Position: 2, Place: at[i], PlaceProbability: 1})
		require.False(t, ok)
	}
	said, ok := a.Close()
	assert.False(t, ok, said.Text)
}

// Beyond the reach it says so (DEVELOPERS.md), of the narrower window too. 34 in,
// frets 2 to 4: 84 mm.
func TestAdviser_SaysThatAReliefIsBeyondTheReach(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	low := places(n, Place{4, 2}, Place{4, 4}, Place{3, 2}, Place{3, 4})
	for reach, want := range map[float64]string{80: " and no more shifts. 84 mm still lies beyond your reach of 80 mm.", 84: " and no more shifts."} {
		said, ok := told(t, NewAdviser(n, Four, reach), low, 2, 2, 2, 2)
		require.True(t, ok)
		assert.Equal(t, AdviceRelief, said.Kind)
		assert.True(t, strings.HasSuffix(said.Text, want), said.Text)
	}
}

// A slide is one finger along one string: a path that changes either can be
// played, but not slid.
func TestAdviser_SaysThatASlideIsGivenUp(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	at := []Place{{3, 3}, {3, 5}, {3, 7}, {3, 5}}
	struck := places(n, at...)
	slid := places(n, at...)
	slid[2].Slide, slid[3].Slide = 2, -2
	for want, notes := range map[string][]Note{
		"Windows 3 to 6 and 4 to 7: 1 shift instead of 2. From C2 to D2, begin with finger 1 on the A string at fret 3.":                               struck,
		"Windows 3 to 6 and 4 to 7: 1 shift instead of 2. From C2 to D2, begin with finger 1 on the A string at fret 3. The 2 slides are then struck.": slid,
	} {
		said, ok := told(t, NewAdviser(n, Four, 0), notes, 3, 3, 5, 3)
		require.True(t, ok)
		assert.Equal(t, want, said.Text)
	}
	for _, c := range []struct {
		to     Step
		broken int
	}{
		{Step{Place: Place{3, 7}, Finger: 1, Position: 7}, 0},
		{Step{Place: Place{3, 7}, Finger: 3, Position: 5}, 1},
		{Step{Place: Place{2, 2}, Finger: 1, Position: 2}, 1},
		{Step{Place: Place{3, 0}}, 1},
	} {
		path := []Step{{Place: Place{3, 5}, Finger: 1, Position: 5}, c.to}
		assert.Equal(t, c.broken, brokenSlides(slid[1:3], path), "%v", c.to)
		assert.Zero(t, brokenSlides(struck[1:3], path))
	}
}

// The string that slides need not be the one of the note before: a double stop of
// which one note slides up two frets under its finger.
func TestAdviser_SlidesFromTheNoteBeforeOnTheString(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{3, 5}, Place{2, 7}, Place{3, 7})
	notes[1].At, notes[1].Sounding = notes[0].At, true
	notes[2].Slide, notes[2].Sounding = 2, true
	path := []Step{{Place: Place{3, 5}, Finger: 1, Position: 5}, {Place: Place{2, 7}, Finger: 3, Position: 5}, {Place: Place{3, 7}, Finger: 1, Position: 7}}
	assert.Zero(t, brokenSlides(notes, path))
	path[2].Finger, path[2].Position = 3, 5
	assert.Equal(t, 1, brokenSlides(notes, path))
}

// A path that is not recommended costs nobody a slide.
func TestAdviser_GivesUpNothingBeyondTheReach(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := fourFrets(n)
	notes = append(notes, places(n, Place{3, 7})...)
	notes[4].Slide = -1
	said, ok := told(t, NewAdviser(n, Three, 50), notes, 5, 6, 5, 6, 5)
	require.True(t, ok)
	require.False(t, said.WithinReach)
	said.Pay("Anything else.")
	assert.Equal(t, "Four fingers in window 5 to 8: no shift instead of 4, but the stretch is 103 mm and your reach 50. From A1 to E2 stay with three.", said.Text)
	assert.Empty(t, said.Price)
}

// The count is of what is sure or very probable, and says which; where more was
// likelier than not it is a floor.
func TestAdviser_SaysAtLeastWhereTheHandProbablyMovedMore(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	for moved, want := range map[float64]string{
		0.45: "Window 2 to 5: no shift instead of 1. ",
		0.55: "Window 2 to 5: no shift instead of at least 1. ",
		0.95: "Window 2 to 5: no shift instead of probably 2. ",
		0.99: "Window 2 to 5: no shift instead of probably 2. ",
	} {
		a := NewAdviser(n, Four, 0)
		for i, note := range line(36, 37, 40, 36) {
			_, ok := played(a, i, note, 3, []float64{0, 1, moved, 0}[i])
			require.False(t, ok)
		}
		said, ok := a.Close()
		require.True(t, ok)
		assert.Contains(t, said.Text, want)
	}
}

// What no hand of the system can do with fewer is not only probable.
func TestAdviser_IsSureOfTheFewest(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Three, 0)
	for i, note := range fourFrets(n) {
		_, ok := played(a, i, note, 5, 0)
		require.False(t, ok)
	}
	said, ok := a.Close()
	require.True(t, ok)
	assert.Contains(t, said.Text, ": no shift instead of 3. ")
}

// A note off the neck neither begins a passage nor ends it, and is no open string.
func TestAdviser_NamesNoNoteOffTheNeck(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Four, 0)
	for i, note := range line(10, 36, 37, 40, 36, 10) {
		_, ok := played(a, i, note, 3, float64(i%2))
		require.False(t, ok)
	}
	said, ok := a.Close()
	require.True(t, ok)
	assert.Contains(t, said.Text, "From C2 to C2, begin with finger 2 on the A string at fret 3.")
}

// Two strings of a name are told apart by the octave, the others go without.
func TestAdvice_NamesTheStringThatItMeans(t *testing.T) {
	t.Parallel()
	n, err := ParseNeck("B0 E1 A1 D2 G2 B2 E3")
	require.NoError(t, err)
	for str, want := range map[int]string{1: "the E3 string", 2: "the B2 string", 3: "the G string", 6: "the E1 string", 7: "the B0 string"} {
		path := []Step{{Place: Place{str, 3}, Finger: 1, Position: 3}, {Place: Place{str, 5}, Finger: 3, Position: 3}}
		said := placeText(Advice{Path: path}, newCover(n, Four), make([]Note, 2))
		assert.Contains(t, said, "with finger 1 on "+want+" at fret 3.")
	}
}

// What another system would save is as probable as the moves that it is measured
// against, beyond the reach as well.
func TestAdviser_SaysBeyondTheReachTooWhatIsProbable(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Three, 50)
	notes := fourFrets(n)
	notes = append(notes, fourFrets(n)[3], fourFrets(n)[3])
	for i, p := range []int{5, 6, 5, 6, 7, 6} {
		moved := 0.0
		switch {
		case i > 3:
			moved = 0.92
		case i > 0:
			moved = 1
		}
		if i > 0 {
			notes[i].Gap = 0
		}
		_, ok := played(a, i, notes[i], p, moved)
		require.False(t, ok)
	}
	said, ok := a.Close()
	require.True(t, ok)
	require.False(t, said.WithinReach)
	require.True(t, said.Probably)
	assert.Contains(t, said.Text, "probably")
}
