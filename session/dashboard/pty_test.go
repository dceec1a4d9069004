//go:build unix

package dashboard

import (
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/term"
)

// stage is a process of ours on a pseudo terminal, and what it shows there.
type stage struct {
	t      *testing.T
	ptm    *os.File
	tty    *os.File // kept open to look at the terminal's modes
	before *term.State
	cmd    *exec.Cmd
	done   chan struct{} // closed when the process has ended
	mu     sync.Mutex    // guards screen, but for its Read, and raw
	screen *vt.Emulator
	raw    []byte
	news   chan struct{}
	hangUp atomic.Bool // close the terminal after the next output: a reader holds it open
}

// perform starts the test's binary with scene, or command on a shell line that
// finds it in $SCENE_PROGRAM.
func perform(t *testing.T, scene string, command []string, env ...string) *stage {
	t.Helper()
	program, err := os.Executable()
	require.NoError(t, err)
	if command == nil {
		command = []string{program}
	}
	ptm, tty, err := pty.Open()
	require.NoError(t, err)
	require.NoError(t, pty.Setsize(ptm, &pty.Winsize{Rows: 24, Cols: 80}))
	s := &stage{t: t, ptm: ptm, tty: tty, done: make(chan struct{}), screen: vt.NewEmulator(80, 24), news: make(chan struct{}, 1)}
	s.before, err = term.GetState(int(tty.Fd()))
	require.NoError(t, err)
	s.cmd = exec.Command(command[0], command[1:]...)
	s.cmd.Env = append(os.Environ(), sceneVariable+"="+scene, "SCENE_PROGRAM="+program, "PS1=shell> ")
	s.cmd.Env = append(s.cmd.Env, env...)
	s.cmd.Stdin, s.cmd.Stdout, s.cmd.Stderr = tty, tty, tty
	s.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	require.NoError(t, s.cmd.Start())
	go func() {
		_ = s.cmd.Wait()
		close(s.done)
	}()
	go s.watch()
	go func() { // what the emulator answers; it ends with the tests
		answer := make([]byte, 256)
		for {
			n, err := s.screen.Read(answer)
			if err != nil {
				return
			}
			_, _ = ptm.Write(answer[:n])
		}
	}()
	t.Cleanup(func() {
		_ = s.cmd.Process.Kill()
		<-s.done
		_ = ptm.Close()
		_ = tty.Close()
	})
	return s
}

func (s *stage) watch() {
	p := make([]byte, 1<<16)
	for {
		n, err := s.ptm.Read(p)
		if err != nil {
			return
		}
		s.mu.Lock()
		s.raw = append(s.raw, p[:n]...)
		_, _ = s.screen.Write(p[:n])
		s.mu.Unlock()
		if s.hangUp.Load() {
			_ = s.tty.Close()
			_ = s.ptm.Close()
			return
		}
		select {
		case s.news <- struct{}{}:
		default:
		}
	}
}

func (s *stage) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.screen.String()
}

func (s *stage) alternate() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.screen.IsAltScreen()
}

func (s *stage) output() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return string(s.raw)
}

// await returns when what is shown satisfies done.
func (s *stage) await(what string, done func(shown string) bool) {
	s.t.Helper()
	limit := time.After(patience)
	for !done(s.text()) {
		select {
		case <-s.news:
		case <-limit:
			s.t.Fatalf("%s does not come; the terminal shows\n%s", what, s.text())
		}
	}
}

func (s *stage) shows(text string) {
	s.t.Helper()
	s.await(text, func(shown string) bool { return strings.Contains(shown, text) })
}

func (s *stage) keys(keys string) {
	s.t.Helper()
	_, err := s.ptm.WriteString(keys)
	require.NoError(s.t, err)
}

// exit waits for the process and returns its exit code.
func (s *stage) exit() int {
	s.t.Helper()
	select {
	case <-s.done:
		return s.cmd.ProcessState.ExitCode()
	case <-time.After(patience):
		s.t.Fatal("the process does not end")
		return 0
	}
}

// restored checks that the terminal is as it was.
func (s *stage) restored() {
	s.t.Helper()
	after, err := term.GetState(int(s.tty.Fd()))
	require.NoError(s.t, err)
	assert.Equal(s.t, s.before, after, "the terminal's modes are as before")
	s.shows("scene ended")
	assert.False(s.t, s.alternate(), "the usual screen is back")
	assert.GreaterOrEqual(s.t, strings.LastIndex(s.output(), "\x1b[?25h"), strings.LastIndex(s.output(), "\x1b[?25l"), "the cursor is back")
}

const firstFrame = "? keys"

