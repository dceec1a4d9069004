//go:build linux || darwin

package main_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestProfile_LearnsAPedalByPressingIt(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	learn := func(action string, bytes ...byte) string {
		x := open(t, launch{args: []string{"profile", "--learn", action, "%FIFO"}, home: home, cols: 200})
		x.shows("press the pedal for " + action)
		c := x.play()
		c.send(bytes...)
		require.Equal(t, 0, x.exit())
		return x.text()
	}
	// Notes, a bend range by RPN, a pedal at rest: none of them is a press.
	before := []byte{0x90, 40, 90, 0x80, 40, 0, 0xb0, 101, 127, 0xb0, 100, 127, 0xb0, 6, 100, 0xb0, 64, 0}
	assert.Contains(t, learn("mark", append(before, 0xb0, 64, 127)...), "cc64=mark is kept")
	assert.Contains(t, learn("swap", 0xb3, 66, 100), "cc66=swap is kept")
	assert.Contains(t, learn("hold", 0xb0, 66, 127), "cc66 did swap before")
	profile, err := os.ReadFile(filepath.Join(home, "stillhand", "profile.toml"))
	require.NoError(t, err)
	assert.Contains(t, string(profile), `foot = "cc64=mark,cc66=hold"`)

	x := open(t, launch{args: []string{"live", "%FIFO"}, home: home})
	x.shows("nothing heard yet")
	x.play().send(0x90, 40, 90, 0xb0, 66, 127)
	x.shows("COUNT ON HOLD")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
}

func TestProfile_LearningCanBeLeft(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"profile", "--learn", "mark", "%FIFO"}})
	x.shows("press the pedal")
	x.keys("\x03")
	assert.Equal(t, 130, x.exit())
	_, err := os.Stat(filepath.Join(x.home, "stillhand", "profile.toml"))
	assert.ErrorIs(t, err, os.ErrNotExist)

	r, w, err := os.Pipe()
	require.NoError(t, err)
	require.NoError(t, w.Close())
	x = open(t, launch{args: []string{"profile", "--learn", "mark", "-"}, stdin: r, cols: 200})
	assert.Equal(t, 1, x.exit())
	assert.Contains(t, x.text(), "standard input ended before a pedal was pressed: nothing is kept")

	x = open(t, launch{args: []string{"profile", "--learn", "nosuch", "-"}})
	assert.Equal(t, 2, x.exit())
}
