package main_test

import (
	"bytes"
	"encoding/csv"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/testdata"
	"stillhand/testdata/score"
)

// truthRow is one row of a truth file, as testdata/README.md tells.
type truthRow struct {
	note                          int
	at, heard, off                float64 // ms
	pitch, str, fret, finger, pos int
	shift, slide                  int
	kind                          string
}

func readTruth(t *testing.T, name string) []truthRow {
	t.Helper()
	text, err := testdata.Files.ReadFile(name)
	require.NoError(t, err)
	records, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	require.NoError(t, err)
	require.Equal(t, "note,at_ms,heard_ms,off_ms,pitch,string,fret,finger,position,shift,slide,kind", strings.Join(records[0], ","))
	var rows []truthRow
	for _, r := range records[1:] {
		var v [11]float64
		for i := range v {
			v[i], err = strconv.ParseFloat(r[i], 64)
			require.NoError(t, err)
		}
		rows = append(rows, truthRow{int(v[0]), v[1], v[2], v[3], int(v[4]), int(v[5]), int(v[6]), int(v[7]), int(v[8]), int(v[9]), int(v[10]), r[11]})
	}
	require.NotEmpty(t, rows)
	return rows
}

// counted leaves the rows that are notes of the line.
func counted(rows []truthRow) []truthRow {
	return slices.DeleteFunc(slices.Clone(rows), func(r truthRow) bool { return r.note < 0 })
}

// struck is one note-on with its release, as gomidi reads the file.
type struck struct {
	onMS, offMS    float64
	channel, pitch int
}

// readStruck reads the note-ons of a recording in the order of the file, and
// the number of pitch bends off the centre. Notes of a channel may not overlap
// on channels for which mono is true.
func readStruck(t *testing.T, name string, mono func(ch int) bool) (notes []struck, bends int) {
	t.Helper()
	data, err := testdata.Files.ReadFile(name)
	require.NoError(t, err)
	file, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	type key struct{ ch, pitch uint8 }
	open := map[key]int{}
	for _, track := range file.Tracks {
		var tick int64
		for _, e := range track {
			tick += int64(e.Delta)
			ms := float64(file.TimeAt(tick)) / 1000
			var ch, pitch, velocity uint8
			var relative int16
			var absolute uint16
			msg := midi.Message(e.Message)
			switch {
			case msg.GetNoteStart(&ch, &pitch, &velocity):
				for k := range open {
					require.False(t, k.ch == ch && mono(int(ch)), "%s: two notes on channel %d at %.0f ms", name, ch+1, ms)
				}
				open[key{ch, pitch}] = len(notes)
				notes = append(notes, struck{onMS: ms, channel: int(ch), pitch: int(pitch)})
			case msg.GetNoteEnd(&ch, &pitch):
				i, ok := open[key{ch, pitch}]
				require.True(t, ok, "%s: release of nothing at %.0f ms", name, ms)
				notes[i].offMS = ms
				delete(open, key{ch, pitch})
			case msg.GetPitchBend(&ch, &relative, &absolute) && relative != 0:
				bends++
			}
		}
	}
	require.Empty(t, open, "%s: notes without a release", name)
	return notes, bends
}

func TestRecordings_AreWhatTheScoresMake(t *testing.T) {
	t.Parallel()
	made, err := score.Recordings(testdata.Files)
	require.NoError(t, err)
	require.NoError(t, fs.WalkDir(testdata.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if ext := path.Ext(name); err != nil || ext != ".mid" && ext != ".csv" && ext != ".rmi" {
			return err
		}
		stored, err := testdata.Files.ReadFile(name)
		assert.True(t, bytes.Equal(stored, made[name]), "%s is not what its score makes: run go run ./testdata/compose", name)
		delete(made, name)
		return err
	}))
	assert.Empty(t, made, "made but not stored")
	demo, err := testdata.Files.ReadFile("demo.mid")
	require.NoError(t, err)
	assert.Equal(t, demo, testdata.Demo)
}

