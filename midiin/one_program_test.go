package midiin

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// oneTrack is a track of a bass with a channel a string, one program a string,
// -1 for none.
func oneTrack(programs ...int) []byte {
	open := []byte{43, 38, 33, 28}
	var b []byte
	for i, p := range programs {
		name := ""
		if i == 0 {
			name = "Bass"
		}
		b = append(b, voicing{name, byte(i), p, []byte{open[i], open[i] + 3}, false, 0}.events()...)
	}
	return append(b, 0, 0xFF, 0x2F, 0)
}

func TestFile_ReadsStringsOfWhichOneHasAProgram(t *testing.T) {
	t.Parallel()
	for name, programs := range map[string][]int{
		"the first":  {33, -1, -1, -1},
		"a later":    {-1, -1, 33, -1},
		"two":        {33, -1, 33, -1},
		"all":        {33, 33, 33, 33},
		"none":       {-1, -1, -1, -1},
		"not a bass": {24, -1, -1, -1},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := ReadFile("strings.mid", smfBytes(1, 96, oneTrack(programs...)), FileOptions{})
			require.NoError(t, err)
			assert.Contains(t, f.Track(), `track 1 "Bass" channels 1, 2, 3, 4: `)
			assert.Contains(t, f.Track(), "one channel a string")
			assert.Equal(t, 4*32, notesIn(collect(t, f)))
			assert.Zero(t, unread(t, f))
			assert.Empty(t, f.Warnings())
		})
	}
}

func TestFile_ProgramsTellPartsApart(t *testing.T) {
	t.Parallel()
	f, err := ReadFile("parts.mid", smfBytes(1, 96, oneTrack(24, 24, 24, 33)), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, `track 1 "Bass" channel 4: bass program 34, one note at a time, the lowest part; not read: channels 1, 2, 3 (96 notes)`, f.Track())
	assert.Empty(t, f.Warnings())
}

// struckTogether is two channels that no program tells apart and that are no
// strings by evidence: the upper one strikes chords.
func struckTogether() []byte {
	return smfBytes(1, 96, slicesConcat(voicing{"Bass", 1, 33, []byte{28, 31}, false, 0}.events(),
		voicing{"", 0, -1, []byte{43, 46, 50}, true, 0}.events(), []byte{0, 0xFF, 0x2F, 0}))
}

func TestFile_WarnsOfChannelsThatMayBelongToTheLine(t *testing.T) {
	t.Parallel()
	f, err := ReadFile("chords.mid", struckTogether(), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, `track 1 "Bass" channel 2: bass program 34, one note at a time, the lowest part; not read: channel 1 (96 notes)`, f.Track())
	assert.Equal(t, []string{"track 1: channel 1 (96 notes) not read, though no program tells it from what is read: if these are strings of one bass, name all its channels with --strings, as channel=string pairs"}, f.Warnings())
	f, err = ReadFile("chords.mid", struckTogether(), FileOptions{Track: "channel 2"})
	require.NoError(t, err)
	assert.Empty(t, f.Warnings(), "asked for by its channel")
}

func TestFile_ReadsTheChannelsThatThePlayerNames(t *testing.T) {
	t.Parallel()
	for want, c := range map[string]struct {
		strings string
		notes   int
	}{
		"all":                    {"1=1,2=4", 4 * 32},
		"one of them":            {"1=1", 3 * 32},
		"with others":            {"1=1,2=4,5=2", 4 * 32},
		"none that the file has": {"7=1", 32},
	} {
		o, err := ParseStrings(c.strings)
		require.NoError(t, err)
		for _, track := range []string{"", "1", "bass"} {
			f, err := ReadFile("chords.mid", struckTogether(), FileOptions{Track: track, Strings: o})
			require.NoError(t, err)
			assert.Equal(t, c.notes, notesIn(collect(t, f)), "%s, track %q", want, track)
			assert.Equal(t, 4*32-c.notes, unread(t, f), "%s, track %q", want, track)
		}
	}
}
