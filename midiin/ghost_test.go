package midiin

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The running median is that of the sorted velocities.
func TestLoudness_IsTheMedianOfTheNewest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var l loudness
		var all []uint8
		for _, v := range rapid.SliceOfN(rapid.Uint8Range(1, 127), 0, 60).Draw(t, "velocities") {
			l.add(v)
			all = append(all, v)
			newest := slices.Sorted(slices.Values(all[max(0, len(all)-len(l.ring)):]))
			want := 0
			if len(all) >= leastLoudness {
				want = int(newest[(len(newest)-1)/2])
			}
			if l.usual() != want {
				t.Fatalf("%d for the median of %v", l.usual(), newest)
			}
		}
	})
}

// A louder note counts as struck together up to near before, and no longer.
func TestOnsets_LoudestLooksBackSoFar(t *testing.T) {
	t.Parallel()
	var o onsets
	o.add(onset{at: 0, velocity: 120})
	o.add(onset{at: 10 * ms, velocity: 70})
	assert.Equal(t, 120, o.loudest(near))
	assert.Equal(t, 70, o.loudest(near+1))
	assert.Equal(t, 120, o.loudest(5*ms), "not what came after")
	assert.Zero(t, o.loudest(10*ms+near+1))
}

// The time of a release is that of its key, not of one struck before.
func TestOnsets_OverIsOfTheNewestOfAKey(t *testing.T) {
	t.Parallel()
	var o onsets
	o.add(onset{at: 0, channel: 1, key: 40, velocity: 100})
	o.over(1, 40, 5*ms)
	o.add(onset{at: 50 * ms, channel: 1, key: 40, velocity: 90})
	o.over(1, 40, 60*ms)
	assert.Equal(t, 5*ms, o.ring[0].off)
	assert.Equal(t, 60*ms, o.ring[1].off)
	_, released := o.cause(&voice{at: 60*ms + near, velocity: 10})
	assert.True(t, released)
	_, released = o.cause(&voice{at: 60*ms + near + 1, velocity: 10})
	assert.False(t, released)
}

// With the delay undone a low note begins before the release that was heard
// before it: the note before still sounded then.
func TestCleaner_SoundsOnWhereTheDelayIsUndone(t *testing.T) {
	t.Parallel()
	es, at := steady(8, 1)
	es = append(es, on(at, 1, 45, 80), off(at+200*ms, 1, 45), on(at+205*ms, 2, 28, 80), off(at+400*ms, 2, 28))
	h := clean(t, CleanerOptions{Mode: Pickup}, es)
	require.Len(t, h.notes, 10)
	last := h.notes[9]
	assert.Equal(t, 28, last.Pitch)
	assert.True(t, last.Sounding, "E1 takes a converter 36 ms")
	assert.Zero(t, last.Gap)
}
