package midiin

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseStrings_ReadsListsAndRefusesInOneLine(t *testing.T) {
	t.Parallel()
	for _, s := range []string{"", "auto", " auto "} {
		o, err := ParseStrings(s)
		require.NoError(t, err)
		assert.Zero(t, o)
	}
	o, err := ParseStrings("16=1, 2 =4")
	require.NoError(t, err)
	assert.Equal(t, [16]int8{1: 4, 15: 1}, o.channel)
	for s, want := range map[string]string{
		"guitar":  `"guitar" is no pair`,
		"1=4,2":   `"2" is no pair`,
		"1=4,x=2": `"x=2" is no pair`,
		"0=1":     "channel 0: MIDI has channels 1 to 16",
		"17=1":    "channel 17: MIDI has channels 1 to 16",
		"1=0":     "string 0: from 1, the highest, to 12",
		"1=13":    "string 13: from 1, the highest, to 12",
		"1=1,1=2": "channel 1 is named twice",
		"1=1,2=1": "string 1 is named twice",
	} {
		_, err := ParseStrings(s)
		require.Error(t, err, s)
		assert.Contains(t, err.Error(), want)
		assert.Contains(t, err.Error(), s)
		assert.NotContains(t, err.Error(), "\n")
	}
}

func TestStringMap_KnowsStringsAndTheirFrets(t *testing.T) {
	t.Parallel()
	m := StringMap{channel: [16]int8{0: 1, 1: 2, 2: 3, 3: 4, 4: 5}, open: bass4, frets: 22}
	assert.Equal(t, 1, m.String(0, 43))
	assert.Equal(t, 4, m.String(3, 28))
	assert.Equal(t, 4, m.String(3, 50))
	assert.Zero(t, m.String(3, 51), "behind the last fret")
	assert.Zero(t, m.String(0, 42), "below the open string")
	assert.Zero(t, m.String(4, 40), "a string that the neck does not have")
	assert.Zero(t, m.String(5, 40))
	assert.True(t, m.known())
	assert.False(t, StringMap{}.known())
	assert.Zero(t, StringMap{}.String(3, 40))
	assert.Equal(t, "channels 1 2 3 4 5 are strings 1 2 3 4 5", StringsOption{}.Describe(m))
	assert.Equal(t, "tracks 7 9 are strings 1 2", StringsOption{track: [16]int{7, 9}}.Describe(m))
	assert.Equal(t, "channels tell no strings", StringsOption{}.Describe(StringMap{}))
}

// scale plays notes of 200 ms one after another: channel and key.
func scale(notes ...[2]int) (es []Event) {
	for i, n := range notes {
		at := time.Duration(i) * 250 * ms
		es = append(es, on(at, n[0], n[1], 80), off(at+200*ms, n[0], n[1]))
	}
	return es
}

// cMajor is one octave from string 3, fret 3, one finger a fret: strings 3 3 2 2
// 2 1 1 1, frets 3 5 2 3 5 2 4 5 (common practice), string n on channel n+by.
func cMajor(by int) []Event {
	return scale([2]int{3 + by, 36}, [2]int{3 + by, 38}, [2]int{2 + by, 40}, [2]int{2 + by, 41}, [2]int{2 + by, 43}, [2]int{1 + by, 45}, [2]int{1 + by, 47}, [2]int{1 + by, 48})
}

func TestCleaner_FindsStrings(t *testing.T) {
	t.Parallel()
	h := clean(t, CleanerOptions{}, cMajor(0))
	require.Len(t, h.found, 1)
	assert.Equal(t, [16]int8{1, 2, 3, 4}, h.found[0].channel)
	last := h.notes[len(h.notes)-1]
	assert.Equal(t, 1, last.String)
	// The note that decided has its string already.
	for i, x := range h.log {
		if _, ok := x.(StringMap); ok {
			assert.NotZero(t, h.log[i+1].(Note).String)
		}
	}
}

