package coach

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func regionsOf(n Neck, notes []Note, position func(i int) int) *Regions {
	r := NewRegions(n)
	for i, note := range notes {
		r.Note(note, position(i))
	}
	return r
}

// Counted by hand: low on the neck frets 2 to 4, which both systems play from
// one window, high up frets 9 and 12 in turn, which cost
// three fingers a shift every time and four, at 9, none. Fret 9 alone could
// be played from 6 on. From 9 on four save moves; below they do not.
func TestRegions_FindTheCrossover(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	low := []Place{{4, 2}, {4, 4}, {3, 2}, {3, 4}}
	high := []Place{{3, 9}, {3, 12}, {2, 9}, {2, 12}}
	notes := places(n, append(append(append([]Place{}, low...), high...), low...)...)
	early := []int{1, 1, 1, 1, 6, 9, 9, 9, 1, 1, 1, 1}
	r := regionsOf(n, notes, func(i int) int { return early[i] })
	assert.Equal(t, []Region{
		{Position: 1, Notes: 8, Four: 1, Three: 1},
		{Position: 6, Notes: 1, Four: 1, Three: 1},
		{Position: 9, Notes: 3, Four: 0, Three: 3},
	}, sorted(r.All()))
	assert.Equal(t, 9, r.Crossover())
	assert.Equal(t, 9, Crossover(r.All()))

	at := []int{2, 2, 2, 2, 8, 9, 9, 9, 2, 2, 2, 2}
	late := regionsOf(n, notes, func(i int) int { return at[i] })
	assert.Equal(t, 1, late.All()[1].Notes)
	assert.Equal(t, 8, late.All()[1].Position)
	assert.Equal(t, 9, late.Crossover(), "one shift each into position 8 is no saving")

	r.Reset()
	assert.Empty(t, r.All())
	assert.Zero(t, r.Crossover())
	for i, note := range notes {
		r.Note(note, at[i])
	}
	assert.Equal(t, late.All(), r.All())
}

// Four fingers hold the first two notes and not the open string after them, three
// hold the last two and must leave for them: A2 lies no more on the E string when
// that sounds open, and there alone was it within the window of fret 15.
func TestRegions_CountAShiftThatAnOpenStringAsksOfOneSystem(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{4, 15}, Place{3, 12}, Place{4, 0})
	for i := range notes {
		notes[i].At, notes[i].Sounding = 0, i > 0
	}
	notes[1].String = 0
	require.Equal(t, 1, economyOf(n, Three, notes).Fewest().Shifts)
	r := regionsOf(n, notes, func(i int) int { return 12 + i/2 })
	assert.Equal(t, []Region{{Position: 12, Notes: 2}, {Position: 13, Three: 1}}, r.All())
}

// sorted checks the order that All promises.
func sorted(r []Region) []Region {
	for i := 1; i < len(r); i++ {
		if r[i].Position <= r[i-1].Position {
			return nil
		}
	}
	return r
}

func TestCrossover_IsWhereFourBeginToSave(t *testing.T) {
	t.Parallel()
	region := func(position, four, three int) Region {
		return Region{Position: position, Notes: 10, Four: four, Three: three}
	}
	for _, c := range []struct {
		name    string
		regions []Region
		want    int
	}{
		{"nothing played", nil, 0},
		{"four save nothing", []Region{region(1, 2, 2), region(5, 3, 3)}, 0},
		{"four save from 5 on", []Region{region(1, 2, 2), region(5, 1, 3), region(7, 1, 4)}, 5},
		{"four save everywhere", []Region{region(3, 0, 1), region(5, 0, 1)}, 3},
		{"a shift booked early and made good later", []Region{region(2, 0, 1), region(4, 1, 0), region(7, 0, 2)}, 7},
		{"four save low, three make it good high", []Region{region(2, 0, 1), region(9, 1, 0)}, 0},
		{"regions without notes are not played", []Region{region(1, 1, 1), {Position: 4}, region(6, 0, 2)}, 6},
	} {
		assert.Equal(t, c.want, Crossover(c.regions), c.name)
	}
}

// Fret 2 of the A string with the open D string.
func TestRegions_CountNoOpenStringBesideAFinger(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{3, 2}, Place{2, 0})
	notes[1].At, notes[1].Sounding = notes[0].At, true
	r := regionsOf(n, notes, func(int) int { return 2 })
	assert.Equal(t, []Region{{Position: 2, Notes: 1}}, r.All())
	x := NewMixed(n, 0)
	for _, note := range notes {
		x.Note(note)
	}
	assert.Equal(t, int64(1), x.fretted)
}

// Regions of several takes add up.
func TestRegions_AddUpOverTakes(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := wandering(n, 600, true)
	var sum [MaxFrets + 1]Region
	fretted := 0
	for from := 0; from < len(notes); from += 200 {
		for _, at := range regionsOf(n, notes[from:from+200], func(i int) int { return 1 + i%9 }).All() {
			s := &sum[at.Position]
			s.Position = at.Position
			s.Notes += at.Notes
			s.Four += at.Four
			s.Three += at.Three
			fretted += at.Notes
		}
	}
	want := 0
	for _, note := range notes {
		if note.Pitch != n.Open[note.String-1] {
			want++
		}
	}
	require.Equal(t, want, fretted)
	assert.NotZero(t, Crossover(sum[:]))
}
