package store

import (
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pgregory.net/rapid"

	"stillhand/midiin"
)

func TestQuantize_RoundsToTenthsOfAMillisecond(t *testing.T) {
	t.Parallel()
	for in, want := range map[time.Duration]time.Duration{
		0: 0, 49_999: 0, 50_000: 100_000, 149_999: 100_000, 150_000: 200_000,
		3*time.Hour + 1: 3 * time.Hour, 26*time.Hour + 99_999: 26*time.Hour + 100_000,
	} {
		assert.Equal(t, want, quantize(in), "%d ns", in)
		assert.Equal(t, want, quantize(quantize(in)))
	}
}

// What a session hears is what its take says when it is read like any other
// file: the same events at the same times, if they were quantized before.
func TestTake_ReadsBackAsItWasPlayed(t *testing.T) {
	t.Parallel()
	event := rapid.Custom(func(t *rapid.T) midiin.Event {
		e := midiin.Event{At: time.Duration(rapid.Int64Range(0, int64(time.Minute)).Draw(t, "gap"))}
		switch rapid.IntRange(0, 9).Draw(t, "kind") {
		case 0:
			e.Kind, e.Text = midiin.Marker, rapid.StringMatching(`[ -~éö♭]{0,40}`).Draw(t, "text")
		default:
			e.Data = [3]byte{
				rapid.Byte().Draw(t, "status")%0x70 | 0x80,
				rapid.Byte().Draw(t, "data 1") & 0x7f, rapid.Byte().Draw(t, "data 2") & 0x7f,
			}
			if messageLength(e.Data[:]) == 2 {
				e.Data[2] = 0
			}
		}
		return e
	})
	rapid.Check(t, func(rt *rapid.T) {
		events := rapid.SliceOfN(event, 1, 60).Draw(rt, "events")
		events = append(events, noteOn(0, 28))
		at := time.Duration(0)
		for i := range events {
			at += events[i].At * time.Duration(i%3) // a third come together with the one before
			events[i].At = quantize(at)
		}
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, header)
		for _, e := range events {
			rec.Event(e)
		}
		path, err := rec.Finish()
		require.NoError(rt, err)
		data, err := disk.ReadFile(path)
		require.NoError(rt, err)
		file, err := midiin.ReadFile(path, data, midiin.FileOptions{})
		require.NoError(rt, err)
		require.Empty(rt, file.Warnings())
		var got []midiin.Event
		require.NoError(rt, file.Run(t.Context(), func(e midiin.Event) {
			if e.Kind != midiin.Text {
				got = append(got, e)
			}
		}))
		require.Equal(rt, events, got)
	})
}

func TestTake_TimesNeverDecreaseAndTextsAreKept(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, nil)
		rec.Event(noteOn(2*time.Second, 30))
		rec.Action(time.Second, "mark")
		rec.Event(midiin.Event{At: -time.Second, Kind: midiin.Text, Text: "a text"})
		rec.Event(midiin.Event{At: 3 * time.Second, Kind: midiin.Found, Text: "Cable"})
		for _, data := range [][3]byte{{0x45, 1, 1}, {0xf0, 1, 1}, {0x90, 0x80, 1}, {0x90, 1, 0xff}} {
			rec.Event(midiin.Event{At: 3 * time.Second, Data: data})
		}
		path, err := rec.Finish()
		require.NoError(t, err)
		assert.Equal(t, []midiin.Event{
			noteOn(2*time.Second, 30),
			{At: 2 * time.Second, Kind: midiin.Marker, Text: "mark"},
			{At: 3 * time.Second, Kind: midiin.Marker, Text: "found Cable"},
		}, readTake(t, disk, path))
		assert.Contains(t, readTexts(t, disk, path), "a text")
	})
}
