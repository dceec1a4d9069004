package midiin

import (
	"slices"
	"testing"

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
