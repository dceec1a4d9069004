package dashboard

import (
	"sync"
	"time"

	"github.com/gdamore/tcell/v2"
)

// How long the event loop waits for a terminal. A terminal in health swallows
// a frame in well under a millisecond; a slow line may take its time, but keys
// and shutdown must not wait for it. Own choice.
const (
	writePatience = 20 * time.Millisecond // then the frame is finished in the background
	writeGrace    = 500 * time.Millisecond
)

// steadyTty is a terminal whose Write never blocks for long. tcell writes with
// its lock held, so that a terminal that stops reading would hang keys,
// drawing and leaving alike.
type steadyTty struct {
	tcell.Tty
	mu      sync.Mutex
	pending chan struct{} // closed when the write in the background is done
	stuck   bool          // the grace was used up on pending
	lost    bool          // something was dropped: the terminal no longer shows what it was sent
	buf     []byte
	ready   func() // called when a write that was left behind is done
}

// Write hands p to the terminal and returns when it is written, or soon after
// if the terminal does not take it; then the write goes on in the background.
// A write that comes while one is left behind waits for it once, and is
// dropped if that does not help. Errors are the reader's to report.
func (t *steadyTty) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.pending != nil && !t.wait(writeGrace) {
		t.lost = true
		return len(p), nil
	}
	t.buf = append(t.buf[:0], p...)
	done := make(chan struct{})
	t.pending = done
	go func() {
		_, _ = t.Tty.Write(t.buf)
		close(done)
	}()
	if !t.wait(writePatience) {
		t.stuck = false // the next write has its grace still
		go func() {
			<-done
			t.ready()
		}()
	}
	return len(p), nil
}

// wait reports whether the write in the background ended within limit.
func (t *steadyTty) wait(limit time.Duration) bool {
	if t.stuck {
		limit = 0
	}
	timer := time.NewTimer(limit)
	defer timer.Stop()
	select {
	case <-t.pending:
		t.pending, t.stuck = nil, false
		return true
	case <-timer.C:
		t.stuck = true
		return false
	}
}

// state reports whether a write is left behind, and if not, whether something
// was dropped since it was last asked.
func (t *steadyTty) state() (busy, lost bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.pending != nil {
		select {
		case <-t.pending:
			t.pending, t.stuck = nil, false
		default:
			return true, false
		}
	}
	lost, t.lost = t.lost, false
	return false, lost
}
