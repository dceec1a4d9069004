//go:build linux || darwin

package main_test

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
	"golang.org/x/term"
)

// patience is how long a test waits for what usually takes milliseconds.
const patience = slowed * 10 * time.Second

// terminal is a virtual terminal with one program in it.
type terminal struct {
	t        testing.TB
	pty, tty *os.File
	before   *term.State // of the line, before the program began
	cmd      *exec.Cmd
	home     string
	fifo     string
	exited   chan struct{}
	began    time.Time

	gate   sync.Mutex // held while nobody reads
	closed bool       // whether the test holds gate

	mu     sync.Mutex
	screen *vt.Emulator
	all    []byte             // everything that the program wrote
	last   time.Time          // when the newest bytes came
	news   chan struct{}      // closed when bytes come
	seen   func(at time.Time) // told of all bytes once they are on the screen; may be nil
}

// launch is what a program is started with.
type launch struct {
	program string // a name in PATH or a path; stillhand if empty
	args    []string
	cols    int // 80 if 0
	rows    int // 24 if 0
	env     []string
	stdin   *os.File // the terminal if nil
	home    string   // a new one if empty
}

// open starts a program in a new terminal. %FIFO in args stands for a FIFO made
// for it.
func open(t testing.TB, l launch) *terminal {
	t.Helper()
	master, line := openPty(t)
	l.cols, l.rows = cmp.Or(l.cols, 80), cmp.Or(l.rows, 24)
	l.program = cmp.Or(l.program, "stillhand")
	if l.home == "" {
		l.home = t.TempDir()
	}
	x := &terminal{
		t: t, pty: master, tty: line, home: l.home, fifo: filepath.Join(l.home, "cable"), exited: make(chan struct{}),
		screen: vt.NewEmulator(l.cols, l.rows), news: make(chan struct{}),
	}
	if err := syscall.Mkfifo(x.fifo, 0o600); !errors.Is(err, fs.ErrExist) {
		require.NoError(t, err)
	}
	var err error
	require.NoError(t, pty.Setsize(line, &pty.Winsize{Rows: uint16(l.rows), Cols: uint16(l.cols)}))
	x.before, err = term.GetState(int(line.Fd()))
	require.NoError(t, err)

	args := make([]string, len(l.args))
	for i, a := range l.args {
		args[i] = strings.ReplaceAll(a, "%FIFO", x.fifo)
	}
	x.cmd = exec.Command(l.program, args...)
	x.cmd.Env = append([]string{
		"PATH=" + os.Getenv("PATH"), "TERM=xterm-256color", "LC_ALL=C.UTF-8",
		"HOME=" + l.home, "XDG_DATA_HOME=" + l.home, "XDG_CONFIG_HOME=" + l.home,
		"GOCOVERDIR=" + t.TempDir(), // or with go test -cover it ends with words on the terminal
	}, l.env...)
	x.cmd.Stdin, x.cmd.Stdout, x.cmd.Stderr = line, line, line
	if l.stdin != nil {
		x.cmd.Stdin = l.stdin
	}
	x.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true, Ctty: 1}
	x.began = time.Now()
	require.NoError(t, x.cmd.Start())
	read := make(chan struct{})
	go x.read(read)
	go x.answer()
	go func() {
		_ = x.cmd.Wait()
		close(x.exited)
	}()
	t.Cleanup(func() {
		select {
		case <-x.exited:
		default:
			_ = x.cmd.Process.Kill()
			<-x.exited
		}
		line.Close()
		x.readAgain()
		<-read
		master.Close()
		if pipe, ok := x.screen.InputPipe().(io.Closer); ok {
			pipe.Close() // and answer ends
		}
	})
	return x
}

// openPty opens both ends of a pseudo-terminal. The master can be closed while
// it is read.
func openPty(t testing.TB) (master, line *os.File) {
	t.Helper()
	blocking, line, err := pty.Open()
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("no pseudo-terminal: %v", err)
		}
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	defer blocking.Close()
	fd, err := syscall.Dup(int(blocking.Fd()))
	require.NoError(t, err)
	syscall.CloseOnExec(fd)
	require.NoError(t, syscall.SetNonblock(fd, true))
	return os.NewFile(uintptr(fd), "pseudo-terminal"), line
}

