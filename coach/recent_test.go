package coach

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// Worked by hand: one parted note, silent for half of its time, against a whole
// that counts for one note more.
func TestRecent_ReadsTheLastNotes(t *testing.T) {
	t.Parallel()
	var r recent
	share, at, below := r.read(partBin(0.51), 0.2, 3, 0.4)
	assert.Equal(t, [...]float64{0.2, 3, 0.4}, [...]float64{share, at, below}, "nothing heard")
	assert.InDelta(t, recentRight/recentOf, r.weight(), 1e-12)

	r.learn(partBin(0.52), 0, 1, 1)
	share, at, below = r.read(partBin(0.51), 0.2, 3, 0.4)
	assert.InDelta(t, (1+0.2)/2, share, 1e-12)
	assert.InDelta(t, (5.0/12*20+3)/2, at, 1e-12)
	assert.InDelta(t, (0.5+0.4)/2, below, 1e-12)
	_, at, below = r.read(partBin(0.61), 0.2, 3, 0.4)
	assert.InDelta(t, (1.0/12*20+3)/2, at, 1e-12, "two bins away")
	assert.InDelta(t, (1+0.4)/2, below, 1e-12)
	_, at, below = r.read(partBin(0.46), 0.2, 3, 0.4)
	assert.InDelta(t, (5.0/24*20+3)/2, at, 1e-12, "a bin away")
	assert.InDelta(t, 0.4/2, below, 1e-12)
	assert.InDelta(t, (recentRight+1)/(recentOf+1), r.weight(), 1e-12)

	r.learn(partBin(0.02), 1, 0, 0)
	share, _, _ = r.read(partBin(0.51), 0.2, 3, 0.4)
	assert.InDelta(t, (recentFade+0.2)/(1+recentFade+1), share, 1e-12, "older notes count less")
	assert.InDelta(t, (recentRight+1)/(recentOf+2), r.weight(), 1e-12)
}

func TestParting_MixesAShareOfAnother(t *testing.T) {
	t.Parallel()
	got := parting{1, 2, 0.5}.mixed(parting{3, 0, 0.1}, 0.25)
	assert.InDelta(t, 1.5, got.bound, 1e-12)
	assert.InDelta(t, 1.5, got.parted, 1e-12)
	assert.InDelta(t, 0.4, got.below, 1e-12)
	assert.InDelta(t, 3, got.density(), 1e-12)
}

// A hand in one window that plays phrases of bound notes and phrases of short
// ones moves no more in these than in those.
func TestTracker_ShortNotesInABoundLineAreNoMoves(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	r := rand.New(rand.NewPCG(8, 1))
	var places []Place
	for range 480 {
		places = append(places, Place{1 + r.IntN(4), 3 + r.IntN(4)})
	}
	notes := lineAt(n, true, places...)
	for i := range notes[1:] {
		if short := i/24%4 == 3; short {
			notes[i+1].Gap = 110*tick + time.Duration(r.IntN(30))*tick
		} else {
			notes[i+1].Gap = time.Duration(r.IntN(8)) * tick
		}
	}
	moved := [2]float64{}
	for i, e := range estimates(NewTracker(n, Four, Habits{}), notes) {
		if i/24%4 == 3 && i > 120 {
			moved[1] += e.Moved
		}
		moved[0] += e.Moved
	}
	t.Log(moved)
	assert.Less(t, moved[0], 3.0, "of 480 notes")
	assert.Less(t, moved[1], 1.0, "of 96 short ones")
}
