package coach

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A told note that no finger of the window reaches was not played from it,
// wherever the hand was.
func TestScorer_ATellingPlaceNeedsNoSurePosition(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundHold)
	r.Low, r.High = 6, 6
	of := func(fret, str int) Score {
		s := NewScorer(r, 0)
		e := at(100, max(1, fret-1), fret)
		e.Probability, e.Low, e.High = 0.5, 1, 9
		s.Add(Note{At: e.At, Pitch: r.Neck.Pitch(e.Place), String: str}, e)
		return s.Score(r.Length())
	}
	str := at(0, 1, 1).Place.String
	for fret, lost := range map[int]int{3: LeavePoints, 4: LeavePoints, 5: 0, 6: 0, 9: 0, 10: 0, 11: LeavePoints, 15: LeavePoints, 0: 0} {
		told, untold := of(fret, str), of(fret, 0)
		assert.Len(t, told.Losses, lost/LeavePoints, "fret %d", fret)
		assert.Equal(t, 1-lost/LeavePoints, told.Doubtful, "fret %d", fret)
		assert.Empty(t, untold.Losses, "fret %d of a string that was not told", fret)
	}
}
