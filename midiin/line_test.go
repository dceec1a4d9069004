package midiin

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// voicing is one part of a fixture: 32 strokes of an eighth note, all of pitches
// at once if chord is set, in turn otherwise. Composed for these tests.
type voicing struct {
	name    string
	channel byte // from 0
	program int  // -1 for none
	pitches []byte
	chord   bool
	strokes int // 32 if 0
}

var (
	drums  = voicing{"Kit", 9, -1, []byte{36, 42, 38, 42}, false, 64}
	keys   = voicing{"Keys", 0, 4, []byte{48, 52, 55, 60}, true, 0}
	melody = voicing{"Tune", 3, 73, []byte{72, 74, 76, 79, 77}, false, 0}
	cello  = voicing{"Low strings", 4, 42, []byte{36, 38, 40, 41}, false, 0}
	fagott = voicing{"Bassoon", 5, 70, []byte{34, 36, 38, 41}, false, 0}
	bass   = voicing{"Bass", 1, 33, []byte{28, 35, 40, 33, 31}, false, 0}
)

// with returns v after a change.
func (v voicing) with(change func(*voicing)) voicing { change(&v); return v }

func (v voicing) events() (b []byte) {
	if v.name != "" {
		b = append(b, 0, 0xFF, 3, byte(len(v.name)))
		b = append(b, v.name...)
	}
	if v.program >= 0 {
		b = append(b, 0, 0xC0|v.channel, byte(v.program))
	}
	n := v.strokes
	if n == 0 {
		n = 32
	}
	for i := range n {
		ps := v.pitches
		if !v.chord {
			ps = v.pitches[i%len(v.pitches):][:1]
		}
		for _, p := range ps {
			b = append(b, 0, 0x90|v.channel, p, 80)
		}
		for k, p := range ps {
			delta := byte(0)
			if k == 0 {
				delta = 48
			}
			b = append(b, delta, 0x80|v.channel, p, 0)
		}
	}
	return b
}

func song(format int, vs ...voicing) []byte {
	var tracks [][]byte
	for _, v := range vs {
		tracks = append(tracks, append(v.events(), 0, 0xFF, 0x2F, 0))
	}
	if format == 0 { // one after the other: only the channels tell the parts
		var all []byte
		for _, v := range vs {
			v.name = ""
			all = append(all, v.events()...)
		}
		tracks = [][]byte{append(all, 0, 0xFF, 0x2F, 0)}
	}
	return smfBytes(format, 96, tracks...)
}

