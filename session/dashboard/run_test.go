package dashboard

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

// desk is a Feed and Controls for tests.
type desk struct {
	latest  atomic.Pointer[session.Snapshot]
	changed chan struct{}
	done    chan session.Action
}

func newDesk() *desk {
	return &desk{changed: make(chan struct{}, 1), done: make(chan session.Action, 1000)}
}

func (d *desk) Latest() *session.Snapshot { return d.latest.Load() }
func (d *desk) Changed() <-chan struct{}  { return d.changed }
func (d *desk) Do(a session.Action)       { d.done <- a }

func (d *desk) put(s *session.Snapshot) {
	d.latest.Store(s)
	select {
	case d.changed <- struct{}{}:
	default:
	}
}

// patience is how long a test waits for what takes milliseconds.
const patience = 10 * time.Second

// running is a dashboard on a simulated terminal that has shown its first
// frame.
type running struct {
	*desk
	terminal tcell.SimulationScreen
	sized    *sized
	shown    chan struct{} // rung after a frame
	ended    chan error
	stop     context.CancelCauseFunc
}

// start runs a dashboard at w by h.
func start(t *testing.T, w, h int, edits ...func(*Options)) *running {
	t.Helper()
	terminal := tcell.NewSimulationScreen("UTF-8")
	shown := make(chan struct{}, 1)
	r := &running{shown: shown, desk: newDesk(), terminal: terminal, ended: make(chan error, 1)}
	r.put(sample())
	r.sized = &sized{SimulationScreen: terminal, w: w, h: h, shown: shown}
	o := Options{Feed: r.desk, Controls: r.desk, Screen: r.sized}
	for _, edit := range edits {
		edit(&o)
	}
	ctx, stop := context.WithCancelCause(t.Context())
	r.stop = stop
	go func() { r.ended <- Run(ctx, o) }()
	select {
	case <-shown:
	case <-time.After(patience):
		t.Fatal("nothing was drawn")
	}
	return r
}

// frames is how many have been drawn.
func (r *running) frames() int {
	r.sized.mu.Lock()
	defer r.sized.mu.Unlock()
	return r.sized.frames
}

// sized gives a simulated terminal its size when it is initialised, rings after
// a frame and counts frames, sounds and endings.
type sized struct {
	tcell.SimulationScreen
	w, h  int
	shown chan struct{}

	mu                  sync.Mutex
	last                string
	frames, beeps, over int
}

// text is the newest frame.
func (s *sized) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.last
}

func (s *sized) Beep() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.beeps++
	return nil
}

func (s *sized) Fini() {
	s.mu.Lock()
	s.over++
	s.mu.Unlock()
	s.SimulationScreen.Fini()
}

func (s *sized) Show() {
	s.SimulationScreen.Show()
	s.mu.Lock()
	s.last = contents(s.SimulationScreen)
	s.frames++
	s.mu.Unlock()
	select {
	case s.shown <- struct{}{}:
	default:
	}
}

func (s *sized) Init() error {
	err := s.SimulationScreen.Init()
	s.SetSize(s.w, s.h)
	return err
}

func (r *running) end(t *testing.T) error {
	t.Helper()
	select {
	case err := <-r.ended:
		return err
	case <-time.After(patience):
		t.Fatal("Run does not return")
		return nil
	}
}

// sees waits until the terminal shows text.
func (r *running) sees(t *testing.T, text string) {
	t.Helper()
	limit := time.After(patience)
	for {
		shown := r.sized.text()
		if strings.Contains(shown, text) {
			return
		}
		select {
		case <-r.shown:
		case <-limit:
			t.Fatalf("%q is not shown in\n%s", text, shown)
		}
	}
}

func (r *running) action(t *testing.T) session.Action {
	t.Helper()
	select {
	case a := <-r.done:
		return a
	case <-time.After(patience):
		t.Fatal("no action came")
		return session.Action{}
	}
}

func TestRun_QuitsInterruptsAndEndsWithItsContext(t *testing.T) {
	t.Parallel()
	r := start(t, 80, 24)
	r.terminal.InjectKey(tcell.KeyRune, 'm', 0)
	assert.Equal(t, session.Action{Kind: session.Mark}, r.action(t))
	r.terminal.InjectKey(tcell.KeyRune, 'q', 0)
	require.NoError(t, r.end(t))

	r = start(t, 80, 24)
	r.terminal.InjectKey(tcell.KeyCtrlC, 0, 0)
	require.ErrorIs(t, r.end(t), ErrInterrupted)

	r = start(t, 80, 24)
	cause := errors.New("told to end")
	r.stop(cause)
	require.ErrorIs(t, r.end(t), cause)
}

