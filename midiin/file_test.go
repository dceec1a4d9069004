package midiin

import (
	"context"
	"encoding/hex"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// RP-001 (Standard MIDI Files 1.0), the worked example in format 0.
const exampleFormat0 = `4D546864 00000006 0000 0001 0060 4D54726B 0000003B 00FF580404021808 00FF510307A120 00C005 00C12E 00C246
00923060 003C60 60914340 60904C20 8140823040 003C40 00814340 00804C40 00FF2F00`

func unhex(t testing.TB, s string) []byte {
	b, err := hex.DecodeString(strings.NewReplacer(" ", "", "\n", "").Replace(s))
	require.NoError(t, err)
	return b
}

func collect(t testing.TB, s Source) []Event {
	var es []Event
	require.NoError(t, s.Run(context.Background(), func(e Event) { es = append(es, e) }))
	return es
}

func TestFile_ReadsWorkedExample(t *testing.T) {
	t.Parallel()
	f, err := ReadFile("a.mid", unhex(t, exampleFormat0), FileOptions{})
	require.NoError(t, err)
	assert.Equal(t, 2*time.Second, f.Length())
	assert.Empty(t, f.Warnings())
	t.Log(f.Track())
	for _, e := range collect(t, f) {
		t.Logf("%v % X", e.At, e.Data)
	}
}