func TestFile_ChoosesTheBass(t *testing.T) {
	t.Parallel()
	nameless := func(v *voicing) { v.name = "" }
	noProgram := func(v *voicing) { v.program = -1 }
	setup := unhex(t, "00C121"+end) // a program on channel 2, in a track of its own
	on := func(name string, ch byte, pitches ...byte) voicing {
		return voicing{name, ch, 33, pitches, false, 0}
	}
	for name, c := range map[string]struct {
		data     []byte
		want     string
		channels uint16 // of the notes that are read
	}{
		"by program and name":            {song(1, drums, keys, melody, bass, cello), `track 4 "Bass": bass program 34, named so, one note at a time`, 1 << 1},
		"by program alone":               {song(1, fagott, cello, bass.with(nameless)), `track 3: bass program 34, one note at a time, the lowest part`, 1 << 1},
		"by name alone":                  {song(1, keys.with(noProgram), bass.with(noProgram), melody.with(noProgram)), `track 2 "Bass": named so, one note at a time, the lowest part`, 1 << 1},
		"by range and voice":             {song(1, keys.with(nameless).with(noProgram), melody.with(nameless).with(noProgram), bass.with(nameless).with(noProgram)), `track 3: one note at a time, the lowest part, in the range of basses`, 1 << 1},
		"not the bassoon":                {song(1, fagott, drums, bass.with(nameless)), `track 3: bass program 34, one note at a time, the lowest part`, 1 << 1},
		"not the bassoon, by name":       {song(1, fagott.with(noProgram), bass.with(nameless).with(noProgram)), `track 2: one note at a time, the lowest part, in the range of basses`, 1 << 1},
		"not low chords":                 {song(1, voicing{"", 2, -1, []byte{26, 33, 38}, true, 0}, bass.with(nameless).with(noProgram)), `track 2: one note at a time, in the range of basses`, 1 << 1},
		"not a bass drum":                {song(1, voicing{"Bass drum", 2, -1, []byte{36}, false, 0}, bass.with(nameless)), `track 2: bass program 34, one note at a time, the lowest part`, 1 << 1},
		"not drums on another channel":   {song(1, voicing{"", 2, -1, []byte{36, 38}, false, 0}, voicing{"", 1, -1, []byte{28, 35, 40, 45, 57}, false, 0}), `track 2: one note at a time, in the range of basses`, 1 << 1},
		"not four stray notes":           {song(1, bass.with(nameless).with(func(v *voicing) { v.strokes = 1 }), bass.with(nameless).with(func(v *voicing) { v.channel = 2 })), `track 2: bass program 34, one note at a time, in the range of basses`, 1 << 2},
		"not the lower, a third as long": {song(1, bass.with(nameless).with(func(v *voicing) { v.strokes, v.channel, v.pitches = 9, 2, []byte{28, 29, 30, 31} }), bass.with(nameless)), `track 2: bass program 34, one note at a time, in the range of basses`, 1 << 1},
		"a contrabass":                   {song(1, keys, melody, bass.with(nameless).with(func(v *voicing) { v.program = 43 })), `track 3: bass program 44, one note at a time, the lowest part`, 1 << 1},
		"the program from another track": {append(song(1, cello, bass.with(nameless).with(noProgram)), chunk("MTrk", setup...)...), `track 2: bass program 34, one note at a time, the lowest part`, 1 << 1},
		"in format 0":                    {song(0, drums, keys, melody, bass), `track 1 channel 2: bass program 34, one note at a time, the lowest part`, 1 << 1},
		"strings on channels of one track": {smfBytes(1, 96, append(keys.events(), 0, 0xFF, 0x2F, 0), slicesConcat(on("Bass", 1, 43, 45).events(), on("", 2, 38, 41).events(), on("", 3, 33, 36).events(), on("", 4, 28, 31).events(), unhex(t, end))),
			`track 2 "Bass" channels 2, 3, 4, 5: bass program 34, named so, one channel a string`, 0b11110},
		"strings on tracks of their own": {song(1, keys, on("Bass G", 1, 43, 45), on("Bass D", 2, 38, 41), on("Bass A", 3, 33, 36), on("Bass E", 4, 28, 31)),
			`track 2 "Bass G", track 3 "Bass D", track 4 "Bass A", track 5 "Bass E" channels 2, 3, 4, 5: bass program 34, named so, one channel a string`, 0b11110},
		"names that end as strings of C do": {song(1, keys, on("Bass D\x00", 2, 38, 41), on("Bass A\x00", 3, 33, 36)),
			`track 2 "Bass D", track 3 "Bass A" channels 3, 4: bass program 34, named so, one channel a string`, 0b1100},
		"strings on tracks without names": {song(1, keys, on("", 1, 43, 45), on("", 2, 38, 41), on("", 3, 33, 36), on("", 4, 28, 31)),
			`track 2, track 3, track 4, track 5 channels 2, 3, 4, 5: bass program 34, one channel a string, in the range of basses`, 0b11110},
		"drums below strings from channel 11": {song(0, drums, on("", 10, 43, 45), on("", 11, 38, 41), on("", 12, 33, 36), on("", 13, 28, 31)),
			`track 1 channels 11, 12, 13, 14: one channel a string`, 0b1111 << 10},
		"nor if one of them has no number":         {song(1, on("Bass", 1, 28, 31), on("Bass 2", 2, 40, 43)), `track 1 "Bass": bass program 34, named so, one note at a time`, 1 << 1},
		"nor an octave apart with numbers":         {song(1, on("Bass 1", 1, 28, 31), on("Bass 2", 2, 40, 43)), `track 1 "Bass 1": bass program 34, named so, one note at a time`, 1 << 1},
		"nor where the letter is the instrument's": {song(1, on("E-Bass 1", 1, 28, 31), on("E-Bass 2", 2, 40, 43)), `track 1 "E-Bass 1": bass program 34, named so, one note at a time`, 1 << 1},
		"unless they are called strings": {song(1, on("Bass string 1", 1, 40, 43), on("Bass string 2", 2, 34, 37)),
			`track 1 "Bass string 1", track 2 "Bass string 2" channels 2, 3: one channel a string`, 0b110},
		"high strings, though the lowest of them alone lies where basses do": {song(1, keys, on("Bass G", 1, 64, 66), on("Bass D", 2, 59, 61), on("Bass A", 3, 45)),
			`track 2 "Bass G", track 3 "Bass D", track 4 "Bass A" channels 2, 3, 4: bass program 34, named so, one channel a string`, 0b1110},
		"three with numbers are": {song(1, on("Bass 1", 1, 40, 43), on("Bass 2", 2, 34, 37), on("Bass 3", 3, 28, 31)),
			`track 1 "Bass 1", track 2 "Bass 2", track 3 "Bass 3" channels 2, 3, 4: one channel a string`, 0b1110},
		"two basses are not strings":     {song(1, on("Bass 1", 1, 28, 40), on("Bass 2", 2, 28, 40)), `track 1 "Bass 1": bass program 34, named so, one note at a time`, 1 << 1},
		"drums if there is nothing else": {song(1, drums), `track 1 "Kit": percussion, nothing else has notes`, 1 << 9},
		"the only part but for drums":    {song(1, drums, melody), `track 2 "Tune": the only part with notes but for drums`, 1 << 3},
		"the only part":                  {song(1, melody), `track 1 "Tune": the only part with notes`, 1 << 3},
		"nothing":                        {song(1, bass.with(func(v *voicing) { v.strokes = -1 })), `no track has a note`, 0},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := ReadFile("song.mid", c.data, FileOptions{Track: "auto"})
			require.NoError(t, err)
			read, _, _ := strings.Cut(f.Track(), unreadIs)
			assert.Equal(t, c.want, read)
			var channels uint16
			n := 0
			for _, e := range collect(t, f) {
				if e.Data[0]>>4 == 9 && e.Data[2] > 0 {
					channels |= 1 << (e.Data[0] & 15)
					n++
				}
			}
			assert.Equal(t, c.channels, channels)
			assert.Equal(t, n, f.line.notes)
			all := File{scan: f.scan, line: f.scan.everything(), clock: f.clock}
			assert.Equal(t, notesIn(collect(t, &all))-n, unread(t, f))
			switch c.channels {
			case 0:
				assert.Equal(t, []string{"no track has a note"}, f.Warnings())
			case 1 << percussion:
				assert.Equal(t, []string{"what is read is drums (channel 10)"}, f.Warnings())
				assert.True(t, f.Drums())
			default:
				assert.False(t, f.Drums())
				assert.Empty(t, f.Warnings())
			}
		})
	}
}