func TestRecordings_TruthAgreesWithItselfAndTheFile(t *testing.T) {
	t.Parallel()
	open := []int{43, 38, 33, 28}                                                     // G2 D2 A1 E1, common practice
	four, three := map[int]int{1: 0, 2: 1, 3: 2, 4: 3}, map[int]int{1: 0, 2: 1, 4: 2} // common practice
	names, err := fs.Glob(testdata.Files, "*.truth.csv")
	require.NoError(t, err)
	require.Len(t, names, 6)
	for _, name := range names {
		stem := strings.TrimSuffix(name, ".truth.csv")
		system := four
		if stem == "lesson-three" {
			system = three
		}
		rows := readTruth(t, name)
		index, position, reaches := 0, 0, 0
		for _, r := range rows {
			assert.Equal(t, open[r.str-1]+r.fret, r.pitch, "%s: %+v", name, r)
			assert.LessOrEqual(t, r.at, r.heard, "%s: %+v", name, r)
			assert.Less(t, r.heard, r.off, "%s: %+v", name, r)
			if r.note < 0 {
				assert.Contains(t, []string{"ghost", "double", "missing"}, r.kind)
				continue
			}
			assert.Equal(t, index, r.note, "%s: %+v", name, r)
			index++
			moved := position != 0 && r.pos != position
			assert.Equal(t, moved, r.shift == 1, "%s: %+v", name, r)
			position = r.pos
			switch offset, known := system[r.finger]; {
			case r.fret == 0:
				assert.Zero(t, r.finger, "%s: %+v", name, r)
			case r.fret-r.pos != offset:
				reaches++
				fallthrough
			default:
				assert.True(t, known, "%s: %+v", name, r)
				assert.InDelta(t, offset, r.fret-r.pos, 1, "%s: %+v", name, r)
			}
		}
		assert.LessOrEqual(t, reaches, 3, "%s: reaching out of the window is rare", name)

		notes, bends := readStruck(t, stem+".mid", func(ch int) bool { return stem != "band" || ch == 1 })
		if stem == "band" {
			notes = slices.DeleteFunc(notes, func(n struck) bool { return n.channel != 1 })
		}
		rows = slices.DeleteFunc(rows, func(r truthRow) bool { return r.kind == "missing" || r.slide != 0 })
		require.Len(t, notes, len(rows), name)
		for i, r := range rows {
			assert.InDelta(t, r.heard, notes[i].onMS, 1, "%s: %+v", name, r)
			assert.Equal(t, r.pitch, notes[i].pitch, "%s: %+v", name, r)
			if stem != "band" {
				assert.Equal(t, r.str, notes[i].channel+1, "%s: %+v", name, r)
			}
		}
		assert.Equal(t, stem == "demo" || stem == "pickup", bends > 0, name)
	}
}

// passages splits a line at gaps over 400 ms, as the model does.
func passages(rows []truthRow) [][]truthRow {
	var all [][]truthRow
	end := -1e9
	for _, r := range rows {
		if r.heard-end > 400 {
			all = append(all, nil)
		}
		all[len(all)-1] = append(all[len(all)-1], r)
		end = max(end, r.off)
	}
	return all
}

func TestRecordings_DemoHoldsWhatItPromises(t *testing.T) {
	t.Parallel()
	rows := readTruth(t, "demo.truth.csv")
	assert.GreaterOrEqual(t, rows[len(rows)-1].off, 120_000.0, "two minutes at least")

	low, high, five, open, slides, legato, short, grips := 0, 0, 0, 0, 0, 0, 0, 0
	for i, r := range rows {
		if r.fret == 0 {
			open++
		}
		if r.slide != 0 {
			slides++
		}
		if i == 0 {
			continue
		}
		before := rows[i-1]
		switch apart := r.at - before.at; {
		case apart < 30:
			grips++
			assert.NotEqual(t, before.str, r.str, "%+v", r)
			assert.Equal(t, before.pos, r.pos, "one grip, one position: %+v", r)
		case r.at-before.off < 30:
			legato++
		case r.at-before.off < 400 && before.off-before.at < 0.9*apart:
			short++
		}
	}
	for _, p := range passages(rows) {
		assert.LessOrEqual(t, len(p), 24, "a passage is not split by its length: %+v", p[0])
		frets := map[int]bool{}
		for _, r := range p {
			if r.fret > 0 {
				frets[r.fret] = true
			}
		}
		lowest, highest := 99, 0
		for f := range frets {
			lowest, highest = min(lowest, f), max(highest, f)
		}
		switch {
		case highest <= 3:
			low++
		case lowest >= 12:
			high++
		case highest-lowest == 4 && len(frets) == 5:
			five++
		}
	}
	assert.GreaterOrEqual(t, low, 2, "passages on frets 1 to 3")
	assert.GreaterOrEqual(t, high, 2, "passages from fret 12 up")
	assert.GreaterOrEqual(t, five, 2, "passages of five frets in one region")
	assert.GreaterOrEqual(t, open, 20, "open strings")
	assert.GreaterOrEqual(t, slides, 3, "slides")
	assert.GreaterOrEqual(t, grips, 5, "two strings at once")
	assert.GreaterOrEqual(t, legato, 50, "legato pairs")
	assert.GreaterOrEqual(t, short, 30, "short notes")
}

// Parse: "An error names the line."
func TestScores_NameTheLineOfAMistake(t *testing.T) {
	t.Parallel()
	const head = "title x\nat 1 metre 4/4\nat 1 tempo 100\npart bass channel 1\n"
	for text, want := range map[string]string{
		"part bass channel 1\n1.1 C2 1\n":                                 "line 2: a note before any metre",
		"at 1 metre 4/0\nat 1 tempo 100\npart bass channel 1\n1.1 C2 1\n": "line 1: metre \"4/0\"",
		"at 1 metre 0/4\n":                    "line 1: metre \"0/4\"",
		"at 1 metre 4/4\nat 1 tempo 0\n":      "line 2: tempo 0: from 4 to 1000 beats a minute",
		"at 1 metre 4/4\nat 1 tempo 999999\n": "line 2: tempo 999999",
		head + "1.1 C2, 1\n":                  "line 5: a pitch is missing beside a comma",
	} {
		assert.NotPanics(t, func() {
			_, err := score.Parse(strings.NewReader(text))
			assert.ErrorContains(t, err, want)
		}, text)
	}
}
