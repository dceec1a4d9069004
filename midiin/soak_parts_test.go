package midiin_test

import (
	"bytes"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/gdamore/tcell/v2"

	"stillhand/midiin"
	"stillhand/session/store"
)

// cable is what is plugged in: what is sent while it is not goes nowhere.
type cable struct {
	bytes           chan []byte
	cut             chan struct{}
	out             atomic.Bool
	notes, messages int // delivered
	began           time.Time
	sum             hash.Hash64 // of them and their times
	cuts            int
}

func (c *cable) send(message ...byte) {
	if c.out.Load() {
		return
	}
	c.bytes <- message
	heard(c.sum, time.Since(c.began), message)
	c.messages++
	if message[0]>>4 == 9 {
		c.notes++
	}
}

// heard adds a message at a take's resolution of time, 0.1 ms.
func heard(sum hash.Hash64, at time.Duration, message []byte) {
	fmt.Fprint(sum, int64(at/(100*time.Microsecond)), message)
}

func (c *cable) unplug() {
	c.out.Store(true)
	c.cut <- struct{}{}
	c.cuts++
}

func (c *cable) plug() { c.out.Store(false) }

func (c *cable) open() (midiin.Wire, error) {
	if c.out.Load() {
		return nil, fs.ErrNotExist
	}
	return &plug{cable: c, canceled: make(chan struct{})}, nil
}

// plug is one opening of a cable.
type plug struct {
	cable    *cable
	canceled chan struct{}
}

func (p *plug) Read(b []byte) (int, error) {
	select {
	case message := <-p.cable.bytes:
		return copy(b, message), nil
	case <-p.cable.cut:
		return 0, midiin.ErrGone
	case <-p.canceled:
		return 0, io.ErrClosedPipe
	}
}

func (p *plug) Cancel() { close(p.canceled) }
func (p *plug) Close()  {}

// saving is a store.Recorder as a session takes it.
type saving struct{ *store.Recorder }

func (s saving) Status() (path, warning string) {
	status := s.Recorder.Status()
	return status.Path, status.Warning
}

// disk is the real one, full at times. What waits for it is not real.
type disk struct {
	store.FS
	full    atomic.Bool
	refused atomic.Int64
}

func (d *disk) Create(name string) (store.File, error) {
	f, err := d.FS.Create(name)
	return &diskFile{f, d}, err
}

type diskFile struct {
	store.File
	disk *disk
}

// Write writes a part on a full disk.
func (f *diskFile) Write(data []byte) (int, error) {
	if !f.disk.full.Load() {
		return f.File.Write(data)
	}
	f.disk.refused.Add(1)
	n, err := f.File.Write(data[:len(data)/3])
	if err == nil {
		err = &fs.PathError{Op: "write", Err: syscall.ENOSPC}
	}
	return n, err
}

func (f *diskFile) Sync() error { return nil }

// terminal is one that does not read at times.
type terminal struct {
	cols, rows int
	typed      chan []byte
	drained    chan struct{}
	answered   chan struct{}
	waited     atomic.Int64

	mu     sync.Mutex
	stuck  chan struct{} // closed when it reads again; nil while it reads
	screen *vt.Emulator
}

func newTerminal(cols, rows int) *terminal {
	t := &terminal{
		cols: cols, rows: rows, typed: make(chan []byte), drained: make(chan struct{}),
		answered: make(chan struct{}), screen: vt.NewEmulator(cols, rows),
	}
	go func() { // its answers to questions; nobody asked
		_, _ = io.Copy(io.Discard, t.screen)
		close(t.answered)
	}()
	return t
}

func (t *terminal) leave() {
	if pipe, ok := t.screen.InputPipe().(io.Closer); ok {
		_ = pipe.Close() // its own Close may not be called while it is read
	}
	<-t.answered
}

func (t *terminal) stick() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.stuck = make(chan struct{})
}

func (t *terminal) release() {
	t.mu.Lock()
	defer t.mu.Unlock()
	close(t.stuck)
	t.stuck = nil
}

// press types a key, unless the terminal does not read. Then the screen's lock
// is held over a wait, and simulated time stands still when a key asks for the
// lock: a lock is no waiting that synctest knows. That keys work all the same
// is checked in real time, with the screen.
func (t *terminal) press(key string) bool {
	t.mu.Lock()
	stuck := t.stuck != nil
	t.mu.Unlock()
	if !stuck {
		t.typed <- []byte(key)
	}
	return !stuck
}

func (t *terminal) Write(p []byte) (int, error) {
	t.mu.Lock()
	stuck := t.stuck
	t.mu.Unlock()
	if stuck != nil {
		t.waited.Add(1)
		<-stuck
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	// From home on all is erased as well, but the emulator keeps no history of it.
	if _, err := t.screen.Write(bytes.ReplaceAll(p, []byte("\x1b[H\x1b[2J"), []byte("\x1b[H\x1b[J"))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// text is what is on the screen.
func (t *terminal) text() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.screen.String()
}

func (t *terminal) Read(p []byte) (int, error) {
	select {
	case b := <-t.typed:
		return copy(p, b), nil
	case <-t.drained:
		return 0, os.ErrDeadlineExceeded
	}
}

func (t *terminal) Drain() error {
	close(t.drained)
	return nil
}

func (t *terminal) WindowSize() (tcell.WindowSize, error) {
	return tcell.WindowSize{Width: t.cols, Height: t.rows}, nil
}

func (t *terminal) Start() error        { return nil }
func (t *terminal) Stop() error         { return nil }
func (t *terminal) Close() error        { return nil }
func (t *terminal) NotifyResize(func()) {}
