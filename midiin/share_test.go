package midiin

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// onOne is a track for each string of a line of one hand, all on channel 5, with names
// and what else comes first; further tracks follow.
func onOne(names []string, first [][]byte, further ...[]byte) []byte {
	tracks := make([][]byte, 4)
	for str := range tracks {
		own := slices.DeleteFunc(improvised(2, 200), func(n struck) bool { return n.ch != str })
		for i := range own {
			own[i].ch = 4
		}
		tracks[str] = strike(own)
		if first != nil {
			tracks[str] = append(slices.Clone(first[str]), tracks[str]...)
		}
		if names[str] != "" {
			tracks[str] = append(append([]byte{0, 0xFF, 3, byte(len(names[str]))}, names[str]...), tracks[str]...)
		}
	}
	return smfBytes(1, 96, append(tracks, further...)...)
}

// Tracks that are named as the strings of one bass are read as such, though they share
// a channel, and each note is on the string of its track.
func TestFile_ReadsStringsThatShareAChannel(t *testing.T) {
	t.Parallel()
	for _, names := range [][]string{{"Bass G", "Bass D", "Bass A", "Bass E"}, {"G string", "D string", "A string", "E string"}, {"String 1", "String 2", "String 3", "String 4"}} {
		f, err := ReadFile("one.mid", onOne(names, nil, append(keys.events(), 0, 0xFF, 0x2F, 0)), FileOptions{})
		require.NoError(t, err)
		assert.Contains(t, f.Track(), ` channel 5: `)
		assert.Contains(t, f.Track(), `one track a string`)
		assert.Contains(t, f.Track(), `; not read: 1 other track: track 5 "Keys" (128 notes)`)
		assert.Equal(t, 200, f.Notes())
		assert.Empty(t, f.Warnings())
		h := hear(t)
		c := NewCleaner(CleanerOptions{Open: bass4, Frets: 24, Strings: f.Strings(StringsOption{})}, h)
		for _, e := range collect(t, f) {
			c.Event(e)
		}
		require.Len(t, h.found, 1)
		assert.Equal(t, [16]int8{1, 2, 3, 4}, h.found[0].channel)
		assert.Equal(t, "tracks 1 2 3 4 are strings 1 2 3 4", f.Strings(StringsOption{}).Describe(h.found[0]))
		ns := improvised(2, 200)
		require.Len(t, h.notes, len(ns))
		for i, n := range h.notes[20:] {
			assert.Equal(t, ns[i+20].ch+1, n.String)
			assert.Equal(t, ns[i+20].pitch, n.Pitch)
		}
	}
}

// What a track bends is its string; a range holds for the channel, and so for all of
// them, wherever it is told.
func TestFile_BendsOneOfTheStringsThatShareAChannel(t *testing.T) {
	t.Parallel()
	names := []string{"Bass G", "Bass D", "Bass A", "Bass E"}
	bent := [][]byte{unhex(t, "00E40060"), unhex(t, "00B46500 00B46400 00B4060C"), nil, nil}
	conductor := unhex(t, "00B40A10 00E41050"+end)
	f, err := ReadFile("one.mid", onOne(names, bent, conductor), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, []string{"B00A10", "B10A10", "B20A10", "B30A10", "E01050", "E11050", "E21050", "E31050", "E00060",
		"B06500", "B16500", "B26500", "B36500", "B06400", "B16400", "B26400", "B36400", "B0060C", "B1060C", "B2060C", "B3060C"}, func() (ms []string) {
		for _, m := range messages(collect(t, f)) {
			if m.msg[0] == 'B' || m.msg[0] == 'E' {
				ms = append(ms, m.msg)
			}
		}
		return ms
	}())
}

// Without names that say so, tracks on one channel may be parts of a line one after the
// other: that is said, and one of them read.
func TestFile_WarnsOfTracksThatShareAChannel(t *testing.T) {
	t.Parallel()
	for _, names := range [][]string{{"", "", "", ""}, {"Bass 1", "Bass 2", "Bass 3", "Bass 4"}, {"Bass E", "Bass E", "Bass A", "Bass E"}, {"Bass", "Bass D", "Bass A", "Bass E"}} {
		data := onOne(names, nil)
		f, err := ReadFile("one.mid", data, FileOptions{})
		require.NoError(t, err)
		assert.Less(t, f.Notes(), 200)
		require.Len(t, f.Warnings(), 1)
		assert.Regexp(t, `^tracks \d, \d, \d \(\d+ notes\) share channel 5 with track \d and are not read: if these are strings of one bass, name each track after its string, as "Bass E" and "Bass A"$`, f.Warnings()[0])
		f, err = ReadFile("one.mid", data, FileOptions{Track: "2"})
		require.NoError(t, err)
		assert.Empty(t, f.Warnings(), "asked for")
	}
	// Nor are those strings that no hand plays, and they are not said to be.
	two := func(low, high int) []byte { return strike(inTurn(60, [2]int{0, low}, [2]int{0, high})) }
	f, err := ReadFile("one.mid", smfBytes(1, 96, two(40, 43), two(40, 43), two(40, 43)), FileOptions{})
	require.NoError(t, err)
	assert.Empty(t, f.Warnings())
	// One of the strings alone is read as it came.
	f, err = ReadFile("one.mid", onOne([]string{"Bass G", "Bass D", "Bass A", "Bass E"}, nil), FileOptions{Track: "2"})
	require.NoError(t, err)
	for _, e := range collect(t, f) {
		assert.Equal(t, byte(4), e.Data[0]&0x0F)
	}
	assert.NotContains(t, f.Track(), "string")
}
