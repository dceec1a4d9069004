//go:build linux || darwin

package main_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session/store"
)

// metronome waits for the beats that the screen shows: its caption changes
// with each.
type metronome struct {
	x    *terminal
	last string
}

var beatCaption = regexp.MustCompile(`(?m)^ beat ■\S*`)

func (m *metronome) next() {
	m.x.t.Helper()
	m.x.wait("the next beat", func(screen string) bool {
		at := beatCaption.FindString(screen)
		if at == "" || at == m.last {
			return false
		}
		m.last = at
		return true
	})
}

// beginsRung plays the note that counts in, and on the beat after the count-in the
// rung's first note, and nothing more.
func (x *terminal) beginsRung() *cable {
	x.t.Helper()
	x.shows("on any string")
	c := x.play()
	c.note(0, 40)
	beat := metronome{x: x}
	for range 5 {
		beat.next()
	}
	c.note(0, 45)
	return c
}

// history opens what the program kept.
func (x *terminal) history() *store.History {
	x.t.Helper()
	h, err := store.OpenHistory(x.t.Context(), filepath.Join(x.home, "stillhand"))
	require.NoError(x.t, err)
	x.t.Cleanup(func() { assert.NoError(x.t, h.Close()) })
	return h
}

func TestLadder_CountsInListensJudgesAndAsks(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"ladder", "--keyboard", "--tempo", "120", "%FIFO"}})
	x.shows("four fingers, frets 12 to 15 on any string")
	x.shows("The way starts where the frets lie close")
	c := x.play()
	c.note(0, 40) // begins the count-in
	beat := metronome{x: x}
	for range 4 {
		beat.next()
	}
	sounding := byte(0)
	for _, p := range []byte{45, 46, 47, 48, 47, 46, 45, 46, 47, 48, 47, 46, 45} { // from fret 12 of A, twice up and down
		beat.next()
		c.send(0x90, p, 90)
		if sounding != 0 {
			c.send(0x80, sounding, 64)
		}
		sounding = p
	}
	c.send(0x80, sounding, 64)
	x.shows("held     notes: 13 of 13 notes right and in order")
	x.shows("on string 3")
	x.keys("q")
	x.shows("Discomfort in hand or arm, 0 none to 10 the worst")
	x.keys("many\r")
	x.wait("the question again", func(screen string) bool { return strings.Count(screen, "Discomfort in hand or arm") == 2 })
	x.keys("4\r")
	assert.Equal(t, 0, x.exit())
	assert.Contains(t, x.text(), "Attempt 1, string 3")
	assert.Contains(t, x.text(), "You reported discomfort 4 of 10")

	attempts, err := x.history().Attempts(t.Context(), store.Filter{})
	require.NoError(t, err)
	require.Len(t, attempts, 1)
	a := attempts[0]
	assert.Equal(t, "window", a.Cell)
	assert.Equal(t, []int{12, 13, 13, 4}, []int{a.Position, a.Asked, a.Heard, a.Discomfort})
	assert.True(t, a.InOrder)
	assert.Greater(t, a.OneWindow, coach.MinOneWindow)
	assert.Equal(t, filepath.Base(x.onlyTake()), a.Take)

	y := open(t, launch{args: []string{"history", "--take", a.Take}, home: x.home})
	assert.Equal(t, 0, y.exit())
	assert.Regexp(t, `(?m)^  ladder, four fingers, frets 12 to 15: (passed|not yet), discomfort 4 of 10`, y.text())
}

// What is said after an interrupt begins a line of its own.
func TestLadder_AnInterruptedQuestionEndsItsLine(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"ladder", "--keyboard", "--tempo", "120", "%FIFO"}})
	x.beginsRung()
	x.shows("not yet  notes")
	x.keys("q")
	x.shows("(Enter: not said)")
	x.keys("\x03")
	assert.Equal(t, 130, x.exit())
	assert.Regexp(t, `(?m)^The way starts where`, x.text())
}

