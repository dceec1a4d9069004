package midiin

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/testdata/bound"
)

// A file may take 32 times its size and 64 MiB of memory, all that is ever
// allocated counted. Not parallel: what others allocate would count too.
func TestFile_MemoryStaysInBounds(t *testing.T) {
	const size = 8 << 20
	fill := func(event string) []byte {
		b := unhex(t, event)
		return smfBytes(0, 96, bytes.Repeat(b, size/len(b)))
	}
	tracks := func(format int, first, other []byte) []byte {
		all := make([][]byte, 65535)
		all[0] = first
		for i := range all[1:] {
			all[i+1] = other
		}
		return smfBytes(format, 96, all...)
	}
	take := append([]byte{0, 0xFF, 1, byte(len(takeText))}, takeText...)
	for name, data := range map[string][]byte{
		"texts":               fill("00FF0100"),
		"tempi":               fill("01FF5103000001"),
		"time signatures":     fill("01FF58020402"),
		"tempi at one tick":   fill("00FF5103000001"),
		"notes":               fill("00902850"),
		"broken notes":        fill("009080FF"),
		"names":               fill("00FF037F" + "20"),
		"empty tracks":        tracks(1, nil, nil),
		"empty tracks, taken": tracks(1, take, nil),
		"sixteen channels":    tracks(1, take, sixteenChannels()),
		"pieces":              tracks(2, nil, sixteenChannels()),
		"a promise of 256 MB": smfBytes(0, 96, unhex(t, "00F08FFFFFFF7F")),
		"no chunk":            append(smfBytes(0, 96), bytes.Repeat([]byte{0xFF}, size)...),
		"no MIDI":             bytes.Repeat([]byte("MTh"), size/3),
	} {
		events := 0
		used := bound.Allocated(func() {
			f, err := ReadFile("bounds.mid", data, FileOptions{})
			if err != nil {
				return
			}
			require.NoError(t, f.Run(context.Background(), func(Event) { events++ }))
			f.Bar(f.Length())
		})
		t.Logf("%s: %.1f times its %d bytes, %d events", name, float64(used)/float64(len(data)), len(data), events)
		assert.Less(t, used, bound.Memory(len(data)), name)
	}
}
