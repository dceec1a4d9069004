package session

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/coach"
)

// On a scale of 864 mm four fingers span 116 mm at the third position and 110 at
// the fourth, three span 82 at the first: 864 (2^(-p/12) - 2^(-(p+n-1)/12)), by
// the rule of equal temperament.
func TestStretches_JudgeEachNoteByItsFingers(t *testing.T) {
	t.Parallel()
	at := func(position, fret int) *coach.Estimate {
		return &coach.Estimate{Position: position, Place: coach.Place{String: 2, Fret: fret}}
	}
	x := newStretches(plainSetup(t, nil))
	x.take(at(4, 4))
	assert.Zero(t, x.wide)
	assert.InDelta(t, 109.5, x.widest, 1)
	x.take(at(3, 3))
	x.take(at(1, 0))
	x.take(&coach.Estimate{Place: coach.Place{String: 2, Fret: 3}})
	assert.Equal(t, 1, x.wide, "neither an open string nor a note without a hand")
	x.use(coach.Three)
	x.take(at(4, 4))
	assert.Equal(t, 1, x.wide)
	assert.InDelta(t, 115.9, x.widest, 1, "three fingers are narrower")
	x.take(at(3, 3))
	assert.Equal(t, 2, x.wide, "as wide as three fingers span at the third position")

	reach := newStretches(plainSetup(t, map[string]string{"reach": "104mm"}))
	reach.take(at(4, 4))
	reach.take(at(5, 5))
	assert.Equal(t, 1, reach.wide, "102.9 mm is within")
}
