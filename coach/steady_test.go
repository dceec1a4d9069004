package coach

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// written is a line of one region as a program writes it: every note sounds for
// the same part of its time.
func written(beat time.Duration, sounds float64) (notes []Note) {
	pitches := []int{36, 38, 40, 41, 43, 41, 40, 38, 36, 40, 43, 45, 43, 40, 38, 41, 45, 43, 41, 38, 36, 43, 40, 36}
	gap := Rest
	for i := range 2 * len(pitches) {
		notes = append(notes, Note{At: time.Duration(i) * beat, Gap: gap, Pitch: pitches[i%len(pitches)], Velocity: 90})
		gap = time.Duration((1 - sounds) * float64(beat))
	}
	return notes
}

// One window holds the line: the silence that a program leaves at each note is no
// row of moves, however long it is.
func TestTracker_WrittenNotesAreNoMoves(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	for _, bpm := range []int{40, 58, 72, 100, 160} {
		for _, sounds := range []float64{0.5, 0.8, 0.9, 0.95, 0.96, 0.97, 0.98} {
			tr := NewTracker(n, Four, Habits{})
			for _, note := range written(time.Minute/time.Duration(bpm), sounds) {
				tr.Note(note)
			}
			tr.End()
			assert.Less(t, tr.Expected(), 3.0, "%d a minute, %.2f of it", bpm, sounds)
		}
	}
}

// A silence that is always the same says as little for a hand that stays: a line
// that no window holds has its moves, however long its notes are written.
func TestTracker_WrittenNotesHideNoMoves(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	line := []Place{{3, 5}, {3, 7}, {2, 5}, {2, 8}, {1, 6}, {2, 9}, {2, 7}, {3, 6}, {3, 9}, {2, 10}, {3, 8}, {3, 7}, {4, 8}, {4, 6}, {3, 5}, {2, 7}}
	moves := func(sounds float64, told bool) float64 {
		tr := NewTracker(n, Four, Habits{})
		const beat = 300 * time.Millisecond
		gap := Rest
		for i := range 6 * len(line) {
			p := line[i%len(line)]
			note := Note{At: time.Duration(i) * beat, Gap: gap, Pitch: n.Pitch(p), Velocity: 90}
			if told {
				note.String = p.String
			}
			tr.Note(note)
			gap = time.Duration((1 - sounds) * float64(beat))
		}
		tr.End()
		return tr.Expected()
	}
	for _, told := range []bool{true, false} {
		half := moves(0.5, told)
		for _, sounds := range []float64{0.8, 0.95, 1} {
			assert.InEpsilon(t, half, moves(sounds, told), 0.15, "%.2f of the time, strings told %v", sounds, told)
		}
	}
}

func TestSteady_TellsWhatIsWrittenFromWhatIsPlayed(t *testing.T) {
	t.Parallel()
	share := func(silent func(i int) gap) float64 {
		var s steady
		for i := range 200 {
			s.hear(silent(i))
		}
		return s.again / s.of
	}
	r := rand.New(rand.NewPCG(3, 5))
	assert.Greater(t, share(func(int) gap { return gap{silent: 40, between: 500} }), 0.98)
	assert.Greater(t, share(func(i int) gap {
		between := float64(250 * (1 + i%3))
		return gap{silent: 0.05 * between, between: between}
	}), 0.98, "the same part of notes of different lengths")
	// A hand's releases scatter by about 15 ms (ours).
	assert.Less(t, share(func(int) gap { return gap{silent: 60 + 15*r.NormFloat64(), between: 500} }), 0.12)
	assert.Zero(t, func() float64 {
		var s steady
		for range 200 {
			s.hear(gap{silent: overlap, between: 500})
		}
		return s.of
	}(), "bound notes leave no silence")
}

// The first of them is compared with none: two alike are one that came again.
func TestSteady_OneThatComesAgainSaysNothing(t *testing.T) {
	t.Parallel()
	for _, silent := range []float64{0, 1, 30} {
		var s steady
		g := gap{silent, 300}
		s.hear(g)
		assert.Zero(t, s.read(g), "%g ms", silent)
		s.hear(g)
		assert.Positive(t, s.read(g), "%g ms", silent)
	}
}
