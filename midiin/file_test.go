package midiin

import (
	"bytes"
	"context"
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// unhex reads hexadecimal bytes with blanks between.
func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(strings.Join(strings.Fields(s), ""))
	require.NoError(t, err)
	return b
}

// chunk is a chunk of a Standard MIDI File with the right length.
func chunk(name string, body ...byte) []byte {
	n := len(body)
	return append([]byte{name[0], name[1], name[2], name[3], byte(n >> 24), byte(n >> 16), byte(n >> 8), byte(n)}, body...)
}

// smfBytes is a file of a format and division with tracks of the given events.
func smfBytes(format, division int, tracks ...[]byte) []byte {
	b := chunk("MThd", 0, byte(format), byte(len(tracks)>>8), byte(len(tracks)), byte(division>>8), byte(division))
	for _, t := range tracks {
		b = append(b, chunk("MTrk", t...)...)
	}
	return b
}

// end is an End of Track at once (RP-001).
const end = "00FF2F00"

func collect(t testing.TB, s Source) []Event {
	t.Helper()
	var es []Event
	require.NoError(t, s.Run(context.Background(), func(e Event) { es = append(es, e) }))
	return es
}

// timed is a message at a time, for short expectations.
type timed struct {
	at  time.Duration
	msg string
}

func messages(es []Event) []timed {
	var ms []timed
	for _, e := range es {
		if e.Kind == Message {
			ms = append(ms, timed{e.At, strings.ToUpper(hex.EncodeToString(e.Data[:]))})
		}
	}
	return ms
}

// readWhole reads every channel of every track, as of a recording of our own.
func readWhole(t testing.TB, data []byte) *File {
	t.Helper()
	f, err := ReadFile("whole.mid", data, FileOptions{})
	require.NoError(t, err)
	f.line = f.scan.everything()
	return f
}

// RP-001 (Standard MIDI Files 1.0), worked example: 96 ticks a quarter note,
// 4/4, 500,000 us a quarter note. The tempo track and track 2 of format 1 are
// from memory, their lengths verified; the rest as printed.
const (
	exampleFormat0 = `4D546864 00000006 0000 0001 0060 4D54726B 0000003B
		00FF580404021808 00FF510307A120 00C005 00C12E 00C246 00923060 003C60 60914340 60904C20
		8140823040 003C40 00814340 00804C40 00FF2F00`
	exampleFormat1 = `4D546864 00000006 0001 0004 0060
		4D54726B 00000014 00FF580404021808 00FF510307A120 8300FF2F00
		4D54726B 00000010 00C005 8140904C20 81404C00 00FF2F00
		4D54726B 0000000F 00C12E 60914340 82204300 00FF2F00
		4D54726B 00000015 00C246 00923060 003C60 83003000 003C00 00FF2F00`
)

func TestFile_ReadsWorkedExampleInBothFormats(t *testing.T) {
	t.Parallel()
	// C3 and C4 on channel 3 at once, G4 on channel 2 after a quarter note, E5 on
	// channel 1 after a half, all released after a whole bar of 2 s.
	type sound struct {
		on, off time.Duration
		channel byte
	}
	want := map[byte]sound{
		0x30: {0, 2 * time.Second, 2},
		0x3C: {0, 2 * time.Second, 2},
		0x43: {500 * time.Millisecond, 2 * time.Second, 1},
		0x4C: {time.Second, 2 * time.Second, 0},
	}
	for _, example := range []string{exampleFormat0, exampleFormat1} {
		f := readWhole(t, unhex(t, example))
		assert.Empty(t, f.Warnings())
		assert.Equal(t, 2*time.Second, f.Length())
		got := map[byte]sound{}
		for _, e := range collect(t, f) {
			on := e.Data[0]>>4 == 9 && e.Data[2] > 0
			s := got[e.Data[1]]
			switch {
			case e.Data[0]>>4 > 9:
				continue
			case on:
				s.on, s.channel = e.At, e.Data[0]&15
			default:
				s.off = e.At
			}
			got[e.Data[1]] = s
		}
		assert.Equal(t, want, got)
		for at, want := range map[time.Duration]float64{0: 1, 500 * time.Millisecond: 2, 1750 * time.Millisecond: 4.5} {
			bar, beat, ok := f.Bar(at)
			assert.True(t, ok)
			assert.Equal(t, 1, bar)
			assert.Equal(t, want, beat, "beat at %v", at)
		}
		bar, beat, _ := f.Bar(2 * time.Second)
		assert.Equal(t, 2, bar)
		assert.Equal(t, 1.0, beat)
	}
}

