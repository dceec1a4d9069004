//go:build linux || darwin

package midiin_test

import (
	"context"
	"flag"
	"fmt"
	"hash/fnv"
	"os"
	"os/signal"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"testing/synctest"
	"time"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/dashboard"
	"stillhand/session/store"
)

// A day at the instrument on a simulated clock, with everything going wrong
// that does: cables come out, writers leave, the disk is full, the terminal
// does not read, somebody sets the clock. From the cable to the terminal and to
// the take all parts are the program's own.
//
//	go test ./midiin -run Soak -v -day -timeout 1h
//
// Without -day it is an hour in all.
var day = flag.Bool("day", false, "soak for a day, not an hour")

// How a sitting goes: when a fault begins and how long it lasts.
// The periods have no common factor, so that the faults meet in every way.
const (
	bar       = 64 * time.Second // a phrase and a rest
	each      = time.Second / 8
	unplugged = 7 * time.Second
	pluggedIn = 181 * time.Second
	diskFull  = 53 * time.Second
	diskFree  = 241 * time.Second
	stuck     = 31 * time.Second
	reads     = 149 * time.Second
	clockSet  = 307 * time.Second
	markEvery = 127*time.Second + 13700*time.Microsecond // at no moment of another
	// steady is how much more memory the second half may need than the first.
	steady = 96 << 10
)

func TestSoak_NothingIsLostAndNothingGrows(t *testing.T) {
	t.Setenv("TERM", "xterm-256color")
	t.Setenv("LC_ALL", "C.UTF-8")
	// The goroutine that waits for signals lives as long as the process: not in
	// a bubble of simulated time.
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, syscall.SIGCONT)
	defer signal.Stop(signals)
	for _, fifo := range []bool{false, true} {
		t.Run(map[bool]string{false: "device", true: "fifo"}[fifo], func(t *testing.T) {
			s := &soak{dir: t.TempDir(), fifo: fifo, long: 30 * time.Minute, lap: 6 * time.Minute, phrase: 11 * time.Second}
			if *day {
				s.long, s.lap, s.phrase = 12*time.Hour, time.Hour, 31*time.Second
			}
			if underRace {
				s.long, s.lap = 10*time.Minute, 2*time.Minute
			}
			s.heap = make([]uint64, 0, s.long/s.lap)
			before := runtime.NumGoroutine()
			synctest.Test(t, s.run) // fails if a goroutine stays
			for began := time.Now(); runtime.NumGoroutine() > before; runtime.Gosched() {
				if time.Since(began) > 10*time.Second {
					stacks := make([]byte, 1<<20)
					require.FailNow(t, "goroutines stay", "%s", stacks[:runtime.Stack(stacks, true)])
				}
			}
			s.check(t)
		})
	}
}

// begins matches the beginning of a warning, in words that do not change.
var begins = regexp.MustCompile(`^[a-z ]+`)

// soak is one sitting.
type soak struct {
	dir       string
	fifo      bool
	long, lap time.Duration
	phrase    time.Duration // of playing, in each bar

	cable    *cable
	disk     *disk
	terminal *terminal
	began    time.Time
	clock    atomic.Int64 // ns by which the wall clock is wrong
	heap     []uint64     // after each lap
	pressed  int          // mark keys
	warned   map[string]bool
	last     *session.Snapshot
	screen   string // after the last note
	take     string
	takeErr  error
}

func (s *soak) run(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	s.began = time.Now()
	s.cable = &cable{bytes: make(chan []byte), cut: make(chan struct{}), sum: fnv.New64a(), began: s.began}
	s.disk = &disk{FS: store.OS}
	s.terminal = newTerminal(80, 24)
	s.warned = map[string]bool{}

	setup, err := session.Resolve(session.Layer{Lookup: func(name string) (string, bool) { return "keyboard", name == "input" }}).Setup()
	require.NoError(t, err)
	setup.Keep = 500
	recorder := store.NewRecorder(s.disk, s.dir, time.Now(), nil)
	live := session.NewLive(session.LiveOptions{
		Setup: setup, Recorder: saving{recorder}, Now: s.now,
		Source: midiin.NewWireSource("cable", s.fifo, s.cable.open),
	})
	screen, err := dashboard.NewScreen(s.terminal)
	require.NoError(t, err)

	played, shown := make(chan error), make(chan error)
	go func() { played <- live.Run(ctx) }()
	go func() {
		shown <- dashboard.Run(ctx, dashboard.Options{Feed: live, Controls: live, Screen: screen})
	}()

	faults, calm := context.WithCancel(ctx)
	ended := make(chan struct{})
	var running int
	every := func(free, faulty time.Duration, begin, end func()) {
		running++
		go func() {
			defer func() { ended <- struct{}{} }()
			for wait(faults, free) {
				begin()
				wait(faults, faulty)
				end()
			}
		}()
	}
	every(pluggedIn, unplugged, s.cable.unplug, s.cable.plug)
	every(diskFree, diskFull, func() { s.disk.full.Store(true) }, func() { s.disk.full.Store(false) })
	every(reads, stuck, s.terminal.stick, s.terminal.release)
	every(clockSet, 0, func() { s.clock.Add(int64(-90 * time.Minute)) }, func() {})
	every(clockSet+11*time.Second, 0, func() { s.clock.Add(int64(100 * time.Minute)) }, func() {})
	every(markEvery, 0, func() {
		if s.terminal.press("m") {
			s.pressed++
		}
	}, func() {})

	every(time.Second, 0, func() { s.warned[begins.FindString(live.Latest().Warning)] = true }, func() {})

	s.play()
	calm()
	for range running {
		<-ended
	}
	synctest.Wait() // the cable is empty
	time.Sleep(2 * time.Second)
	s.screen = s.terminal.text()
	stop()
	require.NoError(t, <-played)
	require.ErrorIs(t, <-shown, context.Canceled)
	s.last = live.Latest()
	s.terminal.leave()
	s.take, s.takeErr = recorder.Finish()
}

