package guests

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session/internal/players"
)

const (
	seeds = 6
	notes = 400
)

// travels are the sets whose hands may move to where an open string finds them.
var travels = map[string]bool{"players": true, "fourth": true, "fifth": true}

// Every player of every set plays what a hand can play, the same again from the
// same seed. The rules are common practice.
func TestSets_TakesAreSound(t *testing.T) {
	t.Parallel()
	for _, set := range Sets {
		require.Len(t, set.Families, 5, set.Name)
		for _, f := range set.Families {
			t.Run(set.Name+" "+f.Name, func(t *testing.T) {
				t.Parallel()
				for seed := range uint64(seeds) {
					take := f.Play(seed, notes)
					require.Equal(t, take, f.Play(seed, notes), "seed %d", seed)
					require.Len(t, take.Hits, notes)
					require.Len(t, f.Play(seed, 1).Hits, 1)
					assert.NotZero(t, take.Shifts(), "seed %d", seed)
					sound(t, take, fmt.Sprintf("seed %d", seed))
					if !travels[set.Name] {
						openStringsStay(t, take, seed)
					}
					if set.Name == "fourth" || set.Name == "fifth" {
						pitchesPart(t, take, seed)
					}
				}
			})
		}
	}
}

// sound holds one take against what a hand on a neck can do.
func sound(t *testing.T, take players.Take, who string) {
	t.Helper()
	width, extended := take.System.Width(), 0
	until := make([]time.Duration, take.Neck.Strings()+1) // by string
	for i, h := range take.Hits {
		at := fmt.Sprintf("%s, note %d: %+v", who, i, h)
		require.True(t, h.Place.String >= 1 && h.Place.String <= take.Neck.Strings(), at)
		require.True(t, h.Place.Fret >= 0 && h.Place.Fret <= take.Neck.Frets, at)
		require.True(t, h.Position >= 1 && h.Position <= take.Neck.Positions(width), at)
		require.True(t, h.Velocity >= 1 && h.Velocity <= 127, at)
		require.Greater(t, h.Off, h.On, at)
		if !take.System.Covers(h.Position, h.Place) {
			require.True(t, h.Place.Fret == h.Position-1 || h.Place.Fret == h.Position+width, "out of reach: %s", at)
			extended++
		}
		require.LessOrEqual(t, until[h.Place.String], h.On, "a string sounds one note at a time: %s", at)
		until[h.Place.String] = h.Off
		if i == 0 {
			require.False(t, h.Slid, at)
			continue
		}
		b := take.Hits[i-1]
		require.Greater(t, h.On, b.On, at)
		if h.Slid {
			require.True(t, b.Place.String == h.Place.String && b.Position != h.Position, "no way to slide: %s", at)
		}
	}
	assert.LessOrEqual(t, extended, len(take.Hits)/20, "%s: reaching out of the window is rare", who)
}

// openStringsStay holds that a move counts from the stopped note it is made for.
func openStringsStay(t *testing.T, take players.Take, seed uint64) {
	t.Helper()
	for i, h := range take.Hits {
		if i > 0 && h.Place.Fret == 0 {
			require.Equal(t, take.Hits[i-1].Position, h.Position, "seed %d, note %d", seed, i)
		}
	}
}

// pitchesPart holds that a take fits one channel: a pitch ends before it sounds
// again on another string.
func pitchesPart(t *testing.T, take players.Take, seed uint64) {
	t.Helper()
	until := map[int]time.Duration{}
	for i, h := range take.Hits {
		pitch := take.Neck.Pitch(h.Place)
		require.LessOrEqual(t, until[pitch], h.On, "seed %d, note %d", seed, i)
		until[pitch] = h.Off
	}
}