func TestTerminal_IsRestoredHoweverItEnds(t *testing.T) {
	t.Parallel()
	for _, end := range []struct {
		name, scene string
		act         func(*stage)
		code        int
	}{
		{"quit", "sit", func(s *stage) { s.keys("q") }, 0},
		{"interrupt", "sit", func(s *stage) { s.keys("\x03") }, 130},
		{"SIGTERM", "sit", func(s *stage) { require.NoError(s.t, s.cmd.Process.Signal(syscall.SIGTERM)) }, 130},
		{"SIGHUP", "sit", func(s *stage) { require.NoError(s.t, s.cmd.Process.Signal(syscall.SIGHUP)) }, 130},
		{"panic in a handler", "handler", func(s *stage) { s.keys("m") }, 1},
		{"panic in drawing", "drawing", func(s *stage) { s.keys("m") }, 1},
		{"panic in the painter", "painter", func(*stage) {}, 1},
	} {
		t.Run(end.name, func(t *testing.T) {
			t.Parallel()
			s := perform(t, end.scene, nil)
			if end.scene != "painter" {
				s.shows(firstFrame)
				assert.True(t, s.alternate())
			}
			end.act(s)
			assert.Equal(t, end.code, s.exit())
			s.restored()
			if end.code == 1 {
				s.shows("the screen crashed: scene: " + end.scene)
			}
		})
	}
}

func TestTerminal_HangingUpEndsTheProgram(t *testing.T) {
	t.Parallel()
	s := perform(t, "sit", nil)
	s.shows(firstFrame)
	s.hangUp.Store(true)
	_, _ = s.ptm.WriteString("m") // fails if there was output left to close on
	assert.NotEqual(t, 0, s.exit())
}

func TestTerminal_FollowsItsSize(t *testing.T) {
	t.Parallel()
	s := perform(t, "sit", nil)
	s.shows(firstFrame)
	resize := func(w, h int) {
		s.mu.Lock()
		s.screen.Resize(w, h)
		s.mu.Unlock()
		require.NoError(t, pty.Setsize(s.ptm, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)}))
	}
	for i := range 40 {
		resize(20+(i*37)%231, 5+(i*17)%66)
	}
	resize(20, 5)
	s.shows("needs")
	resize(120, 40)
	s.shows("position, last half minute")
	resize(80, 24)
	s.await("the screen for 80x24", func(shown string) bool {
		return strings.Contains(shown, firstFrame) && !strings.Contains(shown, "position, last half minute")
	})
	s.keys("q")
	assert.Equal(t, 0, s.exit())
	s.restored()
}

func TestTerminal_SuspendsAndComesBackUnderAShell(t *testing.T) {
	t.Parallel()
	shell, err := exec.LookPath("bash")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("bash is missing: job control is not checked")
		}
		t.Skip("bash is missing: job control is not checked")
	}
	s := perform(t, "sit", []string{shell, "--norc", "--noprofile", "-i"})
	s.shows("shell>")
	s.keys("$SCENE_PROGRAM\n")
	s.shows(firstFrame)
	for range 2 {
		s.keys("\x1a")
		s.shows("Stopped")
		assert.False(t, s.alternate())
		s.keys("clear; echo still $((40 + 2))\n")
		s.shows("still 42")
		s.keys("fg\n")
		s.shows(firstFrame)
		assert.True(t, s.alternate())
	}
	s.keys("m")
	s.shows("mark 1")

	// Stopped by somebody else, the program cannot give the terminal back, but
	// takes it again.
	process, err := strconv.Atoi(regexp.MustCompile(`process (\d+)`).FindStringSubmatch(s.text())[1])
	require.NoError(t, err)
	require.NoError(t, syscall.Kill(process, syscall.SIGTSTP))
	s.shows("Stopped")
	s.keys("clear; echo again $((40 + 3))\n") // the old picture must be gone before the new one is waited for
	s.shows("again 43")
	s.keys("fg\n")
	s.shows(firstFrame)
	s.keys("m")
	s.shows("mark 2")
	s.keys("q")
	s.shows("scene ended: <nil>")
	s.keys("exit 7\n")
	assert.Equal(t, 7, s.exit())
}

func TestTerminal_WithoutColourOrUnicode(t *testing.T) {
	t.Parallel()
	s := perform(t, "sit", nil, "LC_ALL=C", "NO_COLOR=1")
	s.shows(firstFrame)
	s.keys("m")
	s.shows("mark 1")
	s.keys("q")
	assert.Equal(t, 0, s.exit())
	for _, r := range s.output() {
		if r >= 0x80 {
			t.Fatalf("%q was sent to a terminal for ASCII", r)
		}
	}
	assert.NotRegexp(t, `\x1b\[[0-9;]*(3[0-7]|38)[0-9;:]*m`, s.output(), "no colour")

	s = perform(t, "sit", nil)
	s.shows(firstFrame)
	assert.Regexp(t, `\x1b\[[0-9;]*(3[0-7]|38)[0-9;:]*m`, s.output(), "the check sees a colour")
}

func TestTerminal_ThatCannotPlaceTheCursorIsRefused(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"dumb", "no-such-terminal"} {
		s := perform(t, "sit", nil, "TERM="+name)
		assert.Equal(t, 1, s.exit())
		s.shows("terminal (TERM=" + name + ")")
		s.restored()
	}
}