// unreadIs stands between what is read of a file and what is not.
const unreadIs = "; not read: "

// unread adds up the notes that f says it does not read.
func unread(t *testing.T, f *File) (notes int) {
	_, not, _ := strings.Cut(f.Track(), unreadIs)
	for _, m := range regexp.MustCompile(`\((\d+) notes?\)`).FindAllStringSubmatch(not, -1) {
		n, err := strconv.Atoi(m[1])
		require.NoError(t, err)
		notes += n
	}
	return notes
}

func TestFile_TakesTheTrackAskedFor(t *testing.T) {
	t.Parallel()
	data := song(1, drums, keys, melody, bass, voicing{"Keys 2", 6, 5, []byte{60}, false, 0}, voicing{"Tacet", 7, 1, nil, false, -1})
	for want, text := range map[string]string{
		"3":         `track 3 "Tune": asked for, one note at a time`,
		"tune":      `track 3 "Tune": asked for, one note at a time`,
		"1":         `track 1 "Kit": asked for, percussion`,
		"keys":      `track 2 "Keys": asked for`,
		"keys 2":    `track 5 "Keys 2": asked for, one note at a time`,
		"channel 2": `track 4 "Bass": asked for`,
	} {
		f, err := ReadFile("song.mid", data, FileOptions{Track: want})
		require.NoError(t, err, want)
		read, _, _ := strings.Cut(f.Track(), unreadIs)
		assert.Equal(t, text, read)
		assert.Equal(t, 5, f.Tracks(), "the silent one does not count")
	}
	const list = `choose track 1 "Kit" (channel 10, 64 notes), track 2 "Keys" (channel 1, 128 notes), track 3 "Tune" (channel 4, 32 notes), track 4 "Bass" (channel 2, 32 notes), track 5 "Keys 2" (channel 7, 32 notes)`
	for want, text := range map[string]string{
		"0":      "song.mid: track 0 does not exist: " + list,
		"7":      "song.mid: track 7 does not exist: " + list,
		"6":      "song.mid: track 6 has no notes: " + list,
		"Tacet":  `song.mid: no track with notes is called "Tacet": ` + list,
		"violin": `song.mid: no track with notes is called "violin": ` + list,
		"key":    `song.mid: "key" is the name of 2 tracks, give a number: choose track 2 "Keys" (channel 1, 128 notes), track 5 "Keys 2" (channel 7, 32 notes)`,
	} {
		_, err := ReadFile("song.mid", data, FileOptions{Track: want})
		assert.EqualError(t, err, text)
	}

	// Where names are the one asked for, those that hold it are not meant.
	named := func(name string, channel byte) voicing {
		return bass.with(func(v *voicing) { v.name, v.channel = name, channel })
	}
	_, err := ReadFile("song.mid", song(1, named("Bass", 1), named("Bass E", 2), named("bass", 3)), FileOptions{Track: "BASS"})
	assert.EqualError(t, err, `song.mid: "BASS" is the name of 2 tracks, give a number: choose track 1 "Bass" (channel 2, 32 notes), track 3 "bass" (channel 4, 32 notes)`)
}

