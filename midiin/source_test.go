package midiin

import (
	"context"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// patience is how long a test waits for what must happen at once; a loaded
// machine may be slow, a right program never needs it.
const patience = 20 * time.Second

// run is a Source that runs, held to the contract of Source.
type run struct {
	t      testing.TB
	events chan Event
	done   chan error
	cancel context.CancelFunc
}

// start runs a source and checks every event: order, time, one goroutine at a
// time, nothing after the end.
func start(t testing.TB, s Source) *run {
	t.Helper()
	require.NotEmpty(t, s.Name())
	ctx, cancel := context.WithCancel(context.Background())
	r := &run{t: t, events: make(chan Event, 1<<20), done: make(chan error, 1), cancel: cancel}
	var over, inside atomic.Bool
	var last time.Duration
	go func() {
		err := s.Run(ctx, func(e Event) {
			switch {
			case over.Load():
				t.Error("an event after Run returned")
			case !inside.CompareAndSwap(false, true):
				t.Error("two events at once")
			case e.At < last:
				t.Errorf("time goes back from %v to %v", last, e.At)
			case e.Kind == Message && (e.Data[0] < 0x80 || e.Data[0] >= 0xF0 || (e.Data[1]|e.Data[2]) >= 0x80):
				t.Errorf("% X is no channel message", e.Data)
			}
			last = e.At
			r.events <- e
			inside.Store(false)
		})
		over.Store(true)
		r.done <- err
	}()
	t.Cleanup(cancel)
	return r
}

// next waits for an event.
func (r *run) next() Event {
	r.t.Helper()
	select {
	case e := <-r.events:
		return e
	case err := <-r.done:
		require.FailNow(r.t, "the source ended", "%v", err)
	case <-time.After(patience):
		require.FailNow(r.t, "no event came")
	}
	return Event{}
}

// message waits for a message of the given bytes.
func (r *run) message(want ...byte) {
	r.t.Helper()
	e := r.next()
	require.Equal(r.t, Message, e.Kind)
	require.Equal(r.t, [3]byte(want), e.Data)
}

// change waits for Lost or Found.
func (r *run) change(want EventKind, name string) {
	r.t.Helper()
	e := r.next()
	require.Equal(r.t, want, e.Kind)
	require.Equal(r.t, name, e.Text)
}

// end waits for the end of Run.
func (r *run) end() error {
	r.t.Helper()
	select {
	case err := <-r.done:
		return err
	case <-time.After(patience):
		require.FailNow(r.t, "the source does not end")
	}
	return nil
}

// stop cancels the source, which must return nil at once.
func (r *run) stop() {
	r.t.Helper()
	r.cancel()
	require.NoError(r.t, r.end())
}

// CheckSource holds a source to the contract of Source. open makes a fresh
// source each time; feed, if not nil, makes the source deliver at least one
// event once it runs; ends says whether it ends by itself then.
func CheckSource(t *testing.T, open func(t *testing.T) Source, feed func(t *testing.T), ends bool) {
	t.Run("delivers and stops", func(t *testing.T) {
		r := start(t, open(t))
		if feed != nil {
			feed(t)
		}
		r.next()
		if ends {
			require.NoError(t, r.end())
			return
		}
		r.stop()
	})
	t.Run("stops while it waits", func(t *testing.T) {
		r := start(t, open(t))
		r.stop()
	})
	t.Run("stops before it began", func(t *testing.T) {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		s := open(t)
		done := make(chan error, 1)
		go func() { done <- s.Run(ctx, func(Event) {}) }()
		select {
		case err := <-done:
			require.NoError(t, err)
		case <-time.After(patience):
			require.FailNow(t, "the source does not end")
		}
	})
}