// Of an attempt that does not count the discomfort counts.
func TestLadder_AsksAlsoWhereTheInputWasGone(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"ladder", "--keyboard", "--tempo", "120", "%FIFO"}})
	c := x.beginsRung()
	x.shows("1 of 13 notes")
	require.NoError(t, c.file.Close())
	x.shows("the input was gone meanwhile")
	x.keys("q")
	x.shows("(Enter: not said)")
	x.keys("6\r")
	assert.Equal(t, 0, x.exit())
	attempts, err := x.history().Attempts(t.Context(), store.Filter{})
	require.NoError(t, err)
	require.Len(t, attempts, 1)
	assert.Equal(t, store.Attempt{At: attempts[0].At, Day: attempts[0].Day, Discomfort: 6}, attempts[0])
}

// On a narrow terminal what a practice prints breaks between words.
func TestPractice_BreaksNoWordOnANarrowTerminal(t *testing.T) {
	t.Parallel()
	prose := func(x *terminal) string {
		var words []string
		for line := range strings.Lines(x.text()) {
			if !strings.ContainsRune(line, '║') && !strings.HasPrefix(strings.TrimSpace(line), "1 ") { // the drawing
				words = append(words, strings.Fields(line)...)
			}
		}
		return strings.Join(words, " ")
	}
	wide, narrow := open(t, launch{args: []string{"ladder"}, cols: 100, rows: 60}), open(t, launch{args: []string{"ladder"}, cols: 60, rows: 60})
	assert.Equal(t, 0, wide.exit())
	assert.Equal(t, 0, narrow.exit())
	assert.Equal(t, prose(wide), prose(narrow))
	assert.Len(t, regexp.MustCompile(`(?m)^[GDAE]  ║.*┼ *$`).FindAllString(narrow.text(), -1), 4, "the neck fits")

	n := open(t, launch{args: []string{"neck"}, cols: 60, rows: 40})
	assert.Equal(t, 0, n.exit())
	assert.Regexp(t, `(?m)^  1    48\.5   129\.7    88\.9  1=+2=+3-+4 *$`, n.text(), "to scale in one row")
	assert.Contains(t, prose(n), "find it with stillhand reach, or give --reach")
	assert.Contains(t, prose(n), "three reach as far as =.")

	x := open(t, launch{args: []string{"ladder", "--keyboard", "--tempo", "120", "%FIFO"}, cols: 60, rows: 16})
	x.keys("f")
	x.beginsRung()
	x.shows("not yet  notes")
	x.keys("q")
	x.shows("said): ")
	x.keys("\r")
	assert.Equal(t, 0, x.exit())
	assert.Contains(t, prose(x), "window a guess: the hand stayed, probability 1.00, if it began there")
	assert.Contains(t, prose(x), "0 none to 10 the worst (Enter: not said): The way starts where the frets lie close, and goes down one fret when")
}

func TestLadder_LeavesWithoutAskingWhenNothingWasPlayed(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"ladder", "%FIFO"}})
	x.shows("on any string")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	x.restored()
	assert.NotContains(t, x.text(), "Discomfort")
	assert.Contains(t, x.text(), "no attempt came to its end")
}