func TestFile_TakesStringsAskedForTogether(t *testing.T) {
	t.Parallel()
	on := func(name string, ch byte, pitches ...byte) voicing { return voicing{name, ch, -1, pitches, false, 0} }
	data := song(1, keys, on("Left G", 1, 43, 45), on("Left D", 2, 38, 41), on("Left A", 3, 33, 36), on("Left E", 4, 28, 31))
	f, err := ReadFile("song.mid", data, FileOptions{Track: "left"})
	require.NoError(t, err)
	assert.Equal(t, `track 2 "Left G", track 3 "Left D", track 4 "Left A", track 5 "Left E" channels 2, 3, 4, 5: asked for; not read: 1 other track: track 1 "Keys" (128 notes)`, f.Track())
	assert.Equal(t, 4*32, notesIn(collect(t, f)))
	f, err = ReadFile("song.mid", data, FileOptions{Track: "left a"})
	require.NoError(t, err)
	assert.Equal(t, 32, notesIn(collect(t, f)))
}

func TestFile_NamesATrackAfterItsInstrument(t *testing.T) {
	t.Parallel()
	long := "A name that goes on and on until nobody reads it any more"
	track := append([]byte{0, 0xFF, 4, byte(len(long))}, long...)
	track = append(track, bass.with(func(v *voicing) { v.name = "" }).events()...)
	f, err := ReadFile("song.mid", smfBytes(1, 96, append(track, 0, 0xFF, 0x2F, 0)), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, `track 1 "A name that goes on and on until nobody …": the only part with notes`, f.Track())
}

