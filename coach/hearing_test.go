package coach

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a style says of strings is weighed against the others that hear it:
// those asleep neither win nor lose by it.
func TestTracker_TastesOfStylesAwakeKeepTheirShare(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	before := sum(tr.tastes)
	estimates(tr, windowTake(rand.New(rand.NewPCG(4, 1)), n, Four, 2500, true))
	assert.InDelta(t, before, sum(tr.tastes), 1e-6)
}

// However even the styles weigh, one stays awake that knows where the hand is: up the
// neck, where nothing but what came before can put it.
func TestTracker_NeverSleepsAltogether(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	line := lineAt(n, false, Place{1, 19}, Place{1, 22}, Place{1, 21}, Place{1, 22}, Place{4, 0}, Place{4, 0}, Place{4, 0})
	for _, note := range line[:5] {
		tr.Note(note)
	}
	tr.nap(1.1) // no style weighs as much
	for _, e := range estimates(tr, line[5:])[1:] {
		require.Equal(t, 19, e.Position, "note %d", e.Note)
	}
}

// How well the notes are explained is measured alike whoever is awake, or systems
// could not be compared by it.
func TestTracker_ExplainsAsWellWithStylesAsleep(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	take := windowTake(rand.New(rand.NewPCG(4, 1)), n, Three, 700, false)
	all, alone := NewTracker(n, Three, Habits{}), NewTracker(n, Three, Habits{})
	estimates(all, take[:600])
	estimates(alone, take[:600])
	lead := alone.leading()
	require.Equal(t, placed, styles[lead].manner)
	require.Greater(t, alone.weights[lead], 0.8)
	alone.nap(1.1) // all but the heaviest
	before := all.LogLikelihood()
	estimates(all, take[600:])
	estimates(alone, take[600:])
	assert.InDelta(t, (all.LogLikelihood()-before)/100, (alone.LogLikelihood()-before)/100, 0.05, "a note")
}

// Whoever explains next to nothing any more sleeps at the next look, and the best
// teller of strings only beside a style to which these are no part of the note.
func TestTracker_StylesFallAsleepAtALook(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	planner := slices.IndexFunc(styles[:], func(st style) bool { return st.manner == planning })
	chooser := slices.IndexFunc(styles[:], func(st style) bool { return st.manner == placed })
	for _, c := range []struct {
		lead, other   int
		weight, taste float64
		awake         bool
	}{
		{planner, 0, 0.9 * lookWeight, 0.1, false},
		{planner, 0, 1.1 * lookWeight, 0.1, true},
		{planner, 0, 0.9 * lookWeight, 0.9, true},
		{chooser, 0, 0.9 * lookWeight, 0.9, false},
	} {
		tr := NewTracker(n, Four, Habits{})
		estimates(tr, lineAt(n, true, Place{3, 5}))
		tr.awake, tr.notes = []int{c.other, c.lead}, napEvery+napBurst+napLook
		slices.Sort(tr.awake)
		tr.weights[c.lead], tr.weights[c.other], tr.tastes[c.other] = 0.9, c.weight, c.taste
		tr.rouse(tr.frame(0))
		assert.Equal(t, c.awake, slices.Contains(tr.awake, c.other), "%+v", c)
		tr.awake = nil // all have lost the hand
		tr.rouse(tr.frame(0))
	}
}

// Styles that wake take up the hand from one that knows it, even when the
// heaviest has lost it.
func TestTracker_StylesThatWakeHear(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	take := windowTake(rand.New(rand.NewPCG(4, 1)), n, Four, napEvery+1, true)
	estimates(tr, take[:napEvery])
	lead := slices.MaxFunc(tr.awake, func(a, b int) int { return cmp.Compare(tr.weights[a], tr.weights[b]) })
	other := (lead + 1) % commonStyles
	newest := tr.frame(tr.count - 1)
	newest.cells[other] = append(newest.cells[other][:0], newest.cells[lead]...)
	newest.cells[lead] = newest.cells[lead][:0]
	tr.awake = []int{other}
	tr.Note(take[napEvery])
	require.Len(t, tr.awake, len(styles))
	for _, k := range tr.awake {
		assert.True(t, tr.frame(tr.count - 1).heard[k], "style %d", k)
	}
}