func TestCleaner_BelievesModeMessages(t *testing.T) {
	t.Parallel()
	// MIDI 1.0, mode 4: omni off (124) and mono (126) on channel N; four channels
	// from there on carry the strings. Without, channels 3 to 5 would be taken
	// for the first three strings of a converter on channels 3 to 6, or the
	// last of one on 2 to 5.
	told := []Event{control(0, 2, 124, 0), control(0, 2, 126, 4)}
	h := clean(t, CleanerOptions{}, append(told, cMajor(1)...))
	require.NotEmpty(t, h.found)
	assert.Equal(t, [16]int8{1: 1, 2: 2, 3: 3, 4: 4}, h.found[len(h.found)-1].channel)
	// Told for one channel after the other, from the top, the lowest is the first.
	h = clean(t, CleanerOptions{}, append(append([]Event{control(0, 5, 126, 1), control(0, 4, 126, 1), control(0, 3, 126, 1)}, told...), cMajor(1)...))
	require.NotEmpty(t, h.found)
	assert.Equal(t, [16]int8{1: 1, 2: 2, 3: 3, 4: 4}, h.found[len(h.found)-1].channel)
	// Many voices (127) end mode 4: what it said of other channels is void.
	require.Empty(t, clean(t, CleanerOptions{}, cMajor(1)).found, "alone the notes leave it open")
	h = clean(t, CleanerOptions{}, append(append(told, control(0, 16, 127, 0)), cMajor(1)...))
	assert.Empty(t, h.found)
	// A channel told to play many voices is no string.
	h = clean(t, CleanerOptions{}, append([]Event{control(0, 2, 127, 0)}, cMajor(0)...))
	assert.Empty(t, h.found)
}

func TestCleaner_FindsNoStringsWhereThereAreNone(t *testing.T) {
	t.Parallel()
	chords := func() (es []Event) { // a keyboard split over two channels
		for i := range 30 {
			at := time.Duration(i) * 250 * ms
			for _, key := range []int{48, 52, 55} {
				es = append(es, on(at, 1, key, 80))
			}
			es = append(es, on(at, 2, 33+i%5, 80))
			for _, key := range []int{48, 52, 55} {
				es = append(es, off(at+200*ms, 1, key))
			}
			es = append(es, off(at+200*ms, 2, 33+i%5))
		}
		return es
	}
	layered := func() (es []Event) { // one keyboard on two channels at once
		for i := range 30 {
			at, key := time.Duration(i)*250*ms, 33+i%12
			es = append(es, on(at, 1, key, 80), on(at+ms, 2, key, 80), off(at+200*ms, 1, key), off(at+200*ms, 2, key))
		}
		return es
	}
	apart := func() []Event { // a bass and a flute
		var ns [][2]int
		for i := range 30 {
			ns = append(ns, [2]int{1 + i%2, []int{33, 74}[i%2] + i%5})
		}
		return scale(ns...)
	}
	roaming := func() []Event { // a keyboard split in two, both hands all over the neck
		var ns [][2]int
		for i := range 60 {
			ns = append(ns, [2]int{1 + i%2, []int{29, 33}[i%2] + (i*7)%32})
		}
		return scale(ns...)
	}
	single, _ := steady(60, 1)
	o, err := ParseStrings("pitch")
	require.NoError(t, err)
	for name, c := range map[string]struct {
		es []Event
		o  CleanerOptions
	}{
		"one channel":         {single, CleanerOptions{}},
		"chords on a channel": {chords(), CleanerOptions{}},
		"a layered keyboard":  {layered(), CleanerOptions{}},
		"a bass and a flute":  {apart(), CleanerOptions{}},
		"more than a string":  {roaming(), CleanerOptions{}},
		"told not to":         {cMajor(0), CleanerOptions{Strings: o}},
		"keys":                {cMajor(0), CleanerOptions{Mode: Keyboard}},
	} {
		h := clean(t, c.o, c.es)
		assert.Empty(t, h.found, name)
		for _, n := range h.notes {
			assert.Zero(t, n.String, name)
		}
	}
}

func TestCleaner_TakesThePlayersWordForStrings(t *testing.T) {
	t.Parallel()
	o, err := ParseStrings("1=3,2=2,3=1")
	require.NoError(t, err)
	h := clean(t, CleanerOptions{Strings: o}, scale([2]int{1, 33}, [2]int{2, 38}, [2]int{3, 43}, [2]int{3, 42}))
	require.Len(t, h.found, 1)
	var strings []int
	for _, n := range h.notes {
		strings = append(strings, n.String)
	}
	assert.Equal(t, []int{3, 2, 1, 0}, strings, "a pitch below the open string has no string, but stays")
}

func TestCleaner_EndsANoteWhenItsStringSoundsAnother(t *testing.T) {
	t.Parallel()
	o, err := ParseStrings("1=1,2=2,3=3,4=4")
	require.NoError(t, err)
	h := clean(t, CleanerOptions{Strings: o}, []Event{on(0, 4, 28, 80), on(200*ms, 4, 31, 80), on(300*ms, 3, 36, 80), off(400*ms, 4, 28), off(500*ms, 4, 31), off(600*ms, 3, 36)})
	assert.Equal(t, map[int]time.Duration{0: 200 * ms, 1: 500 * ms, 2: 600 * ms}, h.offs)
	assert.False(t, h.notes[1].Sounding, "one string, one note")
	assert.True(t, h.notes[2].Sounding)
}