func TestFile_TakesAllOfItsOwnRecordings(t *testing.T) {
	t.Parallel()
	mark := append([]byte{0, 0xFF, 1, byte(len(takeText) + 2)}, takeText+" 1"...)
	b := append(mark, slicesConcat(drums.events(), keys.events(), bass.events())...)
	f, err := ReadFile("take.mid", smfBytes(0, 96, append(b, 0, 0xFF, 0x2F, 0)), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, "a recording of this program, all of it", f.Track())
	assert.Equal(t, 64+128+32, f.line.notes)
	assert.Equal(t, f.line.notes, notesIn(collect(t, f)))
}

func TestFile_ReadsControllersOfTheGlobalChannel(t *testing.T) {
	t.Parallel()
	// MIDI 1.0, mode 4: for strings on channels 2 to 5 the global channel is 1.
	b := slicesConcat(unhex(t, "00B06500 00B06400 00B0060C"),
		voicing{"Bass", 1, 33, []byte{43, 45}, false, 0}.events(), voicing{"", 2, 33, []byte{38}, false, 0}.events(),
		voicing{"", 3, 33, []byte{33, 36}, false, 0}.events(), voicing{"", 4, 33, []byte{28}, false, 0}.events(), unhex(t, end))
	f, err := ReadFile("global.mid", smfBytes(1, 96, b), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, []string{"B06500", "B06400", "B0060C"}, func() (ms []string) {
		for _, m := range messages(collect(t, f))[:3] {
			ms = append(ms, m.msg)
		}
		return ms
	}())
}

func TestFile_QuotesNames(t *testing.T) {
	t.Parallel()
	f, err := ReadFile("name.mid", song(1, bass.with(func(v *voicing) { v.name = "Bass\x1b[2J\n[red]" })), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, `track 1 "Bass\x1b[2J\n[red]": the only part with notes`, f.Track())
}

// The player's word on channels counts over tracks as in one: for tracks of one
// name but for a number, and one instrument.
func TestFile_ReadsTheStringsThatWereNamedOverTracks(t *testing.T) {
	t.Parallel()
	on := func(name string, ch byte, program int, pitches ...byte) voicing {
		return voicing{name, ch, program, pitches, false, 0}
	}
	for name, c := range map[string]struct {
		data  []byte
		track string
		want  string
	}{
		"two of one name":        {song(1, on("Bass", 2, 33, 36, 38), on("Bass", 3, 33, 31, 33)), "auto", `track 1 "Bass", track 2 "Bass" channels 3, 4: the only part with notes`},
		"two with numbers":       {song(1, keys, on("Bass 1", 2, 33, 36, 38), on("Bass 2", 3, 33, 31, 33)), "auto", `track 2 "Bass 1", track 3 "Bass 2" channels 3, 4: bass program 34, named so, one channel a string`},
		"asked for by that name": {song(1, keys, on("Bass 1", 2, 33, 36, 38), on("Bass 2", 3, 33, 31, 33)), "Bass", `track 2 "Bass 1", track 3 "Bass 2" channels 3, 4: asked for`},
		"two instruments":        {song(1, on("", 2, 0, 36, 38), on("", 3, 33, 31, 33)), "auto", `track 2: bass program 34, one note at a time, the lowest part`},
		"two names":              {song(1, on("Keys", 2, -1, 60, 62), on("Bass", 3, -1, 31, 33)), "auto", `track 2 "Bass": named so, one note at a time, the lowest part`},
	} {
		t.Run(name, func(t *testing.T) {
			told, err := ParseStrings("1=1,2=2,3=3,4=4")
			require.NoError(t, err)
			f, err := ReadFile("song.mid", c.data, FileOptions{Track: c.track, Strings: told})
			require.NoError(t, err)
			read, _, _ := strings.Cut(f.Track(), unreadIs)
			assert.Equal(t, c.want, read)
		})
	}
}
