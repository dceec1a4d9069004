package midiin

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// improvised is a line of eighths of one hand that moves now and then, on the
// strings of G2 D2 A1 E1 (common practice), a channel a string from channel 1.
func improvised(seed uint64, notes int) (ns []struck) {
	r := rand.New(rand.NewPCG(seed, 9))
	open := []int{43, 38, 33, 28}
	position, str := 1+r.IntN(8), r.IntN(4)
	for i := range notes {
		if r.IntN(16) == 0 {
			position = max(1, position+r.IntN(7)-3)
		}
		if r.IntN(2) == 0 {
			str = min(max(str+r.IntN(3)-1, 0), 3)
		}
		ns = append(ns, struck{48 * i, 48*i + 40, str, open[str] + position + []int{0, 2, 3}[r.IntN(3)]})
	}
	return ns
}

// The same line is strings where each pitch keeps its channel, and one voice where
// each note has the next of three and more channels.
func TestFile_TellsTurnsFromStrings(t *testing.T) {
	t.Parallel()
	read := func(ns []struck) *File {
		f, err := ReadFile("turns.mid", smfBytes(0, 96, strike(ns)), FileOptions{})
		require.NoError(t, err)
		require.Equal(t, len(ns), f.Notes())
		return f
	}
	for seed := range uint64(30) {
		ns := improvised(seed, 160)
		f := read(ns)
		assert.Contains(t, f.Track(), "one channel a string", seed)
		assert.Zero(t, f.Strings(StringsOption{}), seed)
		for channels := 3; channels <= 8; channels++ {
			for i := range ns {
				ns[i].ch = i % channels
			}
			f := read(ns)
			assert.NotContains(t, f.Track(), "one channel a string", "seed %d, %d channels", seed, channels)
			h := hear(t)
			c := NewCleaner(CleanerOptions{Open: bass4, Frets: 22, Strings: f.Strings(StringsOption{})}, h)
			for _, e := range collect(t, f) {
				c.Event(e)
			}
			assert.Empty(t, h.found, "seed %d, %d channels", seed, channels)
		}
	}
	ns := improvised(0, 160)
	for i := range ns {
		ns[i].ch = i % 3
	}
	told, err := ParseStrings("1=1,2=2,3=3,4=4")
	require.NoError(t, err)
	assert.Equal(t, told, read(ns).Strings(told), "the player's word")
}

// Live the first notes may look like strings by chance; not often.
func TestCleaner_TakesNoTurnsForStrings(t *testing.T) {
	t.Parallel()
	found := map[int]int{}
	for seed := range uint64(60) {
		for _, channels := range []int{0, 3, 4} {
			var es []Event
			ns := improvised(seed, 160)
			for i, n := range ns {
				ch := n.ch + 1
				if channels > 0 {
					ch = i%channels + 1
				}
				es = append(es, on(time.Duration(n.from)*5*ms, ch, n.pitch, 80), off(time.Duration(n.to)*5*ms, ch, n.pitch))
			}
			if h := clean(t, CleanerOptions{}, es); len(h.found) > 0 {
				found[channels]++
			}
		}
	}
	t.Logf("of 60 lines: %d on strings, %d on three channels in turn, %d on four", found[0], found[3], found[4])
	assert.Greater(t, found[0], 55)
	assert.Less(t, found[3], 10)
	assert.Less(t, found[4], 10)
}
