package midiin

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// zoneOf declares an MPE zone: registered parameter 6, sent on the manager channel,
// 1 or 16, with the number of member channels next to it (MPE 1.0).
func zoneOf(manager, members int) []Event {
	return []Event{control(0, manager, 101, 0), control(0, manager, 100, 6), control(0, manager, 6, members)}
}

// fileOf is a track of events that come at its start, and then of notes.
func fileOf(es []Event, ns []struck) (b []byte) {
	for _, e := range es {
		b = append(b, 0, e.Data[0], e.Data[1], e.Data[2])
	}
	return append(b, strike(ns)...)
}

// onMembers gives each note the next of some channels, as MPE wants each sounding
// note on one of its own.
func onMembers(notes int, channels ...int) []struck {
	ns := inTurn(notes, [2]int{0, 33}, [2]int{0, 36}, [2]int{0, 40}, [2]int{0, 35}, [2]int{0, 45}, [2]int{0, 28}, [2]int{0, 31})
	for i := range ns {
		ns[i].ch = channels[i%len(channels)]
	}
	return ns
}

func TestFile_ReadsAnMPEZone(t *testing.T) {
	t.Parallel()
	lower := []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}
	drums := inTurn(60, [2]int{9, 36}, [2]int{9, 42})
	for name, c := range map[string]struct {
		tracks [][]byte
		want   string
	}{
		"all channels above 1":  {[][]byte{fileOf(zoneOf(1, 15), onMembers(60, lower...))}, "track 1 channels 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16: an MPE zone"},
		"some below 16":         {[][]byte{fileOf(zoneOf(16, 4), onMembers(60, 14, 13, 12, 11))}, "track 1 channels 12, 13, 14, 15: an MPE zone"},
		"chords, for keys":      {[][]byte{fileOf(zoneOf(1, 4), atOnce(onMembers(60, 1, 2), 3, 52))}, "track 1 channels 2, 3, 4: an MPE zone"},
		"declared in a track 1": {[][]byte{fileOf(zoneOf(1, 15), nil), fileOf(nil, onMembers(60, lower...))}, "track 2 channels 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16: an MPE zone"},
		"drums on a track of their own": {[][]byte{fileOf(zoneOf(1, 15), onMembers(60, lower...)), strike(drums)},
			"track 1 channels 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16: an MPE zone; not read: 1 other track: track 2 (60 notes)"},
		"no zone declared, one voice": {[][]byte{strike(onMembers(60, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12))}, "track 1 channels 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13: the only part with notes"},
		"no zone, one voice, beside keys": {[][]byte{strike(atOnce(inTurn(60, [2]int{0, 60}), 0, 64)), strike(onMembers(60, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12))},
			"track 2 channels 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13: one note at a time, in the range of basses; not read: 1 other track: track 1 (120 notes)"},
		"zones of two instruments in a track": {[][]byte{fileOf(append(zoneOf(1, 3), zoneOf(16, 3)...), atOnce(atOnce(onMembers(60, 1, 2, 3), 14, 60), 13, 64))},
			"track 1 channel 2: one note at a time, the lowest part, in the range of basses; not read: channels 3, 4, 14, 15 (220 notes)"},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := ReadFile("mpe.mid", smfBytes(1, 96, c.tracks...), FileOptions{})
			require.NoError(t, err)
			assert.Equal(t, c.want, f.Track())
			h := hear(t)
			cleaner := NewCleaner(CleanerOptions{Open: bass4, Frets: 24}, h)
			for _, e := range collect(t, f) {
				cleaner.Event(e)
			}
			cleaner.End(f.Length())
			assert.Len(t, h.notes, f.Notes())
		})
	}
	// Two parts that answer each other are no voice: common practice.
	f, err := ReadFile("two.mid", smfBytes(0, 96, strike(inTurn(60, [2]int{0, 28}, [2]int{1, 62}))), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, 30, f.Notes())
}

// MPE 1.0: a zone's channels bend by up to 48 semitones and its manager by 2, until
// told otherwise; the range told on one of them holds for all; a bend of the manager
// adds to theirs.
func TestCleaner_BendsAnMPEZone(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		es   []Event
		want []int // pitches
	}{
		"48 semitones":         {append(zoneOf(1, 15), on(0, 10, 40, 80), bend(200*ms, 10, semitones(2, 48))), []int{40, 42}},
		"below channel 16":     {append(zoneOf(16, 5), on(0, 11, 40, 80), bend(200*ms, 11, semitones(2, 48))), []int{40, 42}},
		"not beyond the zone":  {append(zoneOf(16, 5), on(0, 10, 40, 80), bend(200*ms, 10, semitones(2, 2))), []int{40, 42}},
		"told on one for all":  {slices.Concat(zoneOf(1, 15), bendRangeOf(2, 12, 0), []Event{on(0, 7, 40, 80), bend(200*ms, 7, semitones(2, 12))}), []int{40, 42}},
		"of the manager, by 2": {append(zoneOf(1, 15), on(0, 7, 40, 80), bend(200*ms, 1, -8192)), []int{40, 38}},
		"both together":        {append(zoneOf(1, 15), on(0, 7, 40, 80), bend(100*ms, 1, -8192), bend(100*ms, 7, semitones(5, 48))), []int{40, 43}},
		"the manager, told": {slices.Concat(zoneOf(1, 15), bendRangeOf(1, 12, 0), []Event{on(0, 7, 40, 80), bend(200*ms, 1, semitones(3, 12)), on(500*ms, 8, 40, 80), bend(700*ms, 8, semitones(2, 48))}),
			[]int{40, 43, 43, 45}},
		"a zone that another one took":  {append(append(zoneOf(1, 15), zoneOf(16, 10)...), on(0, 6, 40, 80), bend(200*ms, 16, -8192)), []int{40, 38}},
		"a zone that is there no more":  {append(append(zoneOf(1, 15), zoneOf(1, 0)...), on(0, 6, 40, 80), bend(200*ms, 1, -8192)), []int{40}},
		"parameter 6 on other channels": {append(zoneOf(2, 4), on(0, 3, 40, 80), bend(200*ms, 3, semitones(2, 2))), []int{40, 42}},
	} {
		h := clean(t, CleanerOptions{Strings: StringsOption{pitchOnly: true}}, append(c.es, off(900*ms, 7, 40)))
		var pitches []int
		for _, n := range h.notes {
			pitches = append(pitches, n.Pitch)
		}
		assert.Equal(t, c.want, pitches, name)
	}
}
