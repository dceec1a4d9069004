//go:build linux || darwin

package main_test

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/midiin"
)

// blink is less than any blink of an eye takes: 0.1 to 0.4 s (from memory).
const blink = 100 * time.Millisecond

// number reads the number that follows before on the screen; -1 if there is
// none.
func number(screen, before string) float64 {
	found := regexp.MustCompile(regexp.QuoteMeta(before) + `\D*?(\d+(\.\d+)?)`).FindStringSubmatch(screen)
	if found == nil {
		return -1
	}
	n, err := strconv.ParseFloat(found[1], 64)
	if err != nil {
		return -1
	}
	return n
}

// atLeast is the count of sure shifts on the screen.
func atLeast(screen string) float64 { return number(screen, "shifts, at least") }

// handAt reports whether the screen shows the hand at position p, told by the
// stretch there: on the default neck every position has its own.
func handAt(p int) func(string) bool {
	neck, err := coach.ParseNeck("bass4")
	if err != nil {
		panic(err)
	}
	want := strconv.FormatFloat(neck.StretchMM(p, 4), 'f', 0, 64)
	here := regexp.MustCompile(`four here\?? +` + want + `\b`)
	return here.MatchString
}

// heard are the notes begun in a take, as midiin reads it.
func heard(t *testing.T, path string) (pitches []byte, markers []string) {
	t.Helper()
	f, err := midiin.OpenFile(path, midiin.FileOptions{})
	require.NoError(t, err)
	require.NoError(t, f.Run(t.Context(), func(e midiin.Event) {
		switch {
		case e.Kind == midiin.Message && e.Data[0]>>4 == 9 && e.Data[2] > 0:
			pitches = append(pitches, e.Data[1])
		case e.Kind == midiin.Marker:
			markers = append(markers, e.Text)
		}
	}))
	return pitches, markers
}

// onlyTake is the one take in the program's home.
func (x *terminal) onlyTake() string {
	x.t.Helper()
	paths := x.takes()
	require.Len(x.t, paths, 1)
	return paths[0]
}

func TestLive_NotesInAFIFOMoveWindowAndCount(t *testing.T) {
	t.Parallel()
	// The strings are told, so that the hand is known however fast the test plays.
	x := open(t, launch{args: []string{"live", "%FIFO", "--strings", "1=4,2=3,3=2,4=1"}})
	x.shows("nothing heard yet")
	c := x.play()
	played := []byte{29, 32, 34, 37, 39, 42, 57, 59, 60, 62, 64}
	channels := []byte{0, 0, 1, 1, 2, 2, 3, 3, 3, 3, 3}
	var late []time.Duration
	for i, p := range played {
		began := time.Now()
		c.note(channels[i], p)
		late = append(late, x.shows(strconv.Itoa(i+1)+" note").Sub(began))
		switch p {
		case 42: // F1 to Gb2, frets 1 and 4 of three strings
			assert.Zero(t, atLeast(x.text()))
			x.wait("the hand at the first fret", handAt(1))
		case 64: // E4 is fret 21 of the highest string, A3 fret 14: one shift at the least
			x.wait("a shift", func(screen string) bool { return atLeast(screen) >= 1 })
			x.wait("the hand high up", func(screen string) bool { return number(screen, "four here") < 60 })
		}
	}
	slices.Sort(late)
	assert.Less(t, late[len(late)/2], blink, "from the byte written to the screen")

	x.keys("q")
	assert.Equal(t, 0, x.exit())
	x.restored()
	pitches, _ := heard(t, x.onlyTake())
	assert.Equal(t, played, pitches)
	assert.Contains(t, x.text(), "11 notes kept", "the summary")
}