func TestRound_PlaysInTimeAndKeepsTheScore(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"round", "hold", "--keyboard", "--bell", "on", "--tempo", "240", "--bars", "2",
		"--low", "5", "--high", "5", "--foot", "cc64=again", "%FIFO"}})
	x.shows("hold the window")
	c := x.play()
	c.send(0xb0, 64, 127, 0xb0, 64, 0)
	beat := metronome{x: x}
	for i := range 11 {
		beat.next()
		if i >= 4 { // in the window from 5 to 8, over four strings
			c.note(0, []byte{33, 36, 38, 41, 43, 46, 48}[i-4])
		}
	}
	x.wait("the result", func(screen string) bool { return !beatCaption.MatchString(screen) })
	assert.GreaterOrEqual(t, strings.Count(string(x.written()), "\a"), 8, "a bell a beat, if the machine keeps up")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	x.restored()
	assert.Contains(t, x.text(), "Round hold, number 1: four fingers, positions 5 to 5, 2 bars of 4 at 240")
	rounds, err := x.history().Rounds(t.Context(), store.Filter{})
	require.NoError(t, err)
	require.Len(t, rounds, 1)
	assert.Equal(t, "hold", rounds[0].Kind)
	assert.Contains(t, []int{0, 10, 20}, rounds[0].Of, "bars that are guesses do not count")
	assert.Positive(t, rounds[0].Notes)

	y := open(t, launch{args: []string{"history"}, home: x.home})
	assert.Equal(t, 0, y.exit())
	assert.Regexp(t, `(?m)^  round hold: (\d+ of [12]0|no score)`, y.text())
}

// Where earlier takes are left out, what was practised before them is too.
func TestHistory_ShowsThePracticeOfTheDaysShown(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	folder := filepath.Join(home, "stillhand")
	require.NoError(t, os.MkdirAll(store.TakesDir(folder), 0o700))
	h, err := store.OpenHistory(t.Context(), folder)
	require.NoError(t, err)
	const days = 16 // two more than are shown
	for day := range days {
		start := time.Date(2026, 1, 1+day, 12, 0, 0, 0, time.Local)
		take := start.UTC().Format("2006-01-02T150405Z.mid")
		require.NoError(t, os.WriteFile(filepath.Join(store.TakesDir(folder), take), nil, 0o600))
		require.NoError(t, h.Add(t.Context(), take, store.TakeFigures{Start: start, Played: time.Minute, Notes: 30, Fingers: "four"}))
		require.NoError(t, h.AddRound(t.Context(), store.Round{At: start.Add(time.Second), Day: 20454 + day, Kind: "hold", // 1 January 2026 is day 20454
			System: "four", Settings: "four fingers", Points: 10 + day, Of: 80, Enough: true, Take: take}))
	}
	require.NoError(t, h.Close())
	x := open(t, launch{args: []string{"history"}, home: home, rows: 90})
	assert.Equal(t, 0, x.exit())
	assert.Contains(t, x.text(), "takes before them: 2")
	assert.Contains(t, x.text(), "2026-01-03  12 of 80")
	assert.Contains(t, x.text(), "2026-01-16  25 of 80")
	assert.NotContains(t, x.text(), "11 of 80")
	assert.Contains(t, x.text(), "      round hold: 25 of 80")
}

