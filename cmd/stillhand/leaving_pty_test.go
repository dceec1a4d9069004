//go:build linux || darwin

package main_test

import (
	"os"
	"os/signal"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
)

// hearHangUps has the programs that t starts hear hang-ups, though tests may run
// under nohup.
func hearHangUps(t *testing.T) {
	heard := make(chan os.Signal, 1)
	signal.Notify(heard, syscall.SIGHUP)
	t.Cleanup(func() { signal.Stop(heard) })
}

func TestLive_SignalsRestoreTheTerminalAndKeepTheTake(t *testing.T) {
	t.Parallel()
	hearHangUps(t)
	for _, s := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP, syscall.SIGINT} {
		x := open(t, launch{args: []string{"live", "%FIFO"}})
		x.shows("nothing heard yet")
		c := x.play()
		c.note(0, 40)
		c.note(0, 42)
		x.shows("2 notes")
		x.signal(s)
		assert.Equal(t, 130, x.exit(), s)
		x.restored()
		assert.Contains(t, x.text(), "2 notes kept", s)
		pitches, _ := heard(t, x.onlyTake())
		assert.Equal(t, []byte{40, 42}, pitches, s)
	}
}

// That a sitting was interrupted hides nothing else that went wrong.
func TestLive_AnInterruptionSaysWhatElseWentWrong(t *testing.T) {
	t.Parallel()
	for _, leave := range []string{"\x03", "a signal"} {
		home := t.TempDir()
		require.NoError(t, os.MkdirAll(filepath.Join(home, "stillhand"), 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(home, "stillhand", "takes"), nil, 0o600))
		x := open(t, launch{args: []string{"live", "%FIFO"}, home: home, cols: 200})
		x.shows("not saving")
		x.play().note(0, 40)
		x.wait("a note", func(screen string) bool { return !strings.Contains(screen, "nothing heard yet") })
		if leave == "a signal" {
			x.signal(syscall.SIGTERM)
		} else {
			x.keys(leave)
		}
		assert.Equal(t, 130, x.exit(), leave)
		assert.Contains(t, x.text(), "nothing of it could be kept", leave)
		assert.NotContains(t, x.text(), "interrupted", leave)
	}
}

// What tells of the same thing more than once, as a terminal that closes does, is
// one signal.
func TestLive_SignalsAtOnceKeepTheTake(t *testing.T) {
	t.Parallel()
	hearHangUps(t)
	x := open(t, launch{args: []string{"live", "%FIFO"}})
	x.shows("nothing heard yet")
	x.play().note(0, 40)
	x.shows("1 note ")
	for began := time.Now(); time.Since(began) < 100*time.Millisecond; runtime.Gosched() {
		_ = x.cmd.Process.Signal(syscall.SIGHUP) // it may have ended already
	}
	assert.Equal(t, 130, x.exit())
	x.restored()
	pitches, _ := heard(t, x.onlyTake())
	assert.Equal(t, []byte{40}, pitches)
}

// Whatever does not look at the first signal is ended by a later one.
func TestStart_AnotherSignalEndsWhatIsDeafToTheFirst(t *testing.T) {
	t.Parallel()
	x := open(t, launch{program: "stillhand-deaf", args: []string{"live", "%FIFO"}})
	x.shows("waiting")
	again := time.NewTicker(50 * time.Millisecond)
	defer again.Stop()
	tooLate := time.After(patience)
	for {
		_ = x.cmd.Process.Signal(syscall.SIGINT)
		select {
		case <-x.exited:
			status := x.cmd.ProcessState.Sys().(syscall.WaitStatus)
			assert.True(t, status.Signaled())
			return
		case <-again.C:
		case <-tooLate:
			require.FailNow(t, "no signal ends the program")
		}
	}
}

func TestLive_AClosedTerminalKeepsTheTake(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "%FIFO"}})
	x.shows("nothing heard yet")
	x.play().note(0, 40)
	x.shows("1 note ")
	x.hangUp()
	assert.Equal(t, 130, x.exitWithin(patience))
	pitches, _ := heard(t, x.onlyTake())
	assert.Equal(t, []byte{40}, pitches)
}

