package dashboard

import (
	"sync/atomic"
	"time"

	"github.com/gdamore/tcell/v2"
)

// cell is what one place of the terminal shows. more holds combining runes.
type cell struct {
	r     rune
	more  string
	style tcell.Style
}

// screen stands between tview and tcell. tview clears the screen before every
// frame, and tcell takes a cell that was cleared and written again for a
// changed one, so that every frame would be sent whole. screen keeps the frame
// that is being drawn and the frame that was shown, and passes on what differs.
//
// Only the methods that tview draws with are shadowed; everything else goes
// straight to the terminal. Init does nothing: tview drops its error, so the
// caller of Run initialises the terminal first.
type screen struct {
	tcell.Screen
	next, shown []cell
	w, h        int
	away        bool         // the terminal is given back
	stale       bool         // shown no longer says what the terminal holds
	failed      func(error)  // told of a terminal that cannot be read any more
	tty         *steadyTty   // what is under the terminal; nil if that is something else
	sent        atomic.Int64 // frames that changed the terminal
}

func newScreen(inner tcell.Screen) *screen {
	return &screen{Screen: inner, failed: func(error) {}}
}

func (s *screen) Init() error { return nil }

// Clear starts a new frame, of the terminal's present size.
func (s *screen) Clear() { s.Fill(' ', tcell.StyleDefault) }

func (s *screen) Fill(r rune, style tcell.Style) {
	if w, h := s.Screen.Size(); w != s.w || h != s.h {
		s.w, s.h = w, h
		s.next, s.shown = make([]cell, w*h), make([]cell, w*h)
		s.stale = true
	}
	for i := range s.next {
		s.next[i] = cell{r: r, style: style}
	}
}

func (s *screen) SetContent(x, y int, r rune, combining []rune, style tcell.Style) {
	if x < 0 || y < 0 || x >= s.w || y >= s.h {
		return
	}
	c := &s.next[y*s.w+x]
	c.r, c.style, c.more = r, style, ""
	if len(combining) > 0 {
		c.more = string(combining)
	}
}

func (s *screen) GetContent(x, y int) (rune, []rune, tcell.Style, int) {
	if x < 0 || y < 0 || x >= s.w || y >= s.h {
		return 0, nil, tcell.StyleDefault, 0
	}
	c := s.next[y*s.w+x]
	return c.r, []rune(c.more), c.style, 1
}

// Show sends what changed, nothing if nothing did. While the terminal is still busy with an older
// frame it sends nothing: the frame stays due, and the terminal rings when it
// can take one.
func (s *screen) Show() {
	if s.away {
		return
	}
	var lost bool
	if s.tty != nil {
		var busy bool
		if busy, lost = s.tty.state(); busy {
			return
		}
	}
	changed := s.stale
	for i, c := range s.next {
		if s.stale || c != s.shown[i] {
			s.Screen.SetContent(i%s.w, i/s.w, c.r, []rune(c.more), c.style)
			s.shown[i] = c
			changed = true
		}
	}
	s.stale = false
	if !changed && !lost {
		return
	}
	s.sent.Add(1)
	if lost {
		s.Screen.Sync()
		return
	}
	s.Screen.Show()
}

// Sync sends everything, for a terminal that another program wrote on.
func (s *screen) Sync() {
	s.stale = true
	s.Show()
	if !s.away {
		s.Screen.Sync()
	}
}

// Resume takes the terminal again. Where that fails nothing may be drawn any
// more: tcell would draw a screen of no size for ever.
func (s *screen) Resume() error {
	err := s.Screen.Resume()
	if err != nil {
		s.failed(err)
		return err
	}
	s.away, s.stale = false, true
	return nil
}

// PollEvent reports a terminal that fails to the painter instead of passing
// it on: tview would stop itself, and the painter would hang in its queue.
func (s *screen) PollEvent() tcell.Event {
	for {
		event := s.Screen.PollEvent()
		broken, ok := event.(*tcell.EventError)
		if !ok {
			return event
		}
		s.failed(broken)
	}
}

func (s *screen) Fini() { s.draining(s.Screen.Fini) }

func (s *screen) Suspend() (err error) {
	s.away = true
	s.draining(func() { err = s.Screen.Suspend() })
	return err
}

// draining runs leave while it throws away waiting input. tcell's leaving waits
// for its reader, which waits for room in queues that nobody empties any more.
func (s *screen) draining(leave func()) {
	for s.tty != nil && !s.tty.leave() {
		s.drain(nil)
	}
	left := make(chan struct{})
	go func() {
		defer close(left)
		leave()
	}()
	for s.drain(left) {
	}
}

// drain throws away one event, or waits a moment for one, and reports whether
// left is still open.
func (s *screen) drain(left <-chan struct{}) bool {
	const moment = 200 * time.Microsecond // so that waiting costs next to nothing
	if s.Screen.HasPendingEvent() {
		s.Screen.PollEvent()
		return true
	}
	select {
	case <-left:
		return false
	case <-time.After(moment):
		return true
	}
}
