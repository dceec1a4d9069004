package coach

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a teacher says is weighed among the styles that hear it: those asleep neither
// win nor lose by it.
func TestTracker_AnchorLeavesStylesAsleepTheirWeight(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	estimates(tr, windowTake(rand.New(rand.NewPCG(4, 1)), n, Four, napEvery+napBurst+20, true))
	tr.Note(Note{At: time.Hour, Gap: Rest, Pitch: n.Pitch(Place{3, 10}), String: 3})
	require.Less(t, len(tr.awake), len(styles))
	before := slices.Clone(tr.weights)
	for position := 10; position >= 7; position-- { // where all were sure that it is not, too
		tr.Anchor(position)
		for k, w := range tr.weights {
			if !slices.Contains(tr.awake, k) {
				assert.Equal(t, before[k], w, "style %d", k)
			}
		}
		assert.InDelta(t, 1, sum(tr.weights), 1e-9)
	}
}

// A gap is read alike whether or not the teacher put the hand elsewhere before.
func TestTracker_HearsTheGapAfterAnAnchor(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	notes := lineAt(n, true, Place{2, 5}, Place{2, 6}, Place{2, 14})
	tr.Note(notes[0])
	tr.Note(notes[1])
	tr.Anchor(12)
	tr.Note(notes[2])
	assert.Equal(t, gap{silent: 40, between: 250}, tr.frame(2).gap)
}

// A finger that a system does not have reaches nothing, not even for a teacher.
func TestTracker_AnchorInAHoleOfASystem(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, System{"spread", []Finger{{1, 0}, {4, 4}}}, Habits{})
	notes := lineAt(n, true, Place{2, 5}, Place{2, 5}, Place{2, 9})
	tr.Note(notes[0])
	tr.Anchor(3)
	tr.Note(notes[1])
	tr.Note(notes[2])
	tr.End()
	for _, e := range tr.Settled(nil) {
		assert.False(t, math.IsNaN(e.Probability))
	}
	assert.False(t, math.IsNaN(tr.Expected()))
}

// The teacher is believed even where every style had given the position up.
func TestTracker_BelievesTheTeacherAgainstAllStyles(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	for _, note := range lineAt(n, false, Place{3, 3}, Place{3, 5}, Place{2, 2}, Place{2, 3}, Place{2, 5}, Place{1, 2}) {
		tr.Note(note)
	}
	// The last pitch lies on string 1 fret 2, but on string 4 fret 17 as well.
	tr.Anchor(15)
	e := tr.Newest()
	assert.Equal(t, 15, e.Position)
	assert.Equal(t, Place{4, 17}, e.Place)
	assert.Greater(t, tr.Expected(), 0.9, "it has gone up there, if not for this note then for the one before")
}

// A note teaches once, also where the teacher put a hand that all styles had
// elsewhere.
func TestTracker_TheTeachersWordIsOneNote(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	r := rand.New(rand.NewPCG(6, 1))
	tr := NewTracker(n, Four, Habits{})
	free := 0.0
	for _, note := range windowTake(r, n, Four, 250, true) {
		tr.Note(note)
		tr.Anchor(1 + r.IntN(tr.np))
		h := tr.Habits()
		now := sum(h.Free[:])
		require.LessOrEqual(t, now, free+1+1e-9)
		free = now
	}
}

// Where the teacher corrects what was just said, the last word counts, and
// nothing is left of those before.
func TestTracker_TakesTheTeachersLastWord(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, notes := range [][]Note{
		lineAt(n, true, Place{3, 3}, Place{3, 5}, Place{2, 5}),
		lineAt(n, true, Place{2, 5}),
	} {
		once, often := NewTracker(n, Four, Habits{}), NewTracker(n, Four, Habits{})
		for _, note := range notes {
			once.Note(note)
			often.Note(note)
		}
		once.Anchor(5)
		for i := range 120 {
			often.Anchor(2 + 3*(i%2))
		}
		assert.InDelta(t, once.Expected(), often.Expected(), 1e-9)
		assert.InDeltaSlice(t, once.weights, often.weights, 1e-9)
	}
}
