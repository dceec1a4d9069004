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

// steadyTty is a terminal on which tcell cannot hang.
//
// Its Write never blocks for long: tcell writes with its lock held, so that a
// terminal that stops reading would hang keys, drawing and leaving alike.
//
// Its Read gives nothing any more once tcell is about to leave: tcell's reader
// waits for room in a queue that nobody empties while it leaves.
type steadyTty struct {
	tcell.Tty
	reading sync.Mutex // guards leaving and idle
	leaving bool       // what is read is thrown away
	idle    bool       // the reader is inside Read, or has ended

	mu      sync.Mutex
	pending chan struct{} // closed when the write in the background is done
	stuck   bool          // the grace was used up on pending
	lost    bool          // something was dropped: the terminal no longer shows what it was sent
	buf     []byte
	ready   func() // called when a write that was left behind is done
}

func (t *steadyTty) Start() error {
	err := t.Tty.Start()
	t.reading.Lock()
	defer t.reading.Unlock()
	t.leaving, t.idle = false, err != nil // without a terminal there is no reader
	return err
}

func (t *steadyTty) Read(p []byte) (int, error) {
	t.reading.Lock()
	t.idle = true
	t.reading.Unlock()
	for {
		n, err := t.Tty.Read(p)
		if err != nil {
			return n, err
		}
		t.reading.Lock()
		leaving := t.leaving
		t.idle = leaving
		t.reading.Unlock()
		if !leaving {
			return n, nil
		}
	}
}

// leave makes Read throw away what comes and reports whether the reader has
// handed on everything that came before. Once true it stays true.
func (t *steadyTty) leave() (quiet bool) {
	t.reading.Lock()
	defer t.reading.Unlock()
	t.leaving = true
	return t.idle
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

// NewScreen returns the screen on a terminal, for Options. It never waits long
// for a terminal that does not read.
func NewScreen(tty tcell.Tty) (tcell.Screen, error) {
	return tcell.NewTerminfoScreenFromTty(&steadyTty{Tty: tty})
}

// openTerminal returns the process's own terminal, not yet initialised.
func openTerminal() (tcell.Screen, error) {
	tty, err := tcell.NewDevTty()
	if err != nil {
		return nil, err
	}
	s, err := NewScreen(tty)
	if err != nil {
		_ = tty.Close()
		if console, e := tcell.NewConsoleScreen(); e == nil { // Windows before it knew escape sequences
			return console, nil
		}
	}
	return s, err
}
