package midiin

import (
	"context"
	"encoding/binary"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"stillhand/testdata/bound"
)

func FuzzReadFile(f *testing.F) {
	f.Add(unhex(f, exampleFormat0), "")
	f.Add(unhex(f, exampleFormat1), "2")
	f.Add(song(1, drums, keys, bass), "bass")
	f.Add(smfBytes(2, 0xE728, unhex(f, "00902850 60802840"+end)), "auto")
	f.Fuzz(func(t *testing.T, data []byte, track string) {
		var file *File
		var err error
		bound.Check(t, len(data), func() { file, err = ReadFile("fuzz.mid", data, FileOptions{Track: track}) })
		if err != nil {
			if strings.Contains(strings.ReplaceAll(err.Error(), track, ""), "\n") {
				t.Fatalf("more than one line: %q", err)
			}
			return
		}
		last, notes := time.Duration(0), 0
		require.NoError(t, file.Run(context.Background(), func(e Event) {
			if e.At < last {
				t.Fatalf("time goes back from %v to %v", last, e.At)
			}
			last = e.At
			if e.Kind == Message {
				if e.Data[0] < 0x80 || e.Data[0] >= 0xF0 || (e.Data[1]|e.Data[2]) >= 0x80 {
					t.Fatalf("% X is no channel message", e.Data)
				}
				if e.Data[0]>>4 == 9 && e.Data[2] > 0 {
					notes++
				}
			}
			if bar, beat, ok := file.Bar(e.At); ok && (bar < 1 || beat < 1) {
				t.Fatalf("bar %d beat %v at %v", bar, beat, e.At)
			}
		}))
		require.Equal(t, file.Notes(), notes)
		require.GreaterOrEqual(t, file.Length(), last)
		require.NotContains(t, file.Track(), "\n")
		require.LessOrEqual(t, len(file.Warnings()), maxWarnings+2)
	})
}

func FuzzStream(f *testing.F) {
	f.Add(unhex(f, "902850 2800 F8 91 29 FE 50 F07E7F0901F7 E00040"), byte(3))
	f.Fuzz(func(t *testing.T, data []byte, split byte) {
		want := decode(data)
		var parts [][]byte
		for rest := data; len(rest) > 0; {
			n := min(len(rest), 1+int(split)%7)
			parts, rest = append(parts, rest[:n]), rest[n:]
		}
		var got [][3]byte
		bound.Check(t, len(data), func() {
			require.NoError(t, NewStream("fuzz", &chunks{parts}).Run(context.Background(), func(e Event) { got = append(got, e.Data) }))
		})
		require.Equal(t, want, got)
		for _, m := range got {
			if m[0] < 0x80 || m[0] >= 0xF0 || (m[1]|m[2]) >= 0x80 {
				t.Fatalf("% X is no channel message", m)
			}
		}
	})
}

func FuzzCleaner(f *testing.F) {
	f.Add([]byte{0, 0, 0x90, 40, 80, 0, 20, 0x80, 40, 0, 0, 30, 0x90, 40, 70}, byte(0))
	f.Add([]byte{0, 0, 0xB0, 126, 4, 0, 9, 0x90, 40, 80, 0, 9, 0xE0, 0, 127, 0, 90, 0x91, 45, 80}, byte(1))
	f.Fuzz(func(t *testing.T, data []byte, options byte) {
		o := CleanerOptions{Open: bass4, Frets: 22, Mode: Mode(options % 3), Octave: int(options>>2)%3 - 1}
		var es []tagged
		at := time.Duration(0)
		for ; len(data) >= 5; data = data[5:] {
			at += time.Duration(binary.BigEndian.Uint16(data)) * 100 * time.Microsecond
			es = append(es, tagged{Event: Event{At: at, Data: [3]byte{0x80 | data[2]%0x70, data[3] & 0x7F, data[4] & 0x7F}}})
		}
		if len(es) == 0 {
			return
		}
		struck := 0
		for _, e := range es {
			if e.Data[0]>>4 == 9 && e.Data[2] > 0 {
				struck++
			}
		}
		var h *heard
		bound.Check(t, len(data), func() { h = play(t, o, es, nil) })
		slid := 0
		for _, n := range h.notes {
			if n.Slide != 0 {
				slid++
			}
		}
		require.Equal(t, struck, len(h.notes)-slid+len(h.dropped), "every struck note is kept or listed")
	})
}