func TestReach_TakesThePlayersWordAndKeepsIt(t *testing.T) {
	t.Parallel()
	x := open(t, launch{args: []string{"reach"}})
	x.shows("is this window easy?")
	x.keys("eeeu") // 12, 11 and 10 are easy, 9 is not
	x.shows("comfortable reach: 77 mm, four fingers at position 10, by your word alone")
	x.shows("e: keep it in the profile")
	x.keys("e")
	x.shows("kept in the profile when you leave")
	x.keys("q")
	assert.Equal(t, 0, x.exit())
	x.restored()
	assert.Regexp(t, `reach77\.1\dmmkeptin\S+profile.toml`, strings.Join(strings.Fields(x.text()), ""))
	profile, err := os.ReadFile(filepath.Join(x.home, "stillhand", "profile.toml"))
	require.NoError(t, err)
	assert.Contains(t, string(profile), `reach = "77.1`)
	assert.Regexp(t, `reach_found = "\d{4}-\d\d-\d\d"`, string(profile))
	reaches, err := x.history().Reaches(t.Context(), store.Filter{})
	require.NoError(t, err)
	require.Len(t, reaches, 1)
	assert.Equal(t, 10, reaches[0].Position)

	y := open(t, launch{args: []string{"reach"}, home: x.home})
	y.keys("eue")
	y.shows("kept in the profile when you leave")
	y.keys("q")
	assert.Equal(t, 0, y.exit())
	assert.Regexp(t, `by your word alone: no note of it was heard; on \d+ \w+ \d{4} it was 77 mm`, strings.Join(strings.Fields(y.text()), " "))

	n := open(t, launch{args: []string{"reach", "--no-save"}})
	n.keys("eue")
	n.shows("not kept, for nothing is saved")
	n.keys("q")
	assert.Equal(t, 0, n.exit())

	// What was kept stays, whatever a search after it finds.
	k := open(t, launch{args: []string{"reach"}})
	k.shows("is this window easy?") // until then the terminal makes another key of Enter
	k.keys("eeeue\reu")
	k.shows("q: leave, 77 mm are kept")
	k.keys("\r" + strings.Repeat("u", 20))
	k.shows("The 77 mm kept before stay.")
	k.keys("q")
	assert.Equal(t, 0, k.exit())
	said := strings.Join(strings.Fields(k.text()), " ")
	assert.Contains(t, said, "in the last search no window of four fingers was easy; before it, comfortable reach: 77 mm, four fingers at position 10")
	assert.NotContains(t, said, "nothing is kept")
	profile, err = os.ReadFile(filepath.Join(k.home, "stillhand", "profile.toml"))
	require.NoError(t, err)
	assert.Contains(t, string(profile), `reach = "77.1`)

	// Without the last word nothing is kept.
	z := open(t, launch{args: []string{"reach"}})
	z.keys("eu")
	z.shows("keep this as your comfortable reach?")
	z.keys("q")
	assert.Equal(t, 0, z.exit())
	assert.Contains(t, z.text(), "nothing is kept")
	assert.NoFileExists(t, filepath.Join(z.home, "stillhand", "profile.toml"))

	// The ladder begins and ends where the reach allows.
	y = open(t, launch{args: []string{"ladder", "%FIFO"}, home: x.home})
	y.shows("four fingers, frets 12 to 15 on any string")
	y.keys("q")
	assert.Equal(t, 0, y.exit())
}

// A reach that the profile does not take is none of the history's either.
func TestReach_IsKeptInBothPlacesOrInNone(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(home, "stillhand"), 0o700))
	const mine = `"re\u0061ch" = "90mm"`
	require.NoError(t, os.WriteFile(filepath.Join(home, "stillhand", "profile.toml"), []byte(mine), 0o600))
	x := open(t, launch{args: []string{"reach"}, home: home, cols: 200})
	x.keys("eue")
	x.shows("kept in the profile when you leave")
	x.keys("q")
	assert.Equal(t, 1, x.exit())
	assert.Contains(t, x.text(), "cannot be changed line by line: write reach = ")
	reaches, err := x.history().Reaches(t.Context(), store.Filter{})
	require.NoError(t, err)
	assert.Empty(t, reaches)
}

func TestLive_SaysASuddenIncreaseAtTheEnd(t *testing.T) {
	t.Parallel()
	home := t.TempDir()
	h, err := store.OpenHistory(t.Context(), filepath.Join(home, "stillhand"))
	require.NoError(t, err)
	now := time.Now()
	for day, minutes := range []int{40, 20, 21, 19, 20, 22, 18} { // today first
		start := now.AddDate(0, 0, -day)
		require.NoError(t, h.Add(t.Context(), start.UTC().Format("2006-01-02T150405Z.mid"),
			store.TakeFigures{Start: start, Played: time.Duration(minutes) * time.Minute, Fingers: "four"}))
	}
	require.NoError(t, h.Close())
	r, w, err := os.Pipe()
	require.NoError(t, err)
	x := open(t, launch{args: []string{"live", "-"}, stdin: r, home: home})
	r.Close()
	x.shows("nothing heard yet")
	require.NoError(t, w.Close())
	assert.Equal(t, 0, x.exit())
	assert.Contains(t, x.text(), "Today: 40.0 minutes. Your average day of playing in the last two weeks: 20.0.")
}
