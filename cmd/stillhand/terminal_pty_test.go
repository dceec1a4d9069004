//go:build linux || darwin

package main_test

import (
	"bytes"
	"errors"
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
	"golang.org/x/term"
)

// patience is how long a test waits for what usually takes milliseconds.
const patience = 20 * time.Second

// terminal is a virtual terminal with one program in it.
type terminal struct {
	t        *testing.T
	pty, tty *os.File
	before   *term.State // of the line, before the program began
	cmd      *exec.Cmd
	home     string
	fifo     string
	exited   chan struct{}
	began    time.Time

	reading sync.Mutex // held by who wants the terminal to stop reading

	mu     sync.Mutex
	screen *vt.Emulator
	all    []byte        // everything that the program wrote
	last   time.Time     // when the newest bytes came
	news   chan struct{} // closed when bytes come
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
func open(t *testing.T, l launch) *terminal {
	t.Helper()
	master, line, err := pty.Open()
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("no pseudo-terminal: %v", err)
		}
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	if l.cols == 0 {
		l.cols, l.rows = 80, 24
	}
	if l.program == "" {
		l.program = "stillhand"
	}
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
	require.NoError(t, pty.Setsize(master, &pty.Winsize{Rows: uint16(l.rows), Cols: uint16(l.cols)}))
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
		<-read
		master.Close()
		_ = x.screen.Close()
	})
	return x
}

// read shows on the screen what the program writes, until its line is closed.
func (x *terminal) read(done chan<- struct{}) {
	defer close(done)
	buf := make([]byte, 1<<16)
	for {
		x.reading.Lock()
		n, err := x.pty.Read(buf)
		x.reading.Unlock()
		now := time.Now()
		x.mu.Lock()
		_, _ = x.screen.Write(buf[:n])
		x.all = append(x.all, buf[:n]...)
		x.last = now
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

func (x *terminal) resize(cols, rows int) {
	x.t.Helper()
	x.mu.Lock()
	x.screen.Resize(cols, rows)
	x.mu.Unlock()
	require.NoError(x.t, pty.Setsize(x.pty, &pty.Winsize{Rows: uint16(rows), Cols: uint16(cols)}))
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
	t    *testing.T
	file *os.File
}

func (c *cable) send(b ...byte) {
	c.t.Helper()
	_, err := c.file.Write(b)
	require.NoError(c.t, err)
}

// note plays one note on channel ch and ends it.
func (c *cable) note(ch, pitch byte) {
	c.t.Helper()
	c.send(0x90|ch, pitch, 90)
	c.send(0x80|ch, pitch, 64)
}
