package session

import (
	"math/rand/v2"
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

// When that was depends on the notes, not on how often the pipeline is woken: a
// soft note waits until it can be no ghost.
func TestPipeline_ReadsAgainAtOneTimeHoweverOftenItIsWoken(t *testing.T) {
	t.Parallel()
	for seed := range uint64(16) {
		r := rand.New(rand.NewPCG(seed, 8))
		var perf performance
		at := time.Duration(0)
		for range 100 {
			at += time.Duration(r.IntN(400)) * time.Millisecond
			perf.channel = byte(r.IntN(4))
			perf.note(at, 43-5*int(perf.channel)+r.IntN(15), time.Duration(5+r.IntN(300))*time.Millisecond)
			perf.events[len(perf.events)-2].Data[2] = byte(20 + r.IntN(100))
			at += 300 * time.Millisecond
		}
		found := func(ticks func(from, to time.Duration) []time.Duration) time.Duration {
			p := NewPipeline(plainSetup(t, map[string]string{"input": "pickup"}))
			feed(p, perf.events, at, ticks)
			return p.reread
		}
		assert.Equal(t, found(noTicks), found(func(from, to time.Duration) (at []time.Duration) {
			for ; from < to; from += 7 * time.Millisecond {
				at = append(at, from)
			}
			return at
		}), "seed %d", seed)
	}
}
