package coach

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Source: every hand there is, tried one by one (reference_test.go).
func TestEconomy_EqualsExhaustiveSearch(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 2))
	for trial := range 6000 {
		n := randomNeck(r, 7)
		s := triedSystems[trial%len(triedSystems)]
		notes := randomLine(r, n, 1+r.IntN(6))
		if trial%5 == 0 {
			notes = grippedLine(r, n)
		}
		e := NewEconomy(n, s)
		for i, note := range notes {
			e.Note(note)
			all := groups(n, notes[:i+1], func(int) System { return s }, fitsSomewhere(n))
			want, travel := exhaust(n, all)
			require.Equal(t, want, e.Fewest(), "trial %d: %s on %+v: %+v", trial, s.Name, n, notes[:i+1])
			require.Equal(t, travel, e.LeastTravel(), "trial %d: %s on %+v: %+v", trial, s.Name, n, notes[:i+1])
		}
	}
}

// Source: as above, with the system declared anew in mid-line.
func TestEconomy_EqualsExhaustiveSearchAcrossSystems(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 4))
	for trial := range 2000 {
		n := randomNeck(r, 7)
		notes := randomLine(r, n, 2+r.IntN(5))
		declared := make([]System, len(notes))
		s := triedSystems[r.IntN(len(triedSystems))]
		e := NewEconomy(n, s)
		for i, note := range notes {
			// A new declaration ends a grip, which the reference knows by its name.
			if next := triedSystems[r.IntN(len(triedSystems))]; r.IntN(3) == 0 && (next.Name != s.Name || !note.Sounding) {
				s = next
				e.SetSystem(s)
			}
			declared[i] = s
			e.Note(note)
		}
		want, travel := exhaust(n, groups(n, notes, func(i int) System { return declared[i] }, fitsSomewhere(n)))
		require.Equal(t, want, e.Fewest(), "trial %d: %+v: %+v", trial, n, notes)
		require.Equal(t, travel, e.LeastTravel(), "trial %d: %+v: %+v", trial, n, notes)
	}
}

// The position that Economy shows must belong to a hand of the least cost: a
// line that ends there, on a note which only that position plays, costs no
// more.
func TestEconomy_PositionBelongsToACheapestHand(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 6))
	for trial := range 1500 {
		n := randomNeck(r, 7)
		s := triedSystems[trial%len(triedSystems)]
		notes := randomLine(r, n, 1+r.IntN(5))
		e := economyOf(n, s, notes)
		all := groups(n, notes, func(int) System { return s }, fitsSomewhere(n))
		fretted := false
		for _, g := range all {
			fretted = fretted || !g.free(n)
		}
		if !fretted {
			require.Zero(t, e.Position())
			continue
		}
		want, _ := exhaust(n, all)
		last := len(all) - 1
		for all[last].free(n) {
			last--
		}
		require.True(t, all[last].plays(n, e.Position()), "trial %d", trial)
		best := Cost{Shifts: 1 << 30}
		hands(n, all[:last+1], func(_, end int, c Cost) {
			if end == e.Position() && compareCosts(c, best) < 0 {
				best = c
			}
		})
		require.Equal(t, want, best, "trial %d", trial)
	}
}