// read shows on the screen what the program writes, until its line is closed.
func (x *terminal) read(done chan<- struct{}) {
	defer close(done)
	buf := make([]byte, 1<<16)
	for {
		x.gate.Lock()   // held elsewhere while the terminal is deaf
		x.gate.Unlock() //lint:ignore SA2001 passing the gate is all
		n, err := x.pty.Read(buf)
		now := time.Now()
		x.mu.Lock()
		_, _ = x.screen.Write(buf[:n])
		x.all = append(x.all, buf[:n]...)
		x.last = now
		if x.seen != nil {
			x.seen(now)
		}
		close(x.news)
		x.news = make(chan struct{})
		x.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// answer sends the program what the virtual terminal answers to its questions.
func (x *terminal) answer() {
	buf := make([]byte, 256)
	for {
		n, err := x.screen.Read(buf)
		if err != nil {
			return
		}
		_, _ = x.pty.Write(buf[:n])
	}
}

// text is what the screen shows, one line a row.
func (x *terminal) text() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.rows()
}

func (x *terminal) rows() string {
	var b strings.Builder
	for row := range x.screen.Height() {
		for col := 0; col < x.screen.Width(); {
			c := x.screen.CellAt(col, row)
			if c == nil || c.Content == "" {
				b.WriteByte(' ')
				col++
				continue
			}
			b.WriteString(c.Content)
			col += max(1, c.Width)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// written is everything that the program has written.
func (x *terminal) written() []byte {
	x.mu.Lock()
	defer x.mu.Unlock()
	return bytes.Clone(x.all)
}

// wait waits until the screen is as shown wants it, and returns when the bytes
// that made it so had come.
func (x *terminal) wait(what string, shown func(screen string) bool) time.Time {
	x.t.Helper()
	at, ok := x.watch(shown, patience)
	if !ok {
		x.t.Fatalf("not shown: %s; the screen:\n%s", what, x.text())
	}
	return at
}

func (x *terminal) watch(shown func(screen string) bool, most time.Duration) (time.Time, bool) {
	deadline := time.NewTimer(most)
	defer deadline.Stop()
	for {
		x.mu.Lock()
		ok, at, news := shown(x.rows()), x.last, x.news
		x.mu.Unlock()
		if ok {
			return at, true
		}
		select {
		case <-news:
		case <-deadline.C:
			return at, false
		}
	}
}

// shows waits until text stands on the screen.
func (x *terminal) shows(text string) time.Time {
	x.t.Helper()
	return x.wait(text, func(screen string) bool { return strings.Contains(screen, text) })
}

func (x *terminal) keys(text string) {
	x.t.Helper()
	_, err := x.pty.WriteString(text)
	require.NoError(x.t, err)
}

func (x *terminal) signal(s os.Signal) {
	x.t.Helper()
	require.NoError(x.t, x.cmd.Process.Signal(s))
}

// stopReading makes the terminal one that nobody reads from, once it has read
// one time more.
func (x *terminal) stopReading() {
	x.gate.Lock()
	x.closed = true
}

// readAgain ends stopReading.
func (x *terminal) readAgain() {
	if x.closed {
		x.closed = false
		x.gate.Unlock()
	}
}

// hangUp closes the terminal, as a window that is closed does.
func (x *terminal) hangUp() {
	x.t.Helper()
	require.NoError(x.t, x.tty.Close())
	require.NoError(x.t, x.pty.Close())
}

func (x *terminal) resize(cols, rows int) {
	x.t.Helper()
	x.mu.Lock()
	x.screen.Resize(cols, rows)
	x.mu.Unlock()
	require.NoError(x.t, pty.Setsize(x.tty, &pty.Winsize{Rows: uint16(rows), Cols: uint16(cols)}))
}

// fence is written behind the program's last words. It shows nothing.
const fence = "\x1b]2;the program has ended\x1b\\"

// exit waits for the program's end and for its last words, and returns its exit
// code.
func (x *terminal) exit() int {
	x.t.Helper()
	code := x.exitWithin(patience)
	_, err := x.tty.WriteString(fence)
	require.NoError(x.t, err)
	x.wait("the program's last words", func(string) bool { return bytes.HasSuffix(x.all, []byte(fence)) })
	return code
}

// exitWithin is exit for a terminal that does not read.
func (x *terminal) exitWithin(most time.Duration) int {
	x.t.Helper()
	select {
	case <-x.exited:
		return x.cmd.ProcessState.ExitCode()
	case <-time.After(most):
		x.t.Fatalf("the program does not end; the screen:\n%s", x.text())
		return -1
	}
}

// restored checks that the line and the screen are as the program found them.
func (x *terminal) restored() {
	x.t.Helper()
	after, err := term.GetState(int(x.tty.Fd()))
	require.NoError(x.t, err)
	assert.Equal(x.t, x.before, after, "the line's modes")
	x.mu.Lock()
	defer x.mu.Unlock()
	assert.False(x.t, x.screen.IsAltScreen(), "the alternate screen was left")
	assert.False(x.t, x.screen.CursorHidden(), "the cursor is shown")
}

// takes are the takes kept in the program's home.
func (x *terminal) takes() []string {
	x.t.Helper()
	paths, err := filepath.Glob(filepath.Join(x.home, "stillhand", "takes", "*.mid"))
	require.NoError(x.t, err)
	return paths
}

// play opens the FIFO for writing.
func (x *terminal) play() *cable {
	x.t.Helper()
	opened := make(chan *os.File, 1)
	go func() {
		f, err := os.OpenFile(x.fifo, os.O_WRONLY, 0)
		assert.NoError(x.t, err)
		opened <- f
	}()
	select {
	case f := <-opened:
		x.t.Cleanup(func() { f.Close() })
		return &cable{t: x.t, file: f}
	case <-time.After(patience):
		x.t.Fatalf("nobody reads the FIFO; the screen:\n%s", x.text())
		return nil
	}
}

// cable carries MIDI bytes to the program.
type cable struct {
	t    testing.TB
	file *os.File
}

func (c *cable) send(b ...byte) {
	c.t.Helper()
	_, err := c.file.Write(b)
	require.NoError(c.t, err)
}

// taken waits until the program has read all that was sent.
func (c *cable) taken() {
	c.t.Helper()
	other, err := os.OpenFile(c.file.Name(), os.O_RDONLY|syscall.O_NONBLOCK, 0)
	require.NoError(c.t, err)
	defer other.Close()
	require.Eventually(c.t, func() bool {
		unread := []unix.PollFd{{Fd: int32(other.Fd()), Events: unix.POLLIN}}
		n, err := unix.Poll(unread, 0)
		return err == nil && n == 0
	}, patience, time.Millisecond)
}

// note plays one note on channel ch and ends it.
func (c *cable) note(ch, pitch byte) {
	c.t.Helper()
	c.send(0x90|ch, pitch, 90)
	c.send(0x80|ch, pitch, 64)
}
