//go:build linux

package main_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/store"
)

// The figures of a live sitting, through a pseudo-terminal. In full, with the
// floors that the project promises:
//
//	go test ./cmd/stillhand -run Figures -v -figures
//
// Without -figures they are short, on whatever machine runs the tests, and
// their floors only tell working from broken.
var full = flag.Bool("figures", false, "measure the figures of a live sitting in full")

// pick is the value for a full measurement or a short one.
func pick[T any](inFull, short T) T {
	if *full {
		return inFull
	}
	return short
}

// program is what is measured: in full the program as it is built for users,
// else the test binary.
func program(t testing.TB) string {
	if !*full {
		return "stillhand"
	}
	built.Do(func() {
		path := filepath.Join(os.TempDir(), fmt.Sprintf("stillhand-figures-%d", os.Getpid()))
		out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
		require.NoError(t, err, string(out))
		builtPath = path
	})
	require.NotEmpty(t, builtPath)
	return builtPath
}

var (
	built     sync.Once
	builtPath string
)

// A saturated MIDI cable: 31,250 baud, ten bits a byte, three bytes a note
// message (MIDI 1.0 Detailed Specification 4.2.1).
const cableMessages = 31250.0 / 10 / 3

// stopwatch times notes from the write of their note-on to the screen that
// shows their number. The status line is the last row, and rows are sent in
// order, so that when the count has come all of the frame has.
type stopwatch struct {
	mu    sync.Mutex
	sent  []time.Time
	took  []time.Duration
	shown int
}

var noteCount = regexp.MustCompile(`(\d+) notes?\b`)