// Which finger leads is found in the course of an ordinary take, be it slowly: here
// notes are short, so that few gaps tell of a move. The hand is known, for the test
// moves it: along the A string, up onto the third finger and down onto the fourth.
func TestTracker_FindsTheLeadingFingersOfShortNotes(t *testing.T) {
	t.Parallel()
	const players, length = 12, 1000
	n := fourStrings(t)
	right := 0
	for seed := range uint64(players) {
		r := rand.New(rand.NewPCG(seed, 1))
		notes, hands := leadingTake(r, n, length, func(moved int) time.Duration {
			gap := time.Duration(float64(leadingPace) * min(0.85, max(0.1, 0.5+0.1*r.NormFloat64())))
			if moved > 0 {
				gap = max(gap, leadingMove(r, moved))
			}
			return gap
		})
		right += rightPositions(NewTracker(n, Four, Habits{}), notes, hands)
	}
	assert.Greater(t, float64(right)/(players*length/2), 0.4)
}

// A hand that hides one move in four or in two, in the gap that any of its bound
// notes leaves, is told by the others, and how many it hides is learnt.
func TestTracker_FindsTheLeadingFingersOfAHandThatHidesMoves(t *testing.T) {
	t.Parallel()
	const players, length = 12, 1000
	n := fourStrings(t)
	right, unseen := [3]int{}, [3]float64{} // by how many of four moves the hand hides
	for hides := range right {
		for seed := range uint64(players) {
			r := rand.New(rand.NewPCG(seed, 2))
			notes, hands := leadingTake(r, n, length, func(moved int) time.Duration {
				if moved > 0 && (hides == 0 || r.IntN(4) >= hides) {
					return leadingMove(r, moved)
				}
				return time.Duration((4 + 8*r.Float64()) * float64(time.Millisecond))
			})
			tr := NewTracker(n, Four, Habits{})
			right[hides] += rightPositions(tr, notes, hands)
			unseen[hides] += tr.Habits().Unseen() / players
		}
	}
	for hides, n := range right {
		assert.Greater(t, float64(n)/(players*length/2), []float64{0.95, 0.95, 0.85}[hides], "hides %d of 4", hides)
	}
	assert.Less(t, unseen[0], 0.15)
	assert.InDelta(t, 0.4, unseen[1], 0.08)
	assert.Greater(t, unseen[2], 0.58)
}

// leadingPace is the time between two onsets of a leadingTake.
const leadingPace = 190 * time.Millisecond

// leadingTake is a line on one string by a hand that lands on its third finger
// going up and on its fourth going down, and its positions. Gap is asked for each,
// by how many frets the hand moved.
func leadingTake(r *rand.Rand, n Neck, length int, gap func(moved int) time.Duration) (notes []Note, hands []int) {
	fret, position, up := 7, 5, 1
	for i := range length {
		if r.IntN(5) == 0 {
			up = -up
		}
		if next := fret + up*(1+r.IntN(3)); next >= 2 && next <= 16 {
			fret = next
		} else {
			up = -up
		}
		was := position
		switch {
		case fret > position+3:
			position = fret - 2
		case fret < position:
			position = max(1, fret-3)
		}
		notes = append(notes, Note{At: time.Duration(i) * leadingPace, Gap: gap(abs(position - was)), Pitch: n.Pitch(Place{3, fret}), String: 3, Velocity: 90})
		hands = append(hands, position)
	}
	return notes, hands
}

// leadingMove is the time that a move by so many frets takes.
func leadingMove(r *rand.Rand, moved int) time.Duration {
	need := math.Exp(0.3*r.NormFloat64()) * (70 + 70*math.Log2(float64(1+moved)))
	return min(time.Duration(need*float64(time.Millisecond)), leadingPace*3/4)
}

// rightPositions is how many of the second half of notes tr puts the hand right at.
func rightPositions(tr *Tracker, notes []Note, hands []int) int {
	right, half := 0, len(notes)/2
	for i, e := range estimates(tr, notes)[half:] {
		if e.Position == hands[half+i] {
			right++
		}
	}
	return right
}
