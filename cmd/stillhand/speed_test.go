package main_test

import (
	"bytes"
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/midiin"
	"stillhand/session"
)

// longLine is a file of n notes: a line that wanders over the neck, the same
// one always, on one channel or on one for each string.
func longLine(t testing.TB, n int, perString bool) []byte {
	t.Helper()
	open := [4]int{43, 38, 33, 28}
	var track smf.Track
	track.Add(0, smf.MetaTrackSequenceName("Bass"))
	str, fret := 3, 5
	r := rand.New(rand.NewPCG(8, 1))
	for i := range n {
		str = min(3, max(0, str+r.IntN(3)-1))
		fret = min(17, max(0, fret+r.IntN(5)-2))
		if i%97 == 0 {
			fret = r.IntN(18)
		}
		channel := uint8(0)
		if perString {
			channel = uint8(str)
		}
		key := uint8(open[str] + fret)
		track.Add(uint32(r.IntN(7))*4, midi.NoteOn(channel, key, 90))
		track.Add(100, midi.NoteOff(channel, key))
	}
	track.Close(0)
	s := smf.New()
	require.NoError(t, s.Add(track))
	data, err := s.Bytes()
	require.NoError(t, err)
	return data
}

func BenchmarkReview(b *testing.B) {
	const notes = 1_000_000
	setup, err := session.Resolve().Setup()
	require.NoError(b, err)
	for _, input := range []struct {
		name      string
		perString bool
	}{{"strings", true}, {"pitch", false}} {
		data := longLine(b, notes, input.perString)
		b.Run(input.name+"/review", func(b *testing.B) {
			for range b.N {
				f, err := midiin.ReadFile("long.mid", data, midiin.FileOptions{})
				require.NoError(b, err)
				r, err := session.NewRecording(f).Review(context.Background(), setup)
				require.NoError(b, err)
				require.Equal(b, notes, r.Input.Notes+len(r.Input.Dropped))
			}
		})
		b.Run(input.name+"/gomidi", func(b *testing.B) {
			for range b.N {
				_, err := smf.ReadFrom(bytes.NewReader(data))
				require.NoError(b, err)
			}
		})
	}
}
