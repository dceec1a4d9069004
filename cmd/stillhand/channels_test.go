package main_test

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// channelFile is a MIDI file of one track of eighths, each a channel (from 1) and a
// pitch.
func channelFile(t *testing.T, notes ...[2]int) string {
	t.Helper()
	var track []byte
	for _, n := range notes {
		ch := byte(n[0] - 1)
		track = append(track, 8, 0x90|ch, byte(n[1]), 80, 40, 0x80|ch, byte(n[1]), 0)
	}
	track = append(track, 0, 0xFF, 0x2F, 0)
	size := len(track)
	data := append([]byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00"), byte(size>>8), byte(size))
	path := filepath.Join(t.TempDir(), "channels.mid")
	require.NoError(t, os.WriteFile(path, append(data, track...), 0o600))
	return path
}

// inputOf is what review tells of the input of a file.
func inputOf(t *testing.T, args ...string) (in struct {
	Strings string
	Notes   int
	Dropped []any
	Track   string
}) {
	t.Helper()
	out, err := exec.Command("stillhand", append([]string{"review", "--json"}, args...)...).Output()
	require.NoError(t, err, "%s", out)
	var r struct{ Input *json.RawMessage }
	require.NoError(t, json.Unmarshal(out, &r))
	require.NoError(t, json.Unmarshal(*r.Input, &in))
	return in
}

// Notes that lie on three channels in turn are no strings, also where the first of
// them look like it: C major on three strings, as if channel 1 were the highest.
func TestReview_TakesNoTurnsForStrings(t *testing.T) {
	t.Parallel()
	notes := [][2]int{{3, 36}, {3, 38}, {2, 40}, {2, 41}, {2, 43}, {1, 45}, {1, 47}, {1, 48}}
	for i := range 80 {
		notes = append(notes, [2]int{1 + i%3, []int{40, 40, 41, 43, 41, 40, 38, 40}[i%8]})
	}
	in := inputOf(t, channelFile(t, notes...))
	assert.Equal(t, fmt.Sprint("inferred ", len(notes)), fmt.Sprint(in.Strings, " ", in.Notes))
}

// A converter with its strings on channels 7 to 10 plays no drums on the last.
func TestReview_ReadsAStringOnChannel10(t *testing.T) {
	t.Parallel()
	var notes [][2]int
	for i := range 96 { // frets 0 to 3 of every string
		str := i / 4 % 4
		notes = append(notes, [2]int{7 + str, []int{43, 38, 33, 28}[str] + i%4})
	}
	in := inputOf(t, channelFile(t, notes...))
	assert.Equal(t, fmt.Sprint("known ", len(notes)), fmt.Sprint(in.Strings, " ", in.Notes))
	assert.Empty(t, in.Dropped)

	// Nor if nothing else sounds, where the player says so.
	alone := channelFile(t, notes[12:16]...)
	in = inputOf(t, "--strings", "10=4", alone)
	assert.Equal(t, "known 4", fmt.Sprint(in.Strings, " ", in.Notes))
}