func TestCursor_ReadsVariableLengthQuantities(t *testing.T) {
	t.Parallel()
	// RP-001, the table of variable-length quantities.
	for bytes, want := range map[string]uint32{
		"00": 0, "40": 0x40, "7F": 0x7F, "8100": 0x80, "C000": 0x2000, "FF7F": 0x3FFF, "818000": 0x4000,
		"C08000": 0x100000, "FFFF7F": 0x1FFFFF, "81808000": 0x200000, "C0808000": 0x8000000, "FFFFFF7F": 0xFFFFFFF,
	} {
		data := unhex(t, bytes)
		c := cursor{data: data, end: len(data)}
		var got uint32
		require.True(t, c.vlq(&got), bytes)
		assert.Equal(t, want, got, bytes)
		assert.Equal(t, len(data), c.pos, bytes)

		// As a delta time it is the same.
		data = append(data, 0x90, 40, 80)
		c = cursor{data: data, end: len(data)}
		require.True(t, c.next())
		assert.Equal(t, int64(want), c.tick)
	}
	// RP-001 does not ask for the shortest form.
	c := cursor{data: unhex(t, "8040902850"), end: 5}
	require.True(t, c.next())
	assert.EqualValues(t, 0x40, c.tick)
	c = cursor{data: unhex(t, "8080808000"), end: 5}
	assert.False(t, c.vlq(new(uint32)), "five bytes are more than RP-001 allows")
}

func TestFile_ReadsSMPTE(t *testing.T) {
	t.Parallel()
	track := unhex(t, "00FF510301E848 00902850 8768802840"+end) // a tempo, which must not count, and 1000 ticks
	for _, c := range []struct {
		division int
		want     time.Duration
	}{
		{0xE728, time.Second},                            // RP-001: 25 frames of 40 ticks count milliseconds
		{0xE250, 1000 * time.Second / 2400},              // 30 frames of 80 ticks
		{0xE801, 1000 * time.Second / 24},                // film
		{0xE31E, 1000 * 1001 * time.Second / 30000 / 30}, // 30 drop: 30,000 frames in 1,001 s
	} {
		f, err := ReadFile("smpte.mid", smfBytes(1, c.division, track), FileOptions{})
		require.NoError(t, err)
		assert.Empty(t, f.Warnings())
		assert.Equal(t, c.want, f.Length())
		_, _, ok := f.Bar(0)
		assert.False(t, ok, "frames know no bars")
	}
}

func TestFile_ReadsRIFF(t *testing.T) {
	t.Parallel()
	// RP-029: the file in a chunk "data" of a RIFF of form "RMID", sizes little
	// endian, chunks padded to even length; other chunks may stand before it.
	inner := smfBytes(0, 96, unhex(t, "00902850 60802840"+end))
	body := []byte("RMIDDISP\x05\x00\x00\x00\x01\x00\x00\x00x\x00data")
	body = append(body, byte(len(inner)), 0, 0, 0)
	body = append(body, inner...)
	if len(inner)%2 == 1 {
		body = append(body, 0)
	}
	riff := append([]byte{'R', 'I', 'F', 'F', byte(len(body)), 0, 0, 0}, body...)
	f, err := ReadFile("a.rmi", riff, FileOptions{})
	require.NoError(t, err)
	assert.Empty(t, f.Warnings())
	assert.Equal(t, messages(collect(t, readWhole(t, inner))), messages(collect(t, f)))

	f, err = ReadFile("a.rmi", riff[:len(riff)-4-len(inner)%2], FileOptions{})
	require.NoError(t, err)
	assert.Contains(t, f.Warnings()[0], "the RIFF data chunk is cut off")
	assert.Len(t, collect(t, f), 2)
}

func TestFile_ReadsFormat2TrackByTrack(t *testing.T) {
	t.Parallel()
	// RP-001: the tracks of format 2 are pieces of their own, each with its own
	// tempo from its own beginning.
	fast := unhex(t, "00FF51030F4240 00FF0601 61 60902850 60802840"+end) // 1 s a quarter note
	slow := unhex(t, "00FF510307A120 00FF0601 62 60902950 60802940"+end) // 0.5 s
	data := smfBytes(2, 96, fast, slow)
	for track, want := range map[string][]Event{
		"1": {{Kind: Marker, Text: "a"}, {At: time.Second, Data: [3]byte{0x90, 40, 80}}, {At: 2 * time.Second, Data: [3]byte{0x80, 40, 64}}},
		"2": {{Kind: Marker, Text: "b"}, {At: time.Second / 2, Data: [3]byte{0x90, 41, 80}}, {At: time.Second, Data: [3]byte{0x80, 41, 64}}},
	} {
		f, err := ReadFile("two.mid", data, FileOptions{Track: track})
		require.NoError(t, err)
		assert.Equal(t, want, collect(t, f))
		assert.Equal(t, want[2].At, f.Length())
	}
}

