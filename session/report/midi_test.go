package report

import (
	"bytes"
	"fmt"
	"iter"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/midiin"
	"stillhand/session"
)

// evenly is a grid of 120 a minute throughout, two quarter notes a second.
type evenly struct{}

func (evenly) Quarters(at time.Duration) float64 { return at.Seconds() * 2 }

func (evenly) Changes() iter.Seq2[float64, []byte] {
	return func(yield func(float64, []byte) bool) { yield(0, smf.MetaTempo(120)) }
}

// readBack is what a general-purpose reader, gomidi's smf package, makes of
// the file: channel, key, velocity, on and off in tenths of a millisecond.
type readBack struct {
	notes  [][5]int
	texts  map[int64][]string // lyrics and markers by tick
	lyrics int
	tempo  float64
}

func readMIDI(t *testing.T, r *session.Review) readBack {
	t.Helper()
	data, err := MIDI(r, evenly{})
	require.NoError(t, err)
	file, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	require.Len(t, file.Tracks, 1)
	require.Equal(t, smf.MetricTicks(5000), file.TimeFormat)
	got := readBack{texts: map[int64][]string{}}
	open := map[[2]uint8]int{}
	tick := int64(0)
	for _, e := range file.Tracks[0] {
		assert.LessOrEqual(t, e.Delta, uint32(0x0FFFFFFF))
		tick += int64(e.Delta)
		var c, k, v uint8
		var text string
		switch {
		case e.Message.GetNoteStart(&c, &k, &v):
			_, sounding := open[[2]uint8{c, k}]
			assert.False(t, sounding, "key %d struck twice on channel %d", k, c)
			open[[2]uint8{c, k}] = len(got.notes)
			got.notes = append(got.notes, [5]int{int(c), int(k), int(v), int(tick), -1})
		case e.Message.GetNoteEnd(&c, &k):
			i, ok := open[[2]uint8{c, k}]
			if assert.True(t, ok, "key %d released unstruck", k) {
				got.notes[i][4] = int(tick)
				delete(open, [2]uint8{c, k})
			}
		case e.Message.GetMetaLyric(&text):
			got.lyrics++
			got.texts[tick] = append(got.texts[tick], "lyric "+text)
		case e.Message.GetMetaMarker(&text):
			got.texts[tick] = append(got.texts[tick], "marker "+text)
		case e.Message.GetMetaTempo(&got.tempo):
		}
	}
	assert.Empty(t, open, "notes never released")
	return got
}

func TestMIDI_ReadsBackTheLine(t *testing.T) {
	t.Parallel()
	r := advised()
	got := readMIDI(t, r)
	require.Len(t, got.notes, len(r.Notes))
	assert.Equal(t, 120.0, got.tempo)
	for i, n := range r.Notes {
		want := [5]int{int(n.String) - 1, int(n.Pitch), 90, int(n.At*1e4 + 0.5), int(n.Off*1e4 + 0.5)}
		assert.Equal(t, want, got.notes[i], "note %d", i)
	}
	assert.Equal(t, len(r.Notes), got.lyrics)
	for i, n := range r.Notes {
		want := fmt.Sprintf("lyric %d", n.Finger)
		if n.Probability < 0.8 {
			want += "?"
		}
		assert.Contains(t, got.texts[int64(n.At*1e4+0.5)], want, "note %d", i)
	}
	assert.Contains(t, got.texts[48000], "marker shift 2 to 5 sure")
	assert.Contains(t, got.texts[63000], "marker shift 12 to 10? likely 0.70")
	assert.Contains(t, got.texts[72000], "marker mark here it gets hard")
}

func TestMIDI_KeepsInferredStringsOnOneChannel(t *testing.T) {
	t.Parallel()
	r := sample()
	r.Input.Strings = "inferred"
	for _, n := range readMIDI(t, r).notes {
		assert.Zero(t, n[0])
	}
}

func TestMIDI_EndsANoteStruckAgain(t *testing.T) {
	t.Parallel()
	r := sample()
	r.Notes = r.Notes[:3]
	for i := range r.Notes {
		r.Notes[i] = r.Notes[0]
		r.Notes[i].At, r.Notes[i].Off = float64(i), float64(i)+5
	}
	r.Notes[2].Off = 0 // a release before the onset still gives a note
	got := readMIDI(t, r).notes
	require.Len(t, got, 3)
	assert.Equal(t, [2]int{0, 10000}, [2]int{got[0][3], got[0][4]})
	assert.Equal(t, [2]int{10000, 20000}, [2]int{got[1][3], got[1][4]})
	assert.Equal(t, [2]int{20000, 20001}, [2]int{got[2][3], got[2][4]})
}

// RP-001: a delta time is at most 0FFFFFFF, 7.4 hours at this resolution.
func TestMIDI_SpansASilenceLongerThanADelta(t *testing.T) {
	t.Parallel()
	r := sample()
	r.Notes = r.Notes[:2]
	r.Notes[1].At, r.Notes[1].Off = 90_000, 90_001
	assert.Equal(t, 900_000_000, readMIDI(t, r).notes[1][3])
}

// A tempo at the end of each longest delta of a file that counts quarter notes:
// nothing of it is bridged, for the line has ended before.
func TestMIDI_EndsWithTheLastNote(t *testing.T) {
	t.Parallel()
	var track smf.Track
	track.Add(0, midi.NoteOn(0, 33, 90))
	track.Add(1, midi.NoteOff(0, 33))
	for range 200 {
		track.Add(0x0FFFFFFF, smf.MetaTempo(90))
	}
	recording, r := reviewed(t, 1, track)
	line, err := MIDI(r, recording)
	require.NoError(t, err)
	assert.Less(t, len(line), 200)
}