// A terminal that stops reading holds up nothing: neither the record nor the
// end.
func TestLive_ATerminalThatStopsReadingCannotHoldTheProgram(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "--keyboard", "%FIFO"}, cols: 200, rows: 60})
	x.shows("nothing heard yet")
	c := x.play()
	x.stopReading()
	const notes = 3000
	for i := range notes {
		c.note(0, byte(28+i%30))
		if i%100 == 0 { // every size makes the program draw all of the screen again
			x.resize(200+i/100, 60)
		}
	}
	c.taken()
	x.signal(syscall.SIGTERM)
	began := time.Now()
	assert.Equal(t, 130, x.exitWithin(patience))
	assert.Less(t, time.Since(began), slowed*5*time.Second)
	pitches, _ := heard(t, x.onlyTake())
	assert.Equal(t, notes, len(pitches))
}

// Nor does what went wrong, which is said last of all.
func TestLive_ATerminalThatStopsReadingCannotHoldAProgramThatFailed(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(home, "stillhand"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(home, "stillhand", "takes"), nil, 0o600))
	x := open(t, launch{args: []string{"live", "--keyboard", "%FIFO"}, home: home, cols: 200, rows: 60})
	x.shows("not saving")
	c := x.play()
	x.stopReading()
	for i := range 300 {
		c.note(0, byte(28+i%30))
		if i%10 == 0 {
			x.resize(200+i/10, 60)
		}
	}
	c.taken()
	x.signal(syscall.SIGTERM)
	assert.Equal(t, 130, x.exitWithin(patience))
}

// A terminal that reads again after a pause gets the whole picture.
func TestLive_ATerminalThatReadsAgainIsUpToDate(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "--keyboard", "%FIFO"}, cols: 200, rows: 60})
	x.shows("nothing heard yet")
	c := x.play()
	x.stopReading()
	for i := range 600 {
		c.note(0, byte(28+i%30))
	}
	x.readAgain()
	x.shows("600 notes")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	x.restored()
}

func TestLive_ACrashRestoresTheTerminalAndKeepsTheTake(t *testing.T) {
	t.Parallel()
	culprits := map[string]string{ // functions that panic, as a stack names them
		"stillhand-crash-key": "brokenKeys.Do", "stillhand-crash-input": "brokenSource",
		"stillhand-crash-reading": "brokenReader.Read", "stillhand-crash-sitting": "brokenSource).Name",
	}
	for program, what := range map[string]string{
		"stillhand-crash-key":     "the screen crashed: a key",
		"stillhand-crash-input":   "the input crashed: a note",
		"stillhand-crash-reading": "the input crashed: a read",
		"stillhand-crash-sitting": "the sitting crashed: a name",
	} {
		x := open(t, launch{program: program, args: []string{"live", "%FIFO"}, cols: 200})
		x.shows("nothing heard yet")
		c := x.play()
		c.note(0, 40)
		x.shows("1 note ")
		switch program {
		case "stillhand-crash-key":
			x.keys("m")
		default:
			c.send(0x90, main.CrashingPitch, 90)
		}
		assert.Equal(t, 1, x.exit(), program)
		x.restored()
		screen := strings.Join(strings.Fields(x.text()), " ")
		assert.Contains(t, screen, what)
		assert.Contains(t, screen, "stillhand/takes/")
		found := regexp.MustCompile(`please report it with (\S+)`).FindStringSubmatch(screen)
		require.NotNil(t, found, screen)
		report, err := os.ReadFile(found[1])
		require.NoError(t, err)
		assert.Contains(t, string(report), what)
		assert.Contains(t, string(report), "goroutine ")
		assert.Contains(t, string(report), culprits[program])
		pitches, _ := heard(t, x.onlyTake())
		require.NotEmpty(t, pitches, program)
		assert.Equal(t, byte(40), pitches[0], program)
	}
}
