package midiin

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// notesIn counts note-ons.
func notesIn(es []Event) int {
	n := 0
	for _, e := range es {
		if e.Kind == Message && e.Data[0]>>4 == 9 && e.Data[2] > 0 {
			n++
		}
	}
	return n
}

func TestFile_SalvagesTruncationAtEveryByte(t *testing.T) {
	t.Parallel()
	for _, example := range []string{exampleFormat0, exampleFormat1} {
		whole := unhex(t, example)
		full := collect(t, readWhole(t, whole))
		for n := range whole {
			f, err := ReadFile("cut.mid", slices.Clip(whole[:n]), FileOptions{})
			if err != nil {
				assert.Less(t, n, 14+4+4, "whatever has a track header can be read")
				assert.NotContains(t, err.Error(), "\n")
				continue
			}
			require.NotEmpty(t, f.Warnings(), "cut at byte %d", n)
			f.line = f.scan.everything()
			got := collect(t, f)
			require.LessOrEqual(t, len(got), len(full))
			require.Subset(t, full, got, "what is left is read as before")
			for _, w := range f.Warnings() {
				assert.NotContains(t, w, "\n")
			}
		}
	}
}

func TestFile_WarningNamesTrackByteAndNotesKept(t *testing.T) {
	t.Parallel()
	whole := unhex(t, exampleFormat1)
	// The last track begins at byte 14+28+24+23 = 89; its second note-off, cut in
	// half, begins at byte 110: header 8, program 3, notes 4 and 3, delta 2.
	f, err := ReadFile("cut.mid", whole[:len(whole)-6], FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, []string{"track 4 ends early at byte 111: 2 notes kept"}, f.Warnings())
	require.Equal(t, []byte{0x00, 0x3C}, whole[111:113])

	f, err = ReadFile("noend.mid", smfBytes(0, 96, unhex(t, "00902850")), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, []string{"track 1 has no End of Track at byte 26: 1 note kept"}, f.Warnings())
}

func TestFile_ReadsWhatOtherProgramsWrite(t *testing.T) {
	t.Parallel()
	good := unhex(t, "00902850 60802840"+end)
	body := func(s string) []byte { return unhex(t, s) }
	length := func(b []byte, at int, n byte) []byte {
		b = bytes.Clone(b)
		b[at+2], b[at+3] = 0, n
		return b
	}
	for name, c := range map[string]struct {
		data  []byte
		notes int
		warns string // part of the only warning; "" for none
	}{
		"running status":                      {smfBytes(0, 96, body("00902850 602800 002950 602900"+end)), 2, ""},
		"bytes between tracks":                {slicesConcat(smfBytes(1, 96, good), make([]byte, 11), chunk("MTrk", good...)), 1, "byte 34: 11 bytes that are no chunk skipped"},
		"a wrong length before another chunk": {slicesConcat(length(smfBytes(0, 96, good), 18, 200), chunk("XFKM", 1, 2, 3)), 1, ""},
		"running status goes on over meta and system exclusive events": {
			smfBytes(0, 96, body("00902850 00FF0101 41 602800 00F0027EF7 002950 00F70141 602900"+end)), 2, ""},
		"a longer header": {append(chunk("MThd", 0, 1, 0, 1, 0, 96, 1, 2, 3, 4), chunk("MTrk", good...)...), 1, ""},
		"unknown chunks before and between": {
			slicesConcat(smfBytes(1, 96)[:8], []byte{0, 1, 0, 2, 0, 96}, chunk("XFIH", 1, 2, 3), chunk("MTrk", good...), chunk("junk"), chunk("MTrk", good...)), 1, ""},
		"an empty track first":                                {smfBytes(1, 96, nil, good), 1, "track 1 has no End of Track"},
		"bytes before the header":                             {append(make([]byte, 128), smfBytes(0, 96, good)...), 1, "128 bytes before the header skipped"},
		"bytes behind the last track":                         {append(smfBytes(0, 96, good), 0, 0, 0), 1, "3 bytes at the end are no chunk"},
		"a track's length too long":                           {length(smfBytes(0, 96, good), 18, 200), 1, ""},
		"a track's length zero":                               {length(smfBytes(0, 96, good), 18, 0), 1, ""},
		"a track's length too short":                          {length(smfBytes(1, 96, good, good), 18, 5), 1, ""},
		"a track's length too long by some bytes of the next": {length(smfBytes(1, 96, body(end), good), 18, 4+7), 1, ""},
		"a track's length too long by most of the next":       {length(smfBytes(1, 96, body(end), good, body(end)), 18, 4+19), 1, ""},
		"a header's length too long":                          {length(smfBytes(0, 96, good), 4, 9), 1, "the header's length is wrong"},
		"fewer tracks than promised":                          {length(smfBytes(0, 96, good), 8, 3), 1, "the header promises 3 tracks, the file has 1"},
		"format 7":                                            {smfBytes(7, 96, good), 1, "format 7 is unknown"},
		"division 0":                                          {smfBytes(0, 0, good), 1, "division 0000 is impossible"},
		"division of 13 frames":                               {smfBytes(0, 0xF328, good), 1, "division F328 is impossible"},
		"real time inside a track":                            {smfBytes(0, 96, body("00902850 00F8 60802840"+end)), 1, "1 event skipped that no file may hold, the first at byte 26"},
		"song position inside a track":                        {smfBytes(0, 96, body("00902850 00F20102 60802840"+end)), 1, "1 event skipped"},
		"data bytes above 127":                                {smfBytes(0, 96, body("00902850 00902990 60802840"+end)), 1, "1 event skipped"},
		"data without a status":                               {smfBytes(0, 96, body("00284000"+end)), 0, "is broken (data without a status) at byte 23"},
		"a number of five bytes":                              {smfBytes(0, 96, body("00902850 8181818100 802840"+end)), 1, "a number of more than four bytes"},
		"a length of 268 million":                             {smfBytes(0, 96, body("00902850 00F08FFFFFFF7F")), 1, "is broken"},
		"a length beyond the track":                           {smfBytes(0, 96, body("00902850 00FF017F41")), 1, "ends early at byte 26"},
		"tempo and metre of no length":                        {smfBytes(0, 96, body("00FF5100 00FF5800 00FF510100 00902850 60802840"+end)), 1, ""},
		"a tempo of nothing":                                  {smfBytes(0, 96, body("00FF5103000000 00902850 60802840"+end)), 1, ""},
		"a metre of nothing":                                  {smfBytes(0, 96, body("00FF580400001808 00FF580404FF1808 00902850 60802840"+end)), 1, ""},
		"sixteen channels":                                    {smfBytes(0, 96, sixteenChannels()), 1, ""},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := ReadFile("other.mid", c.data, FileOptions{})
			require.NoError(t, err)
			switch {
			case c.warns != "":
				require.NotEmpty(t, f.Warnings())
				assert.Contains(t, strings.Join(f.Warnings(), "; "), c.warns)
			default:
				assert.Empty(t, f.Warnings())
			}
			assert.Equal(t, c.notes, notesIn(collect(t, f)))
			assert.Equal(t, c.notes, f.line.notes)
		})
	}
}