func TestLive_WriterLeavesAndTheNextIsPickedUp(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "%FIFO"}})
	x.shows("nothing heard yet")
	c := x.play()
	c.note(0, 40)
	x.shows("1 note ")
	require.NoError(t, c.file.Close())
	left := time.Now()
	at := x.shows("WARNING: cable")
	assert.Less(t, at.Sub(left), 2*time.Second, "unplugging shows within two seconds")
	c = x.play()
	c.note(0, 43)
	x.shows("2 notes")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	pitches, markers := heard(t, x.onlyTake())
	assert.Equal(t, []byte{40, 43}, pitches)
	assert.Equal(t, []string{"lost cable", "found cable"}, markers, "the gap is marked in the take")
}

// Counts that were restarted belong to the screen: the report is of the whole
// take, and says so.
func TestLive_RestartedCountsLeaveTheReportWhole(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "--keyboard", "%FIFO"}})
	c := x.play()
	for i, p := range []byte{29, 31, 34, 57, 59, 60} {
		c.note(0, p)
		x.shows(strconv.Itoa(i+1) + " note")
	}
	x.wait("a shift", func(screen string) bool { return atLeast(screen) >= 1 })
	x.keys("x")
	x.wait("no shift", func(screen string) bool { return atLeast(screen) == 0 })
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	text := strings.Join(strings.Fields(x.text()), " ")
	assert.Contains(t, text, "also from before the counts were restarted")
	assert.Regexp(t, `likely [1-9][0-9.]*, at least [1-9]`, text)
	assert.Regexp(t, `fewest four [1-9], three [1-9], mixed [1-9]`, text)
}

func TestLive_StandardInputEndsTidily(t *testing.T) {
	t.Parallel()
	r, w, err := os.Pipe()
	require.NoError(t, err)
	x := open(t, launch{args: []string{"live", "-"}, stdin: r})
	r.Close()
	x.shows("nothing heard yet")
	_, err = w.Write([]byte{0x90, 40, 90, 0x80, 40, 64})
	require.NoError(t, err)
	x.shows("1 note ")
	require.NoError(t, w.Close())
	assert.Equal(t, 0, x.exit())
	x.restored()
	assert.Contains(t, x.text(), "1 note kept", "the summary")
	pitches, _ := heard(t, x.onlyTake())
	assert.Equal(t, []byte{40}, pitches)
}

func TestLive_NothingSavedWhenAsked(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "--no-save", "%FIFO"}})
	x.shows("nothing heard yet")
	x.play().note(0, 40)
	x.shows("1 note ")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	assert.Empty(t, x.takes())
}

func TestLive_EveryActionHasAKey(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "%FIFO"}})
	x.shows("nothing heard yet")
	c := x.play()
	for _, p := range []byte{29, 31, 34, 57, 59, 60} {
		c.note(0, p)
	}
	x.wait("a shift", func(screen string) bool { return atLeast(screen) >= 1 })
	x.keys("m")
	x.shows("1 mark")
	x.keys("s")
	x.shows("four would be at")
	x.keys("s")
	x.shows("three would be at")
	x.keys("7w")
	x.wait("the hand at 7", handAt(7))
	x.keys("\x1b[A")
	x.wait("the hand at 8", handAt(8))
	x.keys("\x1b[B\x1b[B")
	x.wait("the hand at 6", handAt(6))
	x.keys("x")
	x.wait("no shift", func(screen string) bool { return atLeast(screen) == 0 })
	x.keys("h")
	x.shows("COUNT ON HOLD")
	c.note(0, 45)
	x.shows("1 on hold")
	x.keys("h")
	x.wait("counting again", func(screen string) bool { return !strings.Contains(screen, "HOLD") })
	x.keys("f")
	x.wait("the far view", func(screen string) bool { return !strings.Contains(screen, "fewest") })
	x.keys("f")
	x.shows("fewest")
	x.keys("?")
	x.shows("hold the count, or go on")
	x.keys("?")
	x.shows("fewest")
	x.keys("\x03")
	assert.Equal(t, 130, x.exit())
	x.restored()
	pitches, markers := heard(t, x.onlyTake())
	assert.Equal(t, []byte{29, 31, 34, 57, 59, 60, 45}, pitches, "holding does not stop the record")
	assert.Equal(t, []string{"mark", "fingers three", "fingers four", "hand at 7", "hand at 8", "hand at 7", "hand at 6",
		"forget", "hold", "resume"}, markers)
}