// watch times every note that x shows from now on.
func (s *stopwatch) watch(x *terminal) {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.seen = func(at time.Time) {
		var row strings.Builder
		last := x.screen.Height() - 1
		for col := range x.screen.Width() {
			if c := x.screen.CellAt(col, last); c != nil {
				row.WriteString(c.Content)
			}
		}
		found := noteCount.FindStringSubmatch(row.String())
		if found == nil {
			return
		}
		n, err := strconv.Atoi(found[1])
		if err != nil {
			return
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		for ; s.shown < min(n, len(s.sent)); s.shown++ {
			s.took = append(s.took, at.Sub(s.sent[s.shown]))
		}
	}
}

func (s *stopwatch) send(at time.Time) {
	s.mu.Lock()
	s.sent = append(s.sent, at)
	s.mu.Unlock()
}

// quantile is the value under which the share q of values lies.
func quantile(values []time.Duration, q float64) time.Duration {
	if len(values) == 0 {
		return 0
	}
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	return sorted[min(len(sorted)-1, int(q*float64(len(sorted))))]
}

// line is what is played: up two octaves in single steps, and from the bottom
// again, each note ended before the next.
func line(i int) byte { return byte(30 + i%25) }

// stream plays notes, a note-on and a note-off each, at messages a second for
// some time, and returns how many and how late the last was. Many at a time go
// into one write when they are due together.
func (c *cable) stream(s *stopwatch, messages float64, long time.Duration) (notes int, late time.Duration) {
	c.t.Helper()
	began := time.Now()
	total := int(messages*long.Seconds()) &^ 1
	var due []byte
	for sent := 0; sent < total; {
		due = due[:0]
		now := time.Now()
		for ; sent < total && float64(sent) <= now.Sub(began).Seconds()*messages; sent++ {
			if sent%2 == 0 {
				due = append(due, 0x90, line(notes), 90)
				s.send(now)
				notes++
			} else {
				due = append(due, 0x80, line(notes-1), 64)
			}
		}
		if len(due) > 0 {
			c.send(due...)
		}
		<-time.After(time.Until(began.Add(time.Duration(float64(sent) / messages * float64(time.Second)))))
	}
	return notes, time.Since(began) - long
}

// sitDown starts the program and opens its FIFO.
func sitDown(t testing.TB, args ...string) (*terminal, *cable, *stopwatch) {
	t.Helper()
	if slowed > 1 {
		t.Skip("figures of a program under the race detector say nothing")
	}
	x := open(t, launch{program: program(t), args: append([]string{"live", "%FIFO"}, args...), cols: 120, rows: 40})
	x.shows("nothing heard yet")
	s := &stopwatch{}
	s.watch(x)
	return x, x.play(), s
}

// kept leaves the program and checks that every note is in the take, in order.
func kept(t *testing.T, x *terminal, notes int) {
	t.Helper()
	x.shows(strconv.Itoa(notes) + " notes")
	x.keys("q")
	require.Equal(t, 0, x.exit())
	assert.Contains(t, x.text(), fmt.Sprintf("%d notes kept, 0 cleaned away, 0 lost", notes))
	pitches, _ := heard(t, x.onlyTake())
	require.Equal(t, notes, len(pitches))
	for i, p := range pitches {
		require.Equal(t, line(i), p, "note %d", i)
	}
}

func TestFigures_TwentyNotesASecond(t *testing.T) {
	x, c, s := sitDown(t)
	notes, _ := c.stream(s, 40, pick(60*time.Second, 2*time.Second))
	kept(t, x, notes)
	p50, p99 := quantile(s.took, 0.5), quantile(s.took, 0.99)
	t.Logf("20 notes a second: %d notes, p50 %v p99 %v max %v", len(s.took), p50, p99, slices.Max(s.took))
	assert.Less(t, p50, pick[time.Duration](3, 30)*time.Millisecond)
	assert.Less(t, p99, pick[time.Duration](10, 300)*time.Millisecond)
}

// No hand plays like this, so that nothing is cleaned here: a string struck
// again after 48 ms is a fault of a pickup.
func TestFigures_SaturatedCable(t *testing.T) {
	x, c, s := sitDown(t, "--keyboard")
	notes, late := c.stream(s, cableMessages, pick(60*time.Second, 2*time.Second))
	memory := memoryPeak(strconv.Itoa(x.cmd.Process.Pid))
	kept(t, x, notes)
	p50, p99 := quantile(s.took, 0.5), quantile(s.took, 0.99)
	t.Logf("%.0f messages a second: %d notes, p50 %v p99 %v max %v; sent %v late; program's memory at most %d MB",
		cableMessages, len(s.took), p50, p99, slices.Max(s.took), late.Round(time.Millisecond), memory>>20)
	assert.Less(t, p99, pick[time.Duration](20, 500)*time.Millisecond)
}

func TestFigures_TenSaturatedCables(t *testing.T) {
	x, c, s := sitDown(t, "--keyboard")
	long := pick(10*time.Second, time.Second)
	var keys []time.Duration
	pressing := make(chan struct{})
	go func() {
		defer close(pressing)
		for i := range int(long / (200 * time.Millisecond)) {
			began := time.Now()
			x.keys("m")
			at, ok := x.watch(func(screen string) bool { return strings.Contains(screen, fmt.Sprintf(" %d mark", i+1)) }, patience)
			if !assert.True(t, ok, "key %d has no effect", i) {
				return
			}
			keys = append(keys, at.Sub(began))
			<-time.After(time.Until(began.Add(190 * time.Millisecond)))
		}
	}()
	notes, late := c.stream(s, 10*cableMessages, long)
	<-pressing
	kept(t, x, notes)
	t.Logf("%.0f messages a second: %d notes, p50 %v p99 %v max %v; sent %v late; %d keys, p50 %v max %v", 10*cableMessages,
		len(s.took), quantile(s.took, 0.5), quantile(s.took, 0.99), slices.Max(s.took), late.Round(time.Millisecond),
		len(keys), quantile(keys, 0.5), slices.Max(keys))
	assert.Less(t, slices.Max(keys), pick[time.Duration](100, 2000)*time.Millisecond)
}

func TestFigures_Idle(t *testing.T) {
	x, c, _ := sitDown(t)
	for i := range 20 {
		c.note(0, line(i))
	}
	c.send(0x90, 55, 90) // and one that goes on sounding
	x.shows("21 notes")
	long := pick(10*time.Second, time.Second)
	<-time.After(time.Second) // the coach has spoken, the last note has settled
	before := worked(t, x)
	require.Positive(t, before, "the system counts the time")
	<-time.After(long)
	share := float64(worked(t, x)-before) / float64(long)
	t.Logf("idle: %.3f per cent of a core", 100*share)
	assert.Less(t, share, pick(0.01, 0.1))
	x.keys("q")
	assert.Equal(t, 0, x.exit())
}

func TestFigures_FirstScreen(t *testing.T) {
	var took []time.Duration
	home := t.TempDir()
	for range pick(20, 3) {
		x := open(t, launch{program: program(t), args: []string{"live", "%FIFO"}, cols: 120, rows: 40, home: home})
		took = append(took, x.shows("? keys").Sub(x.began))
		x.keys("q")
		require.Equal(t, 0, x.exit())
	}
	t.Logf("first screen: p50 %v max %v of %d starts", quantile(took, 0.5), slices.Max(took), len(took))
	assert.Less(t, quantile(took, 0.5), pick[time.Duration](150, 1500)*time.Millisecond)
}

// worked is the time that the program has had a core.
func worked(t *testing.T, x *terminal) time.Duration {
	t.Helper()
	tasks, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/schedstat", x.cmd.Process.Pid))
	require.NoError(t, err)
	require.NotEmpty(t, tasks)
	var sum time.Duration
	for _, path := range tasks {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		first, _, _ := strings.Cut(string(text), " ")
		ns, err := strconv.ParseInt(first, 10, 64)
		require.NoError(t, err)
		sum += time.Duration(ns)
	}
	return sum
}

// tireless is a source that plays eight notes a second on the clock it is in,
// with a breath at the end of each minute, and reports every lap. A string in
// eight notes is struck twice, as a pickup may hear it.
type tireless struct {
	laps, notes int // of one lap
	lap         func()
}

func (p *tireless) Name() string { return "tireless" }

func (p *tireless) Run(ctx context.Context, emit func(midiin.Event)) error {
	const each = time.Second / 8
	began := time.Now()
	send := func(status, pitch, velocity byte) {
		emit(midiin.Event{At: time.Since(began), Data: [3]byte{status, pitch, velocity}})
	}
	until := func(at time.Duration) { time.Sleep(at - time.Since(began)) } // simulated
	at := time.Duration(0)
	for i := range p.laps * p.notes {
		pitch := line(i)
		send(0x90, pitch, 90)
		if i%8 == 0 {
			until(at + each/10)
			send(0x90, pitch, 90)
		}
		until(at + each*3/4)
		send(0x80, pitch, 64)
		at += each
		if i%480 == 479 {
			at += time.Second
		}
		until(at)
		if (i+1)%p.notes == 0 {
			p.lap()
		}
	}
	return nil
}

// lapHeap is the memory in use, in bytes. A second collection takes what only
// the first one's finalizers held.
func lapHeap() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC()
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// steady is how much more than after its first lap a sitting may hold: the
// queues between its goroutines hold more at one moment than at another, and the
// tracker's frames grow to their widest note, once.
const steady = 48 << 10

func TestFigures_EightHours(t *testing.T) {
	laps, notes := pick(8, 3), pick(8*3600, 2400)
	dir := t.TempDir()
	heap := make([]uint64, 0, laps)
	before := lapHeap() // what other tests hold is not the sitting's
	synctest.Test(t, func(t *testing.T) {
		setup, err := session.Resolve().Setup()
		require.NoError(t, err)
		setup.Keep = main.LiveKeep
		take := store.NewRecorder(store.OS, dir, time.Now(), nil)
		live := session.NewLive(session.LiveOptions{Setup: setup, Recorder: saving{take}, Source: &tireless{
			laps: laps, notes: notes, lap: func() { heap = append(heap, lapHeap()-before) },
		}})
		watching, stop := context.WithCancel(t.Context())
		go func() { // a screen
			for {
				select {
				case <-live.Changed():
					_ = live.Latest().Notes
				case <-watching.Done():
					return
				}
			}
		}()
		require.NoError(t, live.Run(t.Context()))
		stop()
		assert.Equal(t, laps*notes, live.Latest().Notes)
		assert.Equal(t, laps*notes/8, live.Latest().Dropped)
		assert.Zero(t, live.Latest().Lost)
		_, err = take.Finish()
		require.NoError(t, err)
	})
	var mb []string
	for _, h := range heap {
		mb = append(mb, fmt.Sprintf("%.2f", float64(h)/(1<<20)))
	}
	t.Logf("%d laps of %d notes at 8 notes a second: heap in MB after each %s", laps, notes, strings.Join(mb, " "))
	require.Len(t, heap, laps)
	for _, h := range heap {
		assert.Less(t, h, uint64(64<<20))
		assert.Less(t, h, heap[0]+steady, "flat after the first lap")
	}
}

// saving is a store.Recorder as a session takes it.
type saving struct{ *store.Recorder }

func (s saving) Status() (path, warning string) {
	status := s.Recorder.Status()
	return status.Path, status.Warning
}
