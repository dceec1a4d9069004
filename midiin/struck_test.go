package midiin

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"
)

// A note-off belongs to a note-on each (MIDI 1.0): one that comes when its key has been
// struck again does not end the note that was struck then. Programs write repeated
// notes so that overlap by some ticks, or both at one tick in this order.
func TestFile_AKeyStruckAgainSoundsOn(t *testing.T) {
	t.Parallel()
	type at struct {
		tick int
		on   bool
	}
	for name, x := range map[string]struct {
		events []at
		take   bool
		want   [][2]int // onset and release in milliseconds
	}{
		"overlapping":                {[]at{{0, true}, {500, true}, {510, false}, {1000, true}, {1010, false}, {1500, false}}, false, [][2]int{{0, 500}, {500, 1000}, {1000, 1500}}},
		"at one tick":                {[]at{{0, true}, {500, true}, {500, false}, {1000, true}, {1000, false}, {1400, false}}, false, [][2]int{{0, 500}, {500, 1000}, {1000, 1400}}},
		"three at once":              {[]at{{0, true}, {500, true}, {900, true}, {950, false}, {960, false}, {1500, false}}, false, [][2]int{{0, 500}, {500, 900}, {900, 1500}}},
		"and later not":              {[]at{{0, true}, {500, true}, {510, false}, {800, false}, {1000, true}, {1200, false}}, false, [][2]int{{0, 500}, {500, 800}, {1000, 1200}}},
		"no release of each":         {[]at{{0, true}, {500, true}, {800, false}, {1000, true}, {1200, false}}, false, [][2]int{{0, 500}, {500, 800}, {1000, 1200}}},
		"a release too many":         {[]at{{0, true}, {200, false}, {210, false}, {500, true}, {700, false}, {700, false}}, false, [][2]int{{0, 200}, {500, 700}}},
		"in a take, as it was heard": {[]at{{0, true}, {500, true}, {510, false}, {1000, false}}, true, [][2]int{{0, 500}, {500, 510}}},
	} {
		var s smf.SMF
		s.TimeFormat = smf.MetricTicks(500)
		var track smf.Track
		if x.take {
			track.Add(0, smf.MetaText(TakeMark))
		}
		now := 0
		for _, e := range x.events {
			msg := midi.NoteOff(0, 40)
			if e.on {
				msg = midi.NoteOn(0, 40, 90)
			}
			track.Add(uint32(e.tick-now), msg)
			now = e.tick
		}
		track.Close(100)
		require.NoError(t, s.Add(track))
		data, err := s.Bytes()
		require.NoError(t, err)
		f, err := ReadFile("song.mid", data, FileOptions{})
		require.NoError(t, err)
		h := clean(t, CleanerOptions{}, collect(t, f))
		var got [][2]int
		for _, n := range h.notes {
			got = append(got, [2]int{int(n.At / time.Millisecond), int(h.offs[n.ID] / time.Millisecond)})
		}
		assert.Equal(t, x.want, got, name)
	}
}