// wait lets simulated time pass; false once ctx is done.
func wait(ctx context.Context, d time.Duration) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(d):
		return true
	}
}

// play plays phrases and rests, each note ended before the next, and looks at
// the sitting at the end of each lap.
func (s *soak) play() {
	note := 0
	for next := s.lap; next <= s.long; {
		for end := time.Now().Add(s.phrase); time.Now().Before(end); note++ {
			pitch := byte(30 + note%25)
			s.cable.send(0x90, pitch, 90)
			time.Sleep(each * 3 / 4)
			s.cable.send(0x80, pitch, 64)
			time.Sleep(each / 4)
		}
		time.Sleep(bar - s.phrase)
		if time.Since(s.began) >= next {
			next += s.lap
			synctest.Wait()
			s.heap = append(s.heap, heapInUse())
		}
	}
}

func heapInUse() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC() // what the first one's finalizers held
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// The clock of the test is what it says.
func TestSoak_SetsTheWallClockOnly(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &soak{began: time.Now()}
		before := s.now()
		s.clock.Add(int64(-90 * time.Minute))
		time.Sleep(time.Second)
		after := s.now()
		assert.Equal(t, time.Second, after.Sub(before))
		assert.Equal(t, time.Second-90*time.Minute, after.Round(0).Sub(before.Round(0)))
	})
}

// now is the time on a clock that somebody sets meanwhile: the wall clock jumps,
// the monotonic reading goes on. Simulated time has no monotonic reading, so it
// is made here, in the layout of package time: a bit that says so, 33 bits of
// seconds since 1885, 30 bits of nanoseconds; then the monotonic reading.
func (s *soak) now() time.Time {
	t := time.Now()
	elapsed := t.Sub(s.began)
	wall := t.Add(time.Duration(s.clock.Load()))
	since := wall.Unix() - time.Date(1885, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
	words := (*[2]uint64)(unsafe.Pointer(&wall))
	words[0] = 1<<63 | uint64(since)<<30 | uint64(wall.Nanosecond())
	words[1] = uint64(elapsed)
	return wall
}

// check holds what came out against what went in.
func (s *soak) check(t *testing.T) {
	require.NoError(t, s.takeErr)
	for _, warning := range []string{"cable is gone", "not saving"} {
		assert.True(t, s.warned[warning], "%s was never said: %v", warning, s.warned)
	}
	assert.Positive(t, s.disk.refused.Load())
	assert.Positive(t, s.terminal.waited.Load())
	assert.Equal(t, s.cable.notes, s.last.Notes)
	assert.Equal(t, s.pressed, s.last.Marks)
	assert.Zero(t, s.last.Lost)
	assert.Contains(t, s.screen, fmt.Sprintf("%d notes", s.cable.notes), "the screen is up to date")

	f, err := midiin.OpenFile(s.take, midiin.FileOptions{})
	require.NoError(t, err)
	sum, messages, markers := fnv.New64a(), 0, map[string]int{}
	require.NoError(t, f.Run(t.Context(), func(e midiin.Event) {
		switch e.Kind {
		case midiin.Message:
			heard(sum, e.At, e.Data[:])
			messages++
		case midiin.Marker:
			word, _, _ := strings.Cut(e.Text, " ")
			markers[word]++
		}
	}))
	assert.Equal(t, s.cable.messages, messages)
	assert.Equal(t, s.cable.sum.Sum64(), sum.Sum64(), "every message, in order, when it came")
	assert.Equal(t, map[string]int{"lost": s.cable.cuts, "found": s.cable.cuts, "mark": s.pressed}, markers)

	require.Len(t, s.heap, int(s.long/s.lap))
	var mb []string
	for _, h := range s.heap {
		mb = append(mb, fmt.Sprintf("%.2f", float64(h)/(1<<20)))
	}
	half := len(s.heap) / 2
	assert.Less(t, slices.Max(s.heap[half:]), slices.Max(s.heap[:half])+steady, "memory is flat")
	t.Logf("%v: %d notes, %d times unplugged, %d writes refused, %d writes waited, %d keys; heap in MB after each %v: %s",
		s.long, s.cable.notes, s.cable.cuts, s.disk.refused.Load(), s.terminal.waited.Load(), s.pressed, s.lap, strings.Join(mb, " "))
}
