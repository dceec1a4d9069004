//go:build linux || darwin

package main_test

import (
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A shell with job control suspends and resumes the program, as a player's
// shell does.
func TestLive_SuspendsAndResumes(t *testing.T) {
	t.Parallel()
	x := open(t, launch{program: "sh", args: []string{"-c",
		`set -m; stillhand live --keyboard "$1"; echo "suspended with $?"; read line; fg >/dev/null; echo "ended with $?"`, "sh", "%FIFO"}})
	x.shows("nothing heard yet")
	c := x.play()
	for _, p := range []byte{29, 31, 34} {
		c.note(0, p)
	}
	x.shows("3 notes")
	x.keys("\x1a")
	x.shows("suspended with")
	x.restored()
	c.note(0, 62)
	x.keys("\n")
	x.shows("4 notes")
	c.note(0, 60)
	x.shows("5 notes")
	x.keys("q")
	x.shows("ended with 0")
	assert.Equal(t, 0, x.exit())
	x.restored()
	pitches, _ := heard(t, x.onlyTake())
	assert.Equal(t, []byte{29, 31, 34, 62, 60}, pitches, "what was played meanwhile is in the take")
}

// Without a shell nobody could resume the program: it goes on by itself.
func TestLive_SuspendWithoutAShellGoesOn(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "%FIFO"}})
	x.shows("nothing heard yet")
	c := x.play()
	x.keys("\x1a")
	c.note(0, 40)
	x.shows("1 note ")
	x.signal(syscall.SIGTSTP)
	c.note(0, 42)
	x.shows("2 notes")
	// The signal may take hold only now, and keys pressed while the terminal is
	// given back are dropped: a player presses again.
	for pressed := 0; pressed < 10; pressed++ {
		x.keys("q")
		select {
		case <-x.exited:
			pressed = 10
		case <-time.After(patience / 10):
		}
	}
	assert.Equal(t, 0, x.exit())
	x.restored()
}
