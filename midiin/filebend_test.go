package midiin

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"
)

// bentFile is E2 struck twice, each time from two semitones below and up: with the
// bend to there so many ticks of a millisecond before or after the note-on, in the
// notes' own track or in another one.
func bentFile(t *testing.T, delay int, apart, take bool) []byte {
	t.Helper()
	type at struct {
		tick int
		msg  midi.Message
	}
	var notes, bends []at
	for _, from := range []int{1000, 3000} {
		notes = append(notes, at{from, midi.NoteOn(0, 40, 90)}, at{from + 1000, midi.NoteOff(0, 40)})
		bends = append(bends, at{from + delay, midi.Pitchbend(0, -8192)}, at{from + 400, midi.Pitchbend(0, 0)})
	}
	var s smf.SMF
	s.TimeFormat = smf.MetricTicks(500)
	tracks := [][]at{notes, bends}
	if !apart {
		all := []at{bends[0], notes[0], bends[1], notes[1], bends[2], notes[2], bends[3], notes[3]}
		if delay >= 0 {
			all = []at{notes[0], bends[0], bends[1], notes[1], notes[2], bends[2], bends[3], notes[3]}
		}
		tracks = [][]at{all}
	}
	for i, events := range tracks {
		var track smf.Track
		if take && i == 0 {
			track.Add(0, smf.MetaText(TakeMark))
		}
		now := 0
		for _, e := range events {
			track.Add(uint32(e.tick-now), e.msg)
			now = e.tick
		}
		track.Close(0)
		require.NoError(t, s.Add(track))
	}
	data, err := s.Bytes()
	require.NoError(t, err)
	return data
}

// Programs write a note-on and the bend that it begins with in either order or one
// right after the other, and bends in a track of their own: all is one channel (MIDI
// 1.0), and no note is heard that is not played.
func TestFile_ANoteBeginsAsItIsBent(t *testing.T) {
	t.Parallel()
	heard := func(data []byte) (pitches, slides []int) {
		f, err := ReadFile("song.mid", data, FileOptions{})
		require.NoError(t, err)
		h := clean(t, CleanerOptions{}, collect(t, f))
		for _, n := range h.notes {
			pitches, slides = append(pitches, n.Pitch), append(slides, n.Slide)
		}
		return pitches, slides
	}
	for _, apart := range []bool{false, true} {
		for _, delay := range []int{-1, 0, 1, 4} {
			if apart && delay > 0 {
				continue // no track is looked at for another's note
			}
			pitches, slides := heard(bentFile(t, delay, apart, false))
			assert.Equal(t, []int{38, 40, 38, 40}, pitches, "%d ms after, apart %v", delay, apart)
			assert.Equal(t, []int{0, 2, 0, 2}, slides, "%d ms after, apart %v", delay, apart)
		}
	}
	pitches, _ := heard(bentFile(t, 100, false, false))
	assert.Equal(t, []int{40, 38, 40, 40, 38, 40}, pitches, "a slide there and back")
	pitches, _ = heard(bentFile(t, 4, false, true))
	assert.NotEqual(t, []int{38, 40, 38, 40}, pitches, "a take is read as the sitting heard it")
}