func TestLive_EveryActionCanBeBoundToAPedal(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "--keyboard", "--foot",
		"cc64=mark,cc66=swap,cc67=far,cc20=hold,cc21=forget,cc22=up,cc23=down,cc24=here", "%FIFO"}})
	x.shows("nothing heard yet")
	c := x.play()
	press := func(controller byte) {
		t.Helper()
		c.send(0xb0, controller, 127)
		c.send(0xb0, controller, 0)
	}
	for _, p := range []byte{29, 31, 34, 57, 59, 60} {
		c.note(0, p)
	}
	x.wait("a shift", func(screen string) bool { return atLeast(screen) >= 1 })
	press(64)
	x.shows("1 mark")
	c.send(0xb0, 64, 127, 0xb0, 64, 100, 0xb0, 64, 127) // one press, however the pedal trembles
	x.shows("2 marks")
	c.send(0xb0, 64, 0)
	press(66)
	x.shows("four would be at")
	press(66)
	x.shows("three would be at")
	press(67)
	x.wait("the far view", func(screen string) bool { return !strings.Contains(screen, "fewest") })
	press(67)
	x.shows("fewest")
	press(20)
	x.shows("COUNT ON HOLD")
	press(20)
	x.wait("counting again", func(screen string) bool { return !strings.Contains(screen, "HOLD") })
	press(21)
	x.wait("no shift", func(screen string) bool { return atLeast(screen) == 0 })
	press(24)
	press(22)
	press(22)
	press(23)
	x.keys("?")
	x.shows("cc64 = mark")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	_, markers := heard(t, x.onlyTake())
	require.Len(t, markers, 11)
	assert.Equal(t, []string{"mark", "mark", "fingers three", "fingers four", "hold", "resume", "forget"}, markers[:7])
	var at int
	for i, step := range []int{0, 1, 1, -1} {
		p, err := strconv.Atoi(strings.TrimPrefix(markers[7+i], "hand at "))
		require.NoError(t, err)
		if i > 0 {
			assert.Equal(t, at+step, p)
		}
		at = p
	}
}

func TestLive_RingsTheBellOnAShiftIfAsked(t *testing.T) {
	t.Parallel()
	bells := func(bell string) int {
		x := open(t, launch{args: []string{"live", "--keyboard", "--bell", bell, "%FIFO"}})
		x.shows("nothing heard yet")
		c := x.play()
		for _, p := range []byte{29, 31, 34} {
			c.note(0, p)
		}
		x.shows("3 notes")
		before := strings.Count(string(x.written()), "\a")
		c.note(0, 62) // D4: no window holds it and A#1
		x.shows("4 notes")
		x.wait("a shift", func(screen string) bool { return atLeast(screen) >= 1 })
		x.keys("q")
		assert.Equal(t, 0, x.exit())
		assert.Zero(t, before, "no shift, no bell")
		return strings.Count(string(x.written()), "\a")
	}
	assert.Equal(t, 1, bells("on"))
	assert.Equal(t, 0, bells("off"))
}

// An old take, whose head holds a reach that no hand has, plays back, and the screen
// says what it leaves out.
func TestReplay_SaysWhichReachItLeavesOut(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "%FIFO", "--reach", "299mm"}})
	c := x.play()
	c.note(0, 33)
	x.shows("1 note")
	x.keys("q")
	require.Equal(t, 0, x.exit())
	take, err := os.ReadFile(x.onlyTake())
	require.NoError(t, err)
	old := filepath.Join(t.TempDir(), "old.mid")
	require.NoError(t, os.WriteFile(old, bytes.Replace(take, []byte("reach=299mm"), []byte("reach=999mm"), 1), 0o600))
	y := open(t, launch{args: []string{"replay", old}, cols: 200})
	y.shows("reach in the head of the take: a reach of 999 mm is no hand's")
	y.keys("q")
	require.Equal(t, 0, y.exit())
}
