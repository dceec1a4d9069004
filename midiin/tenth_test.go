package midiin

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// wired is an improvised line with the four strings on these channels, from 1.
func wired(seed uint64, channels ...int) []struck {
	ns := improvised(seed, 200)
	for i := range ns {
		ns[i].ch = channels[ns[i].ch] - 1
	}
	return ns
}

// kit is a beat without chords, bass drum, snare, hats and cymbals of General MIDI 1 on
// channel 10, some of it left out.
func kit(seed uint64) (ns []struck) {
	r := rand.New(rand.NewPCG(seed, 3))
	for i := range 200 {
		key := []int{36, 42, 38, 42, 36, 36, 38, 46}[i%8]
		if r.IntN(16) == 0 {
			key = 49
		}
		if r.IntN(10) > 0 {
			ns = append(ns, struck{48 * i, 48*i + 6 + r.IntN(40), percussion, key})
		}
	}
	return ns
}

// A converter may have its strings on channels 7 to 10, 8 to 11 or 10 to 13 as well as
// on any other four.
func TestFile_ReadsAStringOnChannel10(t *testing.T) {
	t.Parallel()
	for _, channels := range [][]int{{7, 8, 9, 10}, {10, 9, 8, 7}, {8, 9, 10, 11}, {11, 10, 9, 8}, {10, 11, 12, 13}, {13, 12, 11, 10}} {
		found := 0
		for seed := range uint64(10) {
			ns := wired(seed, channels...)
			f, err := ReadFile("ten.mid", smfBytes(0, 96, strike(ns)), FileOptions{})
			require.NoError(t, err)
			if f.Notes() < len(ns) {
				continue
			}
			found++
			assert.Contains(t, f.Track(), "one channel a string")
			assert.False(t, f.Drums())
			h := hear(t)
			c := NewCleaner(CleanerOptions{Open: bass4, Frets: 24, Strings: f.Strings(StringsOption{})}, h)
			for _, e := range collect(t, f) {
				c.Event(e)
			}
			assert.Len(t, h.notes, len(ns), "none is left out as drums")
			pitch, err := ParseStrings("pitch")
			require.NoError(t, err)
			assert.True(t, f.Strings(pitch).ten, "nor where pitch alone counts")
		}
		assert.GreaterOrEqual(t, found, 9, channels)
	}
	f, err := ReadFile("ten.mid", smfBytes(0, 96, strike(wired(1, 1, 2, 3, 4))), FileOptions{})
	require.NoError(t, err)
	assert.Zero(t, f.Strings(StringsOption{}))
}

// Tracks of their own that name strings are strings on whatever channel.
func TestFile_ReadsANamedStringOnChannel10(t *testing.T) {
	t.Parallel()
	on := func(name string, ch byte, pitches ...byte) voicing { return voicing{name, ch, -1, pitches, false, 0} }
	f, err := ReadFile("ten.mid", song(1, keys, on("Bass G", 9, 43, 45), on("Bass D", 4, 38, 41)), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, 2*32, f.Notes())
	assert.True(t, f.Strings(StringsOption{}).ten)
	f, err = ReadFile("ten.mid", song(1, keys, on("Bass", 4, 38, 41), on("Kit", 9, 36, 38)), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, 32, f.Notes())
}

func TestFile_TakesNoDrumsForAString(t *testing.T) {
	t.Parallel()
	const silent = 16
	for seed := range uint64(20) {
		for _, channels := range [][]int{{6, 7, 8, 9}, {9, 8, 7, 6}, {11, 12, 13, 14}, {14, 13, 12, 11}, {1, 2, 3, 4}, {9, 8, 7, silent}, {silent, 13, 12, 11}, {silent, 14, 13, 12}, {8, 7, 6, silent}, {silent, 15, 14, 12}, {8, 9, silent, silent}, {silent, silent, 12, 11}} {
			ns := slices.DeleteFunc(wired(seed, channels...), func(n struck) bool { return n.ch == silent-1 })
			all := append(slices.Clip(ns), kit(seed)...)
			for _, data := range [][]byte{smfBytes(0, 96, strike(all)), smfBytes(1, 96, apart(all)...)} {
				f, err := ReadFile("kit.mid", data, FileOptions{})
				require.NoError(t, err)
				assert.LessOrEqual(t, f.Notes(), len(ns), "seed %d, channels %v", seed, channels)
				assert.False(t, f.Strings(StringsOption{}).ten)
			}
		}
	}
}

// The player's word counts for channel 10 too, live and in files, beside others and
// alone.
func TestStrings_ChannelTenIsTheStringThatThePlayerSays(t *testing.T) {
	t.Parallel()
	for told, ns := range map[string][]struck{
		"10=1,7=2,8=3,9=4":  wired(1, 10, 7, 8, 9),
		"7=1,8=2,9=3,10=4":  wired(1, 7, 8, 9, 10),
		"1=1,10=2,3=3,12=4": wired(1, 1, 10, 3, 12),
		"10=1":              inTurn(60, [2]int{9, 43}, [2]int{9, 45}),
	} {
		o, err := ParseStrings(told)
		require.NoError(t, err)
		f, err := ReadFile("ten.mid", smfBytes(0, 96, strike(ns)), FileOptions{Strings: o})
		require.NoError(t, err)
		assert.Equal(t, len(ns), f.Notes(), told)
		assert.False(t, f.Drums(), told)
		assert.Empty(t, f.Warnings(), told)
		assert.Equal(t, o, f.Strings(o), told)
		h := hear(t)
		c := NewCleaner(CleanerOptions{Open: bass4, Frets: 24, Strings: o}, h) // as live
		for _, e := range collect(t, f) {
			c.Event(e)
		}
		require.Len(t, h.notes, len(ns), told)
		for _, n := range h.notes {
			assert.NotZero(t, n.String, told)
		}
	}
}
