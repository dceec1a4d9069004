package dashboard

import (
	"bytes"
	"errors"
	"os"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/require"
)

// fakeTty is a terminal in memory: what is written is kept or counted, what
// type sends is read, and it can be made to stop reading.
type fakeTty struct {
	mu      sync.Mutex
	w, h    int
	resized func()
	out     bytes.Buffer
	count   int           // bytes ever written
	gate    chan struct{} // while not nil, writes wait until it is closed
	keys    chan []byte
	gone    chan struct{} // closed when the terminal is taken away
	stopped chan struct{}
	wrote   chan struct{} // rung after a write
}

func newFakeTty(w, h int) *fakeTty {
	return &fakeTty{w: w, h: h, keys: make(chan []byte), gone: make(chan struct{}), wrote: make(chan struct{}, 1)}
}

func (f *fakeTty) Start() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.stopped = make(chan struct{})
	return nil
}

func (f *fakeTty) Stop() error  { return nil }
func (f *fakeTty) Close() error { return nil }

func (f *fakeTty) Drain() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	close(f.stopped)
	return nil
}

func (f *fakeTty) NotifyResize(cb func()) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.resized = cb
}

func (f *fakeTty) WindowSize() (tcell.WindowSize, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return tcell.WindowSize{Width: f.w, Height: f.h}, nil
}

// resize gives the terminal another size and tells the program, as SIGWINCH
// would.
func (f *fakeTty) resize(w, h int) {
	f.mu.Lock()
	f.w, f.h = w, h
	tell := f.resized
	f.mu.Unlock()
	if tell != nil {
		tell()
	}
}

func (f *fakeTty) Read(p []byte) (int, error) {
	f.mu.Lock()
	stopped := f.stopped
	f.mu.Unlock()
	select {
	case keys := <-f.keys:
		return copy(p, keys), nil
	case <-f.gone:
		return 0, syscall.EIO
	case <-stopped:
		return 0, os.ErrDeadlineExceeded
	}
}

func (f *fakeTty) Write(p []byte) (int, error) {
	f.mu.Lock()
	gate := f.gate
	f.mu.Unlock()
	if gate != nil {
		<-gate
	}
	f.mu.Lock()
	f.out.Write(p)
	f.count += len(p)
	f.mu.Unlock()
	select {
	case f.wrote <- struct{}{}:
	default:
	}
	return len(p), nil
}

// stick makes the terminal stop reading until the returned function is called.
func (f *fakeTty) stick() (release func()) {
	gate := make(chan struct{})
	f.mu.Lock()
	f.gate = gate
	f.mu.Unlock()
	return func() {
		f.mu.Lock()
		f.gate = nil
		f.mu.Unlock()
		close(gate)
	}
}

// written takes what was written so far.
func (f *fakeTty) written() string {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.out.String()
	f.out.Reset()
	return s
}

func (f *fakeTty) bytes() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.count
}

// typed sends keys until the program reads no more.
func (f *fakeTty) typed(keys string) {
	f.mu.Lock()
	stopped := f.stopped
	f.mu.Unlock()
	for keys != "" {
		n := min(len(keys), 100) // what a terminal hands over at a time
		select {
		case f.keys <- []byte(keys[:n]):
			keys = keys[n:]
		case <-stopped:
			return
		}
	}
}

// waitFor returns when the terminal was sent something that satisfies done.
func (f *fakeTty) waitFor(t testing.TB, done func(seen string) bool) {
	t.Helper()
	var seen string
	limit := time.After(patience)
	for {
		seen += f.written()
		if done(seen) {
			return
		}
		select {
		case <-f.wrote:
		case <-limit:
			t.Fatalf("the terminal was sent only %q", seen)
		}
	}
}

// real is tcell's own terminal over tty, as an xterm.
func real(t testing.TB, tty tcell.Tty) tcell.Screen {
	t.Helper()
	ti, err := tcell.LookupTerminfo("xterm-256color")
	require.NoError(t, err)
	own := *ti // tcell writes to it
	s, err := tcell.NewTerminfoScreenFromTtyTerminfo(tty, &own)
	require.NoError(t, err)
	return s
}

var errNoTerminal = errors.New("no such terminal")

// broken is a terminal that cannot be initialised.
type broken struct{ tcell.Screen }

func (broken) Init() error { return errNoTerminal }
