package coach

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// goAlong is the rule of AsYouGo said once more, slowly: at each group look at
// every position and take the nearest that plays it.
func goAlong(n Neck, all []group) (shifts, travel, position int) {
	for _, g := range all {
		if g.free(n) {
			continue
		}
		from := position
		if position == 0 {
			from = wanted(n, g)
		}
		to, best := 0, 1<<30
		for p := 1; p <= n.Frets; p++ {
			if d := max(p-from, from-p); g.plays(n, p) && d < best {
				to, best = p, d
			}
		}
		if position != 0 && to != position {
			shifts++
			travel += best
		}
		position = to
	}
	return shifts, travel, position
}

// wanted is the position that puts the second finger on the lowest place of
// the group's first fretted note that some hand has in its window with the group;
// below the neck if no note needs a finger by itself.
func wanted(n Neck, g group) int {
	for _, note := range g.notes {
		if (group{g.system, []Note{note}}).free(n) {
			continue
		}
		lowest := 1 << 30
		for _, place := range candidates(n, note) {
			alone := group{g.system, []Note{{Pitch: note.Pitch, String: place.String}}}
			for p := 1; p <= n.Frets; p++ {
				if g.plays(n, p) && alone.plays(n, p) {
					lowest = min(lowest, place.Fret)
				}
			}
		}
		return lowest - g.system.Fingers[1].Offset
	}
	return 0
}

// The rule of the model (DEVELOPERS.md), carried out slowly on every position.
func TestAsYouGo_EqualsSlowReference(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(21, 22))
	for trial := range 4000 {
		n := randomNeck(r, 14)
		s := triedSystems[trial%len(triedSystems)]
		notes := randomLine(r, n, 1+r.IntN(10))
		a := NewAsYouGo(n, s)
		for i, note := range notes {
			a.Note(note)
			shifts, travel, position := goAlong(n, groups(n, notes[:i+1], func(int) System { return s }, fitsSomewhere(n)))
			got := [3]int{a.Shifts(), a.Travel(), a.Position()}
			require.Equal(t, [3]int{shifts, travel, position}, got, "trial %d: %s on %+v: %+v", trial, s.Name, n, notes[:i+1])
		}
	}
}

// No hand beats the optimum, and not knowing what comes costs something.
func TestAsYouGo_NeverBeatsTheFewest(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 24)
	for _, s := range []System{Four, Three} {
		notes := wandering(n, 3000, true)
		e, a := NewEconomy(n, s), NewAsYouGo(n, s)
		for _, note := range notes {
			e.Note(note)
			a.Note(note)
			require.GreaterOrEqual(t, a.Shifts(), e.Fewest().Shifts)
			require.GreaterOrEqual(t, a.Travel(), e.LeastTravel())
		}
		assert.Greater(t, a.Shifts(), e.Fewest().Shifts)
	}
}

// Rule of the model (DEVELOPERS.md): the first fretted note goes under the second finger where
// the neck allows, and a hand that must move goes no further than it must.
func TestAsYouGo_StartsUnderTheSecondFinger(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAsYouGo(n, Four)
	for _, c := range []struct {
		place                    Place
		position, shifts, travel int
	}{
		{Place{4, 0}, 0, 0, 0},
		{Place{3, 8}, 7, 0, 0},
		{Place{3, 10}, 7, 0, 0},
		{Place{3, 11}, 8, 1, 1},
		{Place{3, 4}, 4, 2, 5},
		{Place{3, 0}, 4, 2, 5},
	} {
		a.Note(places(n, c.place)[0])
		assert.Equal(t, [3]int{c.position, c.shifts, c.travel}, [3]int{a.Position(), a.Shifts(), a.Travel()}, "%v", c.place)
	}
	a.SetSystem(Three)
	a.Note(places(n, Place{3, 6})[0])
	assert.Equal(t, 4, a.Position(), "fret 6 is in the window of three")
	a.Note(places(n, Place{3, 7})[0])
	assert.Equal(t, 5, a.Position())
	// The hand of four stays at 4; the system that comes next does not begin anew with
	// the note before, though its own note is struck together with that.
	a = NewAsYouGo(n, Four)
	a.Note(places(n, Place{4, 5})[0])
	a.SetSystem(Three)
	together := places(n, Place{3, 7})[0]
	together.Sounding = true
	a.Note(together)
	assert.Equal(t, [3]int{5, 1, 1}, [3]int{a.Position(), a.Shifts(), a.Travel()})
	a = NewAsYouGo(n, Three)
	a.Note(places(n, Place{1, 1})[0])
	assert.Equal(t, 1, a.Position(), "no room for the first finger below fret 1")
}

// A2 lies lowest at fret 2 of the G string, where no hand has D3 beside it: the
// second finger goes to fret 7 of the D string, and C3 is out of the window.
func TestAsYouGo_StartsWithItsGrip(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	for _, s := range Systems {
		a := NewAsYouGo(n, s)
		a.Note(Note{Pitch: 45})
		a.Note(Note{Pitch: 50, Sounding: true})
		assert.Equal(t, 6, a.Position())
		a.Note(Note{Pitch: 48, At: time.Second})
		assert.Equal(t, 1, a.Shifts())
	}
}
