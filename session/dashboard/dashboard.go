package dashboard

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/tview"

	"stillhand/session"
)

// Feed is where snapshots come from. Latest may be nil before the first one.
// Changed returns the same channel every time; it has room for one ring, and
// the producer rings it without blocking after it has stored a snapshot. Both
// are called from several goroutines.
type Feed interface {
	Latest() *session.Snapshot
	Changed() <-chan struct{}
}

// Controls takes what the player asks for. Do must not block: it is called
// from the goroutine that draws.
type Controls interface {
	Do(session.Action)
}

// Options are what Run needs. Feed and Controls are required.
type Options struct {
	Feed     Feed
	Controls Controls
	Asked    <-chan session.Action // FarView, Bell, and Hold, Swap and Forget in a practice, asked for by a pedal; may be nil
	Pedals   []string              // bindings in force, a line each, for the help
	Bell     bool                  // ring the terminal's bell on a shift
	Screen   tcell.Screen          // not initialised yet; nil for the process's own terminal
}

// crashPart is what a crash in a handler or in drawing is called.
const crashPart = "the screen"

// ErrInterrupted is returned by Run when the player pressed Ctrl-C.
var ErrInterrupted = errors.New("interrupted")

// face is one running dashboard.
type face struct {
	Options
	app       *tview.Application
	screen    *screen
	board     *board
	repaint   chan struct{}  // a frame is due though no snapshot came
	leave     chan error     // why to stop; the first one counts
	continued chan os.Signal // rung when the process goes on after a stop
	resumed   bool           // that stop was the player's, and the screen is back
}

// Run draws until the player quits (nil), presses Ctrl-C (ErrInterrupted), ctx
// ends (its cause), or the terminal fails. The terminal is as it was when Run
// returns, also after a panic, which comes back as a
// *session.CrashError.
func Run(ctx context.Context, o Options) (err error) {
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	f := &face{
		Options:   o,
		app:       tview.NewApplication(),
		repaint:   make(chan struct{}, 1),
		leave:     make(chan error, 1),
		continued: make(chan os.Signal, 1),
	}
	if err := f.open(); err != nil {
		return err
	}
	f.board = newBoard(f.screen.Screen, o.Pedals)
	f.board.take(o.Feed.Latest())
	f.board.bell = o.Bell
	f.app.SetScreen(f.screen)
	f.app.SetRoot(f.board, true)
	f.app.SetInputCapture(f.key)

	ended := make(chan error, 1)
	started := false
	f.app.SetAfterDrawFunc(func(tcell.Screen) {
		if !started { // a Stop before the first frame would make tview open a terminal of its own
			started = true
			go f.paint(ctx, ended)
		}
	})
	onContinue(f.continued)
	defer signal.Stop(f.continued)
	defer session.Catch(crashPart, &err) // tview has restored the terminal
	if err := f.app.Run(); err != nil {
		return fmt.Errorf("terminal: %w", err)
	}
	return <-ended
}

// open prepares the terminal and says in one line what is wrong with it.
func (f *face) open() error {
	fail := func(err error) error {
		return fmt.Errorf("terminal (TERM=%s): %w: use a full terminal, or review without a screen", os.Getenv("TERM"), err)
	}
	inner := f.Screen
	if inner == nil {
		if os.Getenv("TERM") == "dumb" {
			return fail(errors.New("it cannot place the cursor"))
		}
		tcell.SetEncodingFallback(tcell.EncodingFallbackASCII)
		var err error
		if inner, err = openTerminal(); err != nil {
			return fail(err)
		}
	}
	f.screen = newScreen(inner)
	f.screen.failed = func(err error) { f.stop(fmt.Errorf("terminal went away: %w", err)) }
	if tty, ok := inner.Tty(); ok {
		if steady, ok := tty.(*steadyTty); ok {
			steady.ready = f.ring
			f.screen.tty = steady
		}
	}
	if err := inner.Init(); err != nil {
		return fail(err)
	}
	return nil
}

// ring asks for a frame.
func (f *face) ring() {
	select {
	case f.repaint <- struct{}{}:
	default:
	}
}

// stop asks the painter to end the application; safe from every goroutine.
func (f *face) stop(why error) {
	select {
	case f.leave <- why:
	default:
	}
}

// paint queues a draw for each new snapshot, at once when the last frame is
// long enough ago, and ends the application.
func (f *face) paint(ctx context.Context, ended chan<- error) {
	why := f.painting(ctx)
	f.app.Stop()
	ended <- why
}

func (f *face) painting(ctx context.Context) (why error) {
	defer session.Catch(crashPart, &why)
	changed := f.Feed.Changed()
	var budget budget
	for {
		update := func() { f.board.take(f.Feed.Latest()) }
		select {
		case why := <-f.leave:
			return why
		case <-ctx.Done():
			return context.Cause(ctx)
		case <-changed:
		case <-f.repaint:
		case a := <-f.Asked:
			update = func() {
				f.board.do(a)
				f.awaitEnd()
			}
		case <-f.continued:
			update = f.reenter
		}
		if rest := budget.rest(time.Now()); rest > 0 {
			select {
			case <-time.After(rest):
			case <-ctx.Done():
				return context.Cause(ctx)
			}
		}
		began, sent := time.Now(), f.screen.sent.Load()
		f.app.QueueUpdateDraw(func() {
			update()
			f.ringBell()
		})
		budget.spend(began, f.screen.sent.Load() != sent)
	}
}

// suspend gives the terminal back and stops the process.
func (f *face) suspend() { f.app.Suspend(func() { f.resumed = suspend() }) }

// reenter takes the terminal again after somebody else stopped the process:
// the shell has used it meanwhile.
func (f *face) reenter() {
	if !f.resumed {
		f.app.Suspend(func() {})
	}
	f.resumed = false
}

// ringBell sounds the terminal's bell when the board asks for it.
func (f *face) ringBell() {
	if f.board.bellDue {
		f.board.bellDue = false
		_ = f.screen.Beep()
	}
}