func TestFile_EmitsTextsOfEveryTrackInOrder(t *testing.T) {
	t.Parallel()
	first := unhex(t, "00FF0105 68656C6C6F 8100FF0703 637565"+end)
	bass := unhex(t, "00FF0304 42617373 00902850 60FF0603 4DFC72 60802840"+end) // Latin-1 u with dots
	f, err := ReadFile("texts.mid", smfBytes(1, 96, first, bass), FileOptions{})
	require.NoError(t, err)
	var texts []string
	for _, e := range collect(t, f) {
		if e.Kind != Message {
			texts = append(texts, e.Text)
		}
	}
	assert.Equal(t, []string{"hello", "Mür", "cue"}, texts)
}

// An action of the player may fall on a note: it took effect after it if it
// stands after it.
func TestFile_KeepsTextsAmongNotesOfTheirTrack(t *testing.T) {
	t.Parallel()
	track := unhex(t, "00FF0601 61 00902850 00FF0601 62 00802840 00FF0601 63"+end)
	var kinds string
	for _, e := range collect(t, readWhole(t, smfBytes(0, 96, track))) {
		if e.Kind == Message {
			kinds += "."
		}
		kinds += e.Text
	}
	assert.Equal(t, "a.b.c", kinds)
}

func TestOpenFile_RefusesInOneLine(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		return path
	}
	huge := write("huge.mid", nil)
	require.NoError(t, os.Truncate(huge, maxFileSize+1))
	for path, want := range map[string]string{
		filepath.Join(dir, "none.mid"): "no such file",
		dir:                            "is a directory",
		huge:                           "larger than 64 MiB",
		write("empty.mid", nil):        "the file is empty",
		write("text.mid", []byte("Dear all,\nthe rehearsal is")):                  "not a Standard MIDI File",
		write("cut.mid", []byte("MThd\x00\x00\x00\x06\x00")):                      "byte 0: the header is cut off",
		write("no.mid", smfBytes(1, 96)):                                          "no track behind the header",
		write("short.mid", append(chunk("MThd", 0, 1, 0, 1), make([]byte, 8)...)): "the header has 4 bytes, not 6",
	} {
		_, err := OpenFile(path, FileOptions{})
		require.Error(t, err, path)
		assert.Contains(t, err.Error(), want)
		assert.Contains(t, err.Error(), path, "the line names the file")
		assert.NotContains(t, err.Error(), "\n")
	}
	f, err := OpenFile(write("good.mid", unhex(t, exampleFormat0)), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, "good.mid", f.Name())
}

func TestFile_KeepsNoEventsInMemory(t *testing.T) { // counts allocations: not parallel
	data := manyNotes(100_000)
	f, err := ReadFile("many.mid", data, FileOptions{})
	require.NoError(t, err)
	require.Equal(t, 100_000, f.line.notes)
	// A File is a view of its bytes: what is allocated does not grow with notes.
	allocs := testing.AllocsPerRun(3, func() {
		_, err := ReadFile("many.mid", data, FileOptions{})
		require.NoError(t, err)
	})
	assert.Less(t, allocs, 200.0)
	n := 0
	count := func(Event) { n++ }
	assert.Less(t, testing.AllocsPerRun(3, func() { require.NoError(t, f.Run(context.Background(), count)) }), 20.0)
	assert.Equal(t, 4*200_001, n, "AllocsPerRun runs once more to warm up")
}

// manyNotes is a file of n notes in one track, legato, under running status.
func manyNotes(n int) []byte {
	var b bytes.Buffer
	b.Write([]byte{0, 0xC0, 33, 0, 0x90, 40, 80})
	for i := range n - 1 {
		next := byte(28 + (i*7)%24)
		b.Write([]byte{60, lastPitch(i), 0, 0, next, 80})
	}
	b.Write([]byte{60, lastPitch(n - 1), 0, 0, 0xFF, 0x2F, 0})
	return smfBytes(0, 480, b.Bytes())
}

func lastPitch(i int) byte {
	if i == 0 {
		return 40
	}
	return byte(28 + ((i-1)*7)%24)
}
