package dashboard

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
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
	ended    chan error
	stop     context.CancelCauseFunc
}

// start runs a dashboard at w by h.
func start(t *testing.T, w, h int, edits ...func(*Options)) *running {
	t.Helper()
	terminal := tcell.NewSimulationScreen("UTF-8")
	shown := make(chan struct{}, 1)
	r := &running{desk: newDesk(), terminal: terminal, ended: make(chan error, 1)}
	r.put(sample())
	o := Options{Feed: r.desk, Controls: r.desk, Screen: &sized{terminal, w, h, shown}}
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

// sized gives a simulated terminal its size when it is initialised, and rings
// after a frame.
type sized struct {
	tcell.SimulationScreen
	w, h  int
	shown chan struct{}
}

func (s *sized) Show() {
	s.SimulationScreen.Show()
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