// Of files one behind the other the first is read, at its own tempo: a track of the
// second is none of its (RP-001 knows one header a file, at its start).
func TestFile_ReadsTheFirstOfTwo(t *testing.T) {
	t.Parallel()
	first := smfBytes(0, 96, unhex(t, "00FF510307A120 60902850 60802840"+end)) // a quarter is 0.5 s
	second := smfBytes(0, 96, unhex(t, "00FF51030F4240 00902750 60802740"+end))
	f, err := ReadFile("two.mid", slicesConcat(first, second), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, []string{"byte 41: another file begins here and is not read: split them"}, f.Warnings())
	assert.Equal(t, []timed{{500 * ms, "902850"}, {1000 * ms, "802840"}}, messages(collect(t, f)))
}

func slicesConcat(bs ...[]byte) []byte { return bytes.Join(bs, nil) }

func sixteenChannels() []byte {
	var b []byte
	for ch := range byte(16) {
		b = append(b, 0, 0x90|ch, 40+3*ch, 80, 10, 0x80|ch, 40+3*ch, 0)
	}
	return append(b, 0, 0xFF, 0x2F, 0)
}

func TestFile_ReadsThousandsOfTracks(t *testing.T) {
	t.Parallel()
	tracks := make([][]byte, 10_000)
	for i := range tracks {
		tracks[i] = []byte{byte(i % 100), 0x90 | byte(i%9), byte(60 + i%12), 80, 1, 0x80 | byte(i%9), byte(60 + i%12), 0, 0, 0xFF, 0x2F, 0}
	}
	tracks[8_333] = unhex(t, "00C021 00902850 60802840 00902B50 60802B40"+end)
	f, err := ReadFile("tracks.mid", smfBytes(1, 96, tracks...), FileOptions{})
	require.NoError(t, err)
	assert.Contains(t, f.Track(), "track 8334: bass program 34")
	assert.Equal(t, 2, notesIn(collect(t, f)))
	_, err = ReadFile("tracks.mid", smfBytes(1, 96, tracks...), FileOptions{Track: "nobody"})
	assert.Less(t, len(err.Error()), 2000, "the list of tracks is bounded")
}

func TestFile_BoundsTracks(t *testing.T) {
	t.Parallel()
	head := smfBytes(1, 96)
	head[10], head[11] = 0xFF, 0xFF
	data := append(head, bytes.Repeat(chunk("MTrk", 0, 0xFF, 0x2F, 0), maxTracks+3)...)
	f, err := ReadFile("tracks.mid", data, FileOptions{})
	require.NoError(t, err)
	assert.Len(t, f.scan.tracks, maxTracks)
	assert.Contains(t, f.Warnings()[0], "the tracks from here on are skipped: a file has at most 65535")
}

func TestFile_BoundsWarnings(t *testing.T) {
	t.Parallel()
	f, err := ReadFile("broken.mid", smfBytes(1, 96, make([][]byte, 5000)...), FileOptions{})
	require.NoError(t, err)
	assert.Len(t, f.Warnings(), maxWarnings+2)
	assert.Equal(t, fmt.Sprintf("and %d more of that kind", 5000-maxWarnings), f.Warnings()[maxWarnings])
	assert.Equal(t, "no track has a note", f.Warnings()[maxWarnings+1])
}
