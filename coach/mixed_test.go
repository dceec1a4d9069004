package coach

import (
	"cmp"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mixedCost is what the slow reference compares: shifts, travel, fretted notes
// in windows of four.
type mixedCost struct{ shifts, travel, fours int }

func compareMixed(a, b mixedCost) int {
	return cmp.Or(cmp.Compare(a.shifts, b.shifts), cmp.Compare(a.travel, b.travel), cmp.Compare(a.fours, b.fours))
}

// choice is a system at a position.
type choice struct {
	system   System
	position int
}

// exhaustMixed tries every sequence of windows, one a group.
func exhaustMixed(n Neck, notes []Note, reachMM float64) (best mixedCost, fretted int) {
	var windows []choice
	for p := 1; p <= n.Frets; p++ {
		windows = append(windows, choice{Three, p})
		if reachMM == 0 || n.StretchMM(p, 4) <= reachMM {
			windows = append(windows, choice{Four, p})
		}
	}
	fits := func(g group) bool {
		for _, w := range windows {
			if holdsAll(n, w.system, w.position, g.notes, 0) {
				return true
			}
		}
		return holdsAll(n, Three, 0, g.notes, 0)
	}
	all := groups(n, notes, func(int) System { return Three }, fits)
	fingers := make([]int, len(all)) // fretted notes of each group
	for i, g := range all {
		for j := range g.notes {
			// A note counts if it needs a finger by itself.
			if !(group{Three, g.notes[j : j+1]}).free(n) {
				fingers[i]++
			}
		}
		fretted += fingers[i]
	}
	best = mixedCost{shifts: 1 << 30}
	var try func(i int, from choice, c mixedCost)
	try = func(i int, from choice, c mixedCost) {
		if i == len(all) {
			if compareMixed(c, best) < 0 {
				best = c
			}
			return
		}
		for _, w := range windows {
			free := fingers[i] == 0
			if !free && !holdsAll(n, w.system, w.position, all[i].notes, 0) {
				continue
			}
			next := c
			if from.position != 0 && (w.position != from.position || w.system.Name != from.system.Name) {
				next.shifts++
				next.travel += max(w.position-from.position, from.position-w.position)
			}
			if w.system.Name == Four.Name {
				next.fours += fingers[i]
			}
			try(i+1, w, next)
		}
	}
	try(0, choice{}, mixedCost{})
	return best, fretted
}

// Source: every sequence of windows there is, tried one by one.
func TestMixed_EqualsExhaustiveSearch(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(11, 12))
	for trial := range 3000 {
		n := randomNeck(r, 7)
		notes := randomLine(r, n, 1+r.IntN(4))
		if trial%2 == 0 {
			notes = grippedLine(r, n)
		}
		reach := 0.0
		if r.IntN(3) > 0 {
			reach = n.StretchMM(1+r.IntN(n.Frets), 4)
		}
		x := NewMixed(n, reach)
		for _, note := range notes {
			x.Note(note)
		}
		want, fretted := exhaustMixed(n, notes, reach)
		got := x.Result()
		share := 0.0
		if fretted > 0 {
			share = float64(fretted-want.fours) / float64(fretted)
		}
		require.Equal(t, want.shifts, got.Fewest, "trial %d: reach %v on %+v: %+v", trial, reach, n, notes)
		require.Equal(t, want.travel, got.Travel, "trial %d: reach %v on %+v: %+v", trial, reach, n, notes)
		require.Equal(t, share, got.ThreeShare, "trial %d: reach %v on %+v: %+v", trial, reach, n, notes)
	}
}

// The window of four contains the window of three, so with four fingers
// allowed everywhere the mixed plan needs as many shifts as four alone, and
// with four nowhere as many as three alone.
func TestMixed_LiesBetweenTheTwoSystems(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 24)
	for _, told := range []bool{true, false} {
		notes := wandering(n, 3000, told)
		four, three := economyOf(n, Four, notes).Fewest(), economyOf(n, Three, notes).Fewest()
		mixed := func(reach float64) MixedResult {
			x := NewMixed(n, reach)
			for _, note := range notes {
				x.Note(note)
			}
			return x.Result()
		}
		assert.Equal(t, four.Shifts, mixed(0).Fewest)
		assert.Equal(t, four.Travel, mixed(0).Travel)
		assert.Equal(t, three.Shifts, mixed(1).Fewest)
		assert.Equal(t, three.Travel, mixed(1).Travel)
		assert.Equal(t, 1.0, mixed(1).ThreeShare)
		reached := mixed(105)
		assert.Greater(t, reached.Fewest, four.Shifts)
		assert.Less(t, reached.Fewest, three.Shifts)
		assert.Greater(t, reached.ThreeShare, 0.0)
		assert.Less(t, reached.ThreeShare, 1.0)
	}
}

func TestMixed_ResetForgets(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 24)
	x, fresh := NewMixed(n, 105), NewMixed(n, 105)
	for _, note := range wandering(n, 3000, true) { // so many shifts that some were taken out of the costs
		x.Note(note)
	}
	x.Reset()
	assert.Equal(t, MixedResult{}, x.Result())
	for _, note := range wandering(n, 200, false) {
		x.Note(note)
		fresh.Note(note)
	}
	assert.Equal(t, fresh.Result(), x.Result())

	// Notes repeated in place cost the plan nothing yet: nor after it forgets them.
	x, repeated := NewMixed(n, 0), places(n, Place{4, 5}, Place{4, 5}, Place{4, 5})
	for _, note := range repeated {
		x.Note(note)
	}
	x.Reset()
	for _, note := range fourFrets(n) { // no three fingers play two of them in a row
		x.Note(note)
	}
	assert.Equal(t, MixedResult{}, x.Result())

	// Nor is a note struck together with one that was forgotten: three fingers hold it.
	x.Reset()
	x.Note(repeated[0])
	x.Reset()
	together := places(n, Place{3, 8})[0]
	together.Sounding = true
	x.Note(together)
	assert.Equal(t, MixedResult{ThreeShare: 1}, x.Result())
}