func TestRun_SaysWhyTheTerminalCannotBeUsed(t *testing.T) {
	t.Parallel()
	err := Run(t.Context(), Options{Feed: newDesk(), Controls: newDesk(), Screen: broken{simulated(t, 80, 24)}})
	require.ErrorIs(t, err, errNoTerminal)
	require.ErrorContains(t, err, "terminal (TERM=")
	assert.NotContains(t, err.Error(), "\n")
	over, end := context.WithCancel(t.Context())
	end()
	require.ErrorIs(t, Run(over, Options{}), context.Canceled)
}

// crashing panics where a test wants it.
type crashing struct{ *desk }

func (c crashing) Do(session.Action) { panic("no such thing") }

type crashingScreen struct{ *sized }

func (c crashingScreen) SetContent(int, int, rune, []rune, tcell.Style) { panic("no such cell") }

func TestRun_TurnsAPanicIntoAnErrorAfterRestoringTheTerminal(t *testing.T) {
	t.Parallel()
	r := start(t, 80, 24, func(o *Options) { o.Controls = crashing{o.Feed.(*desk)} })
	r.terminal.InjectKey(tcell.KeyRune, 'm', 0)
	var crash *session.CrashError
	require.ErrorAs(t, r.end(t), &crash)
	assert.Equal(t, "no such thing", crash.Value)
	assert.Contains(t, string(crash.Stack), "crashing.Do", "the stack names the culprit")
	assert.Equal(t, 1, r.sized.over)

	broken := &sized{SimulationScreen: tcell.NewSimulationScreen("UTF-8"), w: 80, h: 24, shown: make(chan struct{}, 1)}
	err := Run(t.Context(), Options{Feed: newDesk(), Controls: newDesk(), Screen: crashingScreen{broken}})
	require.ErrorAs(t, err, &crash)
	assert.Equal(t, 1, broken.over)
}

func TestRun_KeepsFramesApartAndDrawsTheNewest(t *testing.T) {
	t.Parallel()
	r := start(t, 80, 24)
	begin := time.Now()
	const enough = 20
	var n int
	for frames := 0; frames < enough; n++ {
		r.put(sample(func(s *session.Snapshot) { s.Notes = n }))
		frames = r.frames()
	}
	// The first frame and a burst may come at once; the others keep their distance.
	assert.GreaterOrEqual(t, time.Since(begin), (enough-burst-1)*framePeriod)
	assert.Greater(t, n, enough, "the feed did not wait")
	r.put(sample(func(s *session.Snapshot) { s.Notes = 987654 }))
	r.sees(t, "987654 notes")
}

// Nothing happens on a screen whose snapshot stays: for an hour of a simulated
// clock.
func TestRun_DrawsNothingWhileNothingChanges(t *testing.T) {
	t.Parallel()
	// The goroutine that waits for signals stays as long as the process.
	signals := make(chan os.Signal, 1)
	onContinue(signals)
	defer signal.Stop(signals)
	synctest.Test(t, func(t *testing.T) {
		r := start(t, 80, 24)
		synctest.Wait()
		time.Sleep(time.Second) // the first frames
		frames := r.frames()
		require.Positive(t, frames)
		time.Sleep(time.Hour)
		assert.Equal(t, frames, r.frames(), "a frame was drawn for nothing")
		r.stop(nil)
		require.ErrorIs(t, <-r.ended, context.Canceled)
	})
}

func TestRun_BellRingsOnceForAShift(t *testing.T) {
	t.Parallel()
	r := start(t, 80, 24, func(o *Options) { o.Bell = true })
	shift := func(at time.Duration) *session.Snapshot {
		return sample(func(s *session.Snapshot) {
			s.At, s.Trail = at, trail(at, 5, 7)
			s.Notes = int(at / time.Second)
		})
	}
	for i, at := range []time.Duration{200, 200, 300} {
		r.put(shift(at * time.Second))
		r.sees(t, []string{"200 notes", "200 notes", "300 notes"}[i])
	}
	r.terminal.InjectKey(tcell.KeyRune, 'b', 0)
	r.terminal.InjectKey(tcell.KeyRune, 'm', 0)
	r.action(t) // the keys have been taken
	r.put(shift(400 * time.Second))
	r.sees(t, "400 notes")
	r.terminal.InjectKey(tcell.KeyRune, 'q', 0)
	require.NoError(t, r.end(t))
	assert.Equal(t, 2, r.sized.beeps, "none for what had been before")
}
