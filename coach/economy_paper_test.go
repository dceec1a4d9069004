package coach

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// paperLine is a two-bar line of our own, eighths, strings told:
//
//	bar 1   C2  D2  E2  G2  Ab2 G2  Eb2 C2
//	string  A   A   D   D   D   D   A   A
//	fret    3   5   2   5   6   5   6   3
//	bar 2   E1  G1  A1  E2  F2  G2  A2  B2
//	string  E   E   E   A   A   A   D   D
//	fret    0   3   5   7   8   10  7   9
//
// Counted by hand on paper. Four fingers play fret f from positions f-3 to f,
// three from f-2 to f, both from 1 up; a segment is a run of notes that one
// position plays.
//
// Four: notes 1-3 only from 2 (5 and 2), notes 5-11 only from 3 (6 and 3),
// note 4 from either, notes 12-16 only from 7 (10 and 7). Fret 6 after fret 2,
// and fret 7 after fret 3, cannot be one window, so two shifts are the fewest:
// 2-3-7, travel 1 + 4 = 5. Travel alone cannot be less: the hand must stand at
// 2 and at 7. The widest window is the one at 2.
//
// Three: a shift is forced between 5 and 2 (notes 2, 3), 2 and 5 (3, 4), 6 and
// 3 (7, 8), 3 and 7 (10, 12), 7 and 10 (12, 14), 10 and 7 (14, 15): six, and
// 3, 2, 4, 3, 6, 8, 7 does it. Travel: from 3 or more (note 2) down to 2 or
// less (3), up to 4 or more (5), down to 3 or less (8), up to 8 or more (14),
// down to 7 or less (15): 1 + 2 + 1 + 5 + 1 = 10. The widest is at 2.
//
// As you go, four: C2 under the second finger puts the hand at 2; fret 6 takes
// it to 3, fret 7 to 4, fret 8 to 5, fret 10 to 7: 4 shifts, 1+1+1+2 = 5.
// Three: at 2; fret 5 to 3, fret 2 to 2, fret 5 to 3, fret 6 to 4, fret 3 to
// 3, fret 7 to 5, fret 8 to 6, fret 10 to 8, fret 7 to 7: 9 shifts,
// 1+1+1+1+1+2+1+2+1 = 11.
//
// Mixed, 34 in and a reach of 105 mm: four fingers reach from position 5 on
// (103 mm; 109 at 4). Notes 1-11 are three's 3, 2, 4, 3 as above, notes 12-16
// one window of four at 7: 4 shifts, travel 1+2+1+4 = 8, and 10 of the 15
// fretted notes in windows of three.
func paperLine(n Neck) []Note {
	return places(n,
		Place{3, 3}, Place{3, 5}, Place{2, 2}, Place{2, 5}, Place{2, 6}, Place{2, 5}, Place{3, 6}, Place{3, 3},
		Place{4, 0}, Place{4, 3}, Place{4, 5}, Place{3, 7}, Place{3, 8}, Place{3, 10}, Place{2, 7}, Place{2, 9})
}

func TestEconomy_AgreesWithPaper(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := paperLine(n)
	pitches := []string{"C2", "D2", "E2", "G2", "Ab2", "G2", "Eb2", "C2", "E1", "G1", "A1", "E2", "F2", "G2", "A2", "B2"}
	four, three, mixed := NewEconomy(n, Four), NewEconomy(n, Three), NewMixed(n, 105)
	loose4, loose3 := NewAsYouGo(n, Four), NewAsYouGo(n, Three)
	for i, note := range notes {
		assert.Equal(t, pitches[i], PitchName(note.Pitch))
		four.Note(note)
		three.Note(note)
		mixed.Note(note)
		loose4.Note(note)
		loose3.Note(note)
	}
	assert.Equal(t, Cost{2, 5, n.StretchMM(2, 4)}, four.Fewest())
	assert.Equal(t, 5, four.LeastTravel())
	assert.Equal(t, 7, four.Position())
	assert.Equal(t, Cost{6, 10, n.StretchMM(2, 3)}, three.Fewest())
	assert.Equal(t, 10, three.LeastTravel())
	assert.Equal(t, 7, three.Position())

	assert.Equal(t, [3]int{4, 5, 7}, [3]int{loose4.Shifts(), loose4.Travel(), loose4.Position()})
	assert.Equal(t, [3]int{9, 11, 7}, [3]int{loose3.Shifts(), loose3.Travel(), loose3.Position()})

	got := mixed.Result()
	assert.Equal(t, [2]int{4, 8}, [2]int{got.Fewest, got.Travel})
	assert.InDelta(t, 10.0/15, got.ThreeShare, 1e-12)

	cost, steps := BestPath(n, Four, notes, 0)
	assert.Equal(t, four.Fewest(), cost)
	var positions []int
	for _, s := range steps {
		positions = append(positions, s.Position)
	}
	assert.Equal(t, []int{2, 2, 2, 3, 3, 3, 3, 3, 3, 3, 3, 7, 7, 7, 7, 7}, positions)
}