// A note at the end of many such deltas is beyond what the line can hold: it is
// left out, the line says so, and the notes before it are as they were.
func TestMIDI_LeavesOutAndSaysWhatComesTooLate(t *testing.T) {
	t.Parallel()
	var track smf.Track
	track.Add(0, midi.NoteOn(0, 33, 90))
	track.Add(2, midi.NoteOff(0, 33))
	for range 100 {
		track.Add(0x0FFFFFFF, smf.MetaMarker("on and on"))
	}
	track.Add(1, midi.NoteOn(0, 33, 90))
	track.Add(1, midi.NoteOff(0, 33))
	recording, r := reviewed(t, 1, track)
	require.Len(t, r.Notes, 2)
	require.Greater(t, r.Notes[1].At, float64(math.MaxInt32))
	data, err := MIDI(r, recording)
	require.NoError(t, err)
	line, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	var on, off []int64
	var said string
	tick := int64(0)
	for _, e := range line.Tracks[0] {
		var c, k, v uint8
		var text string
		tick += int64(e.Delta)
		switch {
		case e.Message.GetNoteStart(&c, &k, &v):
			on = append(on, tick)
		case e.Message.GetNoteEnd(&c, &k):
			off = append(off, tick)
		case e.Message.GetMetaText(&text) && text != "":
			said = text
		}
	}
	assert.Equal(t, []int64{0}, on)
	assert.Equal(t, []int64{10_000}, off)
	assert.Equal(t, fmt.Sprintf("notes and markers too late for this file, left out: %d", 1+len(r.Marks)), said)
}

func TestMIDITick_IsBounded(t *testing.T) {
	t.Parallel()
	for quarters, tick := range map[float64]int64{-1: 0, 0: 0, 1.5: 7500, 1e16: 1 << 38, math.MaxFloat64: 1 << 38, math.Inf(1): 1 << 38} {
		assert.Equal(t, tick, midiTick(quarters), "%g", quarters)
	}
}

// reviewed is a file of one track and its review.
func reviewed(t *testing.T, division uint16, track smf.Track) (*midiin.File, *session.Review) {
	t.Helper()
	track.Close(0)
	song := smf.New()
	song.TimeFormat = smf.MetricTicks(division)
	require.NoError(t, song.Add(track))
	data, err := song.Bytes()
	require.NoError(t, err)
	recording, err := midiin.ReadFile("song.mid", data, midiin.FileOptions{})
	require.NoError(t, err)
	setup, err := session.Resolve().Setup()
	require.NoError(t, err)
	r, err := session.NewRecording(recording).Review(t.Context(), setup)
	require.NoError(t, err)
	return recording, r
}

// A song at 90 and then 60 beats a minute, in three: what lies on a bar line of
// the recording lies on one of the line, as gomidi reads both.
func TestMIDI_KeepsTheBarsOfTheRecording(t *testing.T) {
	t.Parallel()
	var track smf.Track
	track.Add(0, smf.MetaMeter(3, 4))
	track.Add(0, smf.MetaTempo(90))
	track.Add(3*480, midi.NoteOn(0, 33, 90))
	track.Add(240, midi.NoteOff(0, 33))
	track.Add(3*480-240, smf.MetaTempo(60))
	track.Add(7*480, midi.NoteOn(0, 40, 90))
	track.Add(480, midi.NoteOff(0, 40))
	recording, r := reviewed(t, 480, track)
	data, err := MIDI(r, recording)
	require.NoError(t, err)
	line, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	var at []float64 // onsets in quarter notes
	var tempi []float64
	var beats, unit uint8
	quarters := 0.0
	for _, e := range line.Tracks[0] {
		quarters += float64(e.Delta) / 5000
		var bpm float64
		var c, k, v uint8
		switch {
		case e.Message.GetNoteStart(&c, &k, &v):
			at = append(at, quarters)
		case e.Message.GetMetaTempo(&bpm):
			tempi = append(tempi, math.Round(bpm))
		case e.Message.GetMetaMeter(&beats, &unit):
		}
	}
	assert.InDeltaSlice(t, []float64{3, 13}, at, 1e-3)
	assert.Equal(t, []float64{90, 60}, tempi)
	assert.Equal(t, [2]uint8{3, 4}, [2]uint8{beats, unit})
}

func TestMIDI_RefusesWhatNoFileCanHold(t *testing.T) {
	t.Parallel()
	r := sample()
	r.Notes[3].Pitch = -1
	_, err := MIDI(r, evenly{})
	assert.ErrorContains(t, err, "note 3")
}

func TestMIDI_WritesAnEmptyTake(t *testing.T) {
	t.Parallel()
	assert.Empty(t, readMIDI(t, &session.Review{Source: "x"}).notes)
}

// A finger is a guess where its place is, also under a hand that is sure.
func TestMIDI_MarksTheFingerOfAPlaceThatIsAGuess(t *testing.T) {
	t.Parallel()
	r := sample()
	n := r.Notes[0]
	n.Probability, n.PlaceSure = 0.97, 0.55
	assert.Equal(t, "2", fingerLyric(r, n), "the string is told")
	r.Input.Strings = "inferred"
	assert.Equal(t, "2?", fingerLyric(r, n))
	n.PlaceSure = 0.83 // 0.97 times that is 0.81
	assert.Equal(t, "2", fingerLyric(r, n))
	n.PlaceSure = 0.82 // and 0.80 here, barely less than four-fifths
	assert.Equal(t, "2?", fingerLyric(r, n))
}
