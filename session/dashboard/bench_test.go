package dashboard

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// notes are frames as playing makes them: a finger moves, numbers grow.
func notes(n int) *session.Snapshot {
	return sample(func(s *session.Snapshot) {
		s.Playing[0].Place = coach.Place{String: 1 + n%4, Fret: 5 + n%4}
		s.Playing[0].Finger = 1 + n%4
		s.Notes += n
		s.Take.Likely += float64(n) / 10
		s.Hand.Settled = n%2 == 0
	})
}

// drawn draws frames at w by h over tcell's own terminal, through the wrapper
// or without it, and returns the bytes of an average frame.
func drawn(t testing.TB, w, h, frames int, wrap func(tcell.Screen) tcell.Screen) float64 {
	t.Helper()
	tty := newFakeTty(w, h)
	terminal := real(t, tty)
	require.NoError(t, terminal.Init())
	defer terminal.Fini()
	screen := wrap(terminal)
	b := newBoard(terminal, nil)
	b.take(notes(0))
	frame(screen, b)
	before := tty.bytes()
	for i := range frames {
		b.take(notes(i))
		frame(screen, b)
	}
	return float64(tty.bytes()-before) / float64(frames)
}

func unwrapped(s tcell.Screen) tcell.Screen { return s }
func wrapped(s tcell.Screen) tcell.Screen   { return newScreen(s) }

// What is measured: a player's frames send a few hundred bytes, not the whole
// screen.
func TestScreen_SendsOnlyWhatChanged(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{80, 24}, {120, 40}} {
		with := drawn(t, size[0], size[1], 50, wrapped)
		without := drawn(t, size[0], size[1], 5, unwrapped)
		require.Less(t, with, 600.0, "%v", size)
		require.Greater(t, without, 10*with, "%v: the wrapper is worth its lines", size)
	}
}

// BenchmarkRatio_Frame is what a frame of playing takes to draw and send, and
// its bytes against those of a whole screen.
func BenchmarkRatio_Frame(b *testing.B) {
	const frames = 200
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		b.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(b *testing.B) {
			began := time.Now()
			with := drawn(b, size[0], size[1], frames, wrapped)
			took := time.Since(began) / frames
			whole := drawn(b, size[0], size[1], 5, unwrapped)
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(took.Seconds()*1e3, "ms/frame")
			b.ReportMetric(with, "bytes/frame")
			b.ReportMetric(with/whole, "x-whole-screen")
		})
	}
}

// report prints the median and the 99th percentile of times in ms.
func report(b *testing.B, times []time.Duration) {
	slices.Sort(times)
	b.ReportMetric(float64(times[len(times)/2])/1e6, "ms-p50")
	b.ReportMetric(float64(times[len(times)*99/100])/1e6, "ms-p99")
	b.ReportMetric(0, "ns/op")
}

// BenchmarkNote measures from a snapshot's arrival on an idle screen to the
// last byte of its frame at the terminal, at 20 notes a second.
func BenchmarkNote(b *testing.B) {
	tty := newFakeTty(120, 40)
	r := onTty(b, tty)
	var times []time.Duration
	pause := time.NewTicker(time.Second / 20)
	defer pause.Stop()
	for i := 0; b.Loop(); i++ {
		<-pause.C
		s := notes(i % 8)
		s.Source = fmt.Sprintf("bass %d", i)
		tty.written()
		begin := time.Now()
		r.put(s)
		tty.waitFor(b, func(seen string) bool { return seen != "" }) // a frame is one write
		times = append(times, time.Since(begin))
	}
	report(b, times)
}

// BenchmarkKey measures from a key at the terminal to its action while
// snapshots come a thousand times a second.
func BenchmarkKey(b *testing.B) {
	tty := newFakeTty(120, 40)
	r := onTty(b, tty)
	over := make(chan struct{})
	defer close(over)
	go func() {
		pace := time.NewTicker(time.Millisecond)
		defer pace.Stop()
		for i := 0; ; i++ {
			select {
			case <-pace.C:
				r.put(notes(i % 8))
			case <-over:
				return
			}
		}
	}()
	var times []time.Duration
	for b.Loop() {
		begin := time.Now()
		tty.typed("m")
		<-r.done
		times = append(times, time.Since(begin))
		tty.written()
	}
	report(b, times)
}
