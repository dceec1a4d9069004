package coach

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// windowTake is a take of a hand that plays bound notes in windows of s and parts
// them where it moves.
func windowTake(r *rand.Rand, n Neck, s System, count int, bound bool) []Note {
	var notes []Note
	position := 4
	at := time.Duration(0)
	for i := range count {
		note := Note{Velocity: 80, Sounding: bound}
		if !bound {
			note.Gap = 90 * tick
		}
		if i%9 == 8 {
			position = 2 + r.IntN(12)
			note.Sounding, note.Gap = false, 150*tick
		}
		p := Place{1 + r.IntN(n.Strings()), position + r.IntN(s.Width())}
		note.Pitch, note.String = n.Pitch(p), p.String
		at += 220 * tick
		note.At = at
		notes = append(notes, note)
	}
	notes[0].Gap, notes[0].Sounding = Rest, false
	return notes
}

func TestHabits_NothingLearntSaysNothing(t *testing.T) {
	t.Parallel()
	var h Habits
	assert.Zero(t, h.ShiftRate())
	assert.Zero(t, h.OpenShare())
	assert.Zero(t, h.Ahead())
	bound, silent := h.Touch()
	assert.Zero(t, bound)
	assert.Zero(t, silent)
	assert.Equal(t, Habits{}.Notes, NewTracker(fourStrings(t), Four, Habits{}).Habits().Notes)
}

func TestHabits_TellTheUsualGapAndTheShiftRate(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, bound := range []bool{true, false} {
		tr := NewTracker(n, Four, Habits{})
		estimates(tr, windowTake(rand.New(rand.NewPCG(1, 1)), n, Four, 600, bound))
		h := tr.Habits()
		assert.InDelta(t, 600, h.Notes, 1e-9)
		assert.InDelta(t, 1.0/9*11/12, h.ShiftRate(), 0.03, "bound %v", bound)
		assert.Zero(t, h.OpenShare())
		share, silent := h.Touch()
		if bound {
			assert.Greater(t, share, 0.9, "one note in nine comes after a real gap")
		} else {
			assert.Less(t, share, 0.05)
			assert.InDelta(t, 90.0/220, silent, 1.0/partBins, "to the width of a bin")
		}
		assert.Greater(t, h.Ahead(), 0.5, "notes drawn from windows tell where the hand was before them")
		sum := 0.0
		for _, w := range h.Weight {
			sum += w
		}
		assert.InDelta(t, 1, sum, 1e-9)
	}
}

func TestTracker_ForgetGoesBackToNothingLearnt(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	r := rand.New(rand.NewPCG(3, 1))
	tr := NewTracker(n, Four, Habits{})
	estimates(tr, windowTake(r, n, Four, 300, true))
	require.NotZero(t, tr.Habits().Notes)
	count := tr.Expected()
	tr.Forget()
	h := tr.Habits()
	assert.Equal(t, NewTracker(n, Four, Habits{}).Habits(), h)
	assert.Equal(t, count, tr.Expected(), "what was counted stays")
	notes := windowTake(r, n, Four, 40, true)
	for i := range notes {
		notes[i].At += time.Hour
	}
	estimates(tr, notes)
	assert.InDelta(t, 40, tr.Habits().Notes, 1e-9)
}

func TestTracker_LooksLikeTheSystemThatPlays(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, played := range Systems {
		for _, declared := range Systems {
			tr := NewTracker(n, declared, Habits{})
			estimates(tr, windowTake(rand.New(rand.NewPCG(5, 1)), n, played, 1200, true))
			got, ok := tr.Looks()
			assert.Equal(t, played.Name != declared.Name, ok, "%s declared, %s played", declared.Name, played.Name)
			if ok {
				assert.Equal(t, played.Name, got.Name)
			}
			if played.Name != declared.Name {
				right := NewTracker(n, played, Habits{})
				estimates(right, windowTake(rand.New(rand.NewPCG(5, 1)), n, played, 1200, true))
				assert.Greater(t, right.LogLikelihood(), tr.LogLikelihood(), "a wrong declaration shows as low likelihood")
			}
		}
	}
}

// A third system needs no new code, even one whose fingers leave frets out.
func TestTracker_TakesAnySystem(t *testing.T) {
	t.Parallel()
	spread := System{"spread", []Finger{{1, 0}, {4, 4}}}
	n := fourStrings(t)
	got := estimates(NewTracker(n, spread, Habits{}), lineAt(n, true, Place{2, 5}, Place{2, 9}, Place{3, 5}, Place{3, 9}))
	for _, e := range got[1:] {
		assert.Equal(t, 5, e.Position)
	}
	short := Neck{Open: []int{40, 35}, Frets: 3, ScaleMM: 800}
	for _, e := range estimates(NewTracker(short, spread, Habits{}), lineAt(short, true, Place{1, 2}, Place{2, 3}, Place{1, 1})) {
		assert.Equal(t, 1, e.Position)
	}
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
