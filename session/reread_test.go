package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
)

// A hand that is put somewhere once the newest note has settled has gone there
// since, also where the notes are read again.
func TestPipeline_ReadsAgainWhenTheHandWasPut(t *testing.T) {
	t.Parallel()
	var at time.Duration
	var events []midiin.Event
	add := func(kind midiin.EventKind, text string, data ...byte) {
		e := midiin.Event{At: at, Kind: kind, Text: text}
		copy(e.Data[:], data)
		events = append(events, e)
	}
	add(midiin.Text, midiin.TakeMark)
	for i, n := range [][2]byte{{0, 48}, {1, 43}, {2, 38}, {3, 33}, {0, 50}, {1, 45}, {2, 40}, {3, 35}, {0, 48}, {1, 43}, {2, 38}, {3, 33}, {3, 28}, {3, 45}, {0, 60}, {1, 55}, {2, 50}} {
		add(midiin.Message, "", 0x90|n[0], n[1], 80)
		at += 200 * time.Millisecond
		add(midiin.Message, "", 0x80|n[0], n[1], 0)
		at += 50 * time.Millisecond
		if i == 1 {
			at += time.Second
			add(midiin.Marker, "hand at 2")
		}
	}
	of := func(strings string) []ReviewNote {
		p := NewPipeline(plainSetup(t, map[string]string{"strings": strings}))
		feed(p, events, at+time.Second, noTicks)
		r := p.Review("x", "", nil)
		require.NotEmpty(t, r.Input.Channels, strings)
		return r.Notes
	}
	assert.Equal(t, of(everyStrings["told"]), of("auto"))
}
