//go:build linux || darwin

package main_test

import (
	"bytes"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// resizeStorm is every size from 20x5 to 250x70, back and forth.
func resizeStorm() (sizes [][2]int) {
	for i := range 24 {
		sizes = append(sizes, [2]int{20 + i*10, 5 + i*65/23})
	}
	for i := range 24 {
		sizes = append(sizes, sizes[(i*7)%24])
	}
	return append(sizes, [2]int{20, 5}, [2]int{250, 70}, [2]int{80, 24})
}

func TestLive_SurvivesAResizeStormWhilePlaying(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "--keyboard", "%FIFO"}})
	x.shows("nothing heard yet")
	c := x.play()
	notes := 0
	for _, s := range resizeStorm() {
		x.resize(s[0], s[1])
		for range 3 {
			c.note(0, byte(28+notes%30))
			notes++
		}
	}
	x.shows(fmt.Sprintf("%d notes", notes))

	// Sizes at rest: what must be there is there.
	for _, s := range []struct {
		cols, rows int
		text       string
	}{{250, 70, "stretch, mm"}, {20, 5, "80x24"}, {120, 40, "stretch, mm"}, {60, 20, "60 columns and 20 rows"}, {80, 24, "stretch, mm"}} {
		x.resize(s.cols, s.rows)
		x.shows(s.text)
	}
	x.wait("the last row, and all settled", func(screen string) bool {
		return strings.HasSuffix(strings.TrimSpace(screen), "? keys") && !strings.Contains(screen, "~") && !strings.Contains(screen, "provisional")
	})
	before, rows := x.text(), 23
	if strings.Contains(before, "speaks when you rest") {
		rows = 16 // it may do so meanwhile
	}
	x.keys("\x0c") // Ctrl-L draws everything again: nothing may look different
	x.keys("m")
	x.wait("the mark, and its sign gone", func(screen string) bool {
		return strings.Contains(screen, "1 mark") && !strings.Contains(screen, "mark 1")
	})
	after := strings.Split(x.text(), "\n")
	for i, line := range strings.Split(before, "\n")[:rows] {
		assert.Equal(t, line, after[i])
	}
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	x.restored()
	pitches, _ := heard(t, x.onlyTake())
	assert.Equal(t, notes, len(pitches))
}

// colour is what sets a colour: SGR 30-37, 40-47, 90-97, 100-107 and 38, 48
// with their parameters (ECMA-48 and its widespread extension).
var colour = regexp.MustCompile(`\x1b\[(\d+;)*(3[0-8]|4[0-8]|9[0-7]|10[0-7])[;m]`)

func TestLive_NoColourIsHonoured(t *testing.T) {
	t.Parallel()
	written := func(env ...string) []byte {
		x := open(t, launch{args: []string{"live", "%FIFO"}, env: env})
		x.shows("nothing heard yet")
		x.play().note(0, 40)
		x.shows("1 note ")
		x.keys("q")
		assert.Equal(t, 0, x.exit())
		return x.written()
	}
	assert.NotRegexp(t, colour, string(written("NO_COLOR=1")))
	assert.Regexp(t, colour, string(written()), "the check itself sees colours")
}

func TestLive_PlainLocaleGetsPlainCharacters(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "%FIFO"}, env: []string{"LC_ALL=C"}})
	x.shows("nothing heard yet")
	x.play().note(0, 40)
	x.shows("1 note ")
	assert.NotContains(t, x.text(), "?????", "no glyph that the locale lacks")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	assert.Equal(t, -1, bytes.IndexFunc(x.written(), func(r rune) bool { return r > 126 }), "ASCII only")
}

func TestLive_DumbTerminalGetsLines(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"live", "--keyboard", "%FIFO"}, env: []string{"TERM=dumb"}, cols: 120, rows: 40})
	c := x.play()
	for _, p := range []byte{29, 31, 34, 57, 59, 60} {
		c.note(0, p)
	}
	x.shows("shift to")
	require.NoError(t, c.file.Close())
	x.shows("cable is gone")
	x.keys("\x03") // the line itself makes an interrupt of it
	assert.Equal(t, 130, x.exit())
	x.restored()
	x.shows("6 notes kept")
	assert.NotContains(t, string(x.written()[:len(x.written())-len(fence)]), "\x1b", "no control sequence")
	pitches, _ := heard(t, x.onlyTake())
	assert.Len(t, pitches, 6)
}

func TestLive_OutputThatIsNoTerminalGetsLines(t *testing.T) {
	t.Parallel()
	r, w, err := os.Pipe()
	require.NoError(t, err)
	x := open(t, launch{program: "sh", args: []string{"-c", `stillhand live --no-save - | cat`}, stdin: r})
	r.Close()
	_, err = w.Write([]byte{0x90, 40, 90, 0x80, 40, 64})
	require.NoError(t, err)
	require.NoError(t, w.Close())
	assert.Equal(t, 0, x.exit())
	assert.Contains(t, x.text(), "1 note kept")
	assert.NotContains(t, string(x.written()[:len(x.written())-len(fence)]), "\x1b")
}

// A setting that concerns the screen holds for a recording as well.
func TestDemo_RingsTheBellWhenAsked(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"demo", "--bell", "on"}})
	x.resize(120, 40)
	x.shows("bell on")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
}
