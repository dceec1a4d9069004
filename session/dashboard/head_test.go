package dashboard

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// A long sitting has thousands of shifts: no digit of theirs lies under the name
// of the finger system.
func TestHead_ShowsAllOfALargeCount(t *testing.T) {
	t.Parallel()
	for shifts, digits := range map[float64]string{999: "999", 1234: "1234", 10442: "10442"} {
		s := sample(func(s *session.Snapshot) { s.Take.Likely = shifts })
		for _, w := range []int{80, 100, 120, 160, 200, 240} {
			shown := render(t, w, 60, "UTF-8", s)
			found := false
			for h := 1; h <= 4 && !found; h++ {
				for _, dot := range []size{square(h), {2, h}, {4, h}} {
					found = found || holds(shown, large(t, digits, dot))
				}
			}
			assert.True(t, found, "%s on %d columns:\n%s", digits, w, shown)
		}
	}
}

// large is text in large letters of size z, with two blanks behind them.
func large(t *testing.T, text string, z size) []string {
	t.Helper()
	terminal := tcell.NewSimulationScreen("UTF-8")
	require.NoError(t, terminal.Init())
	defer terminal.Fini()
	w, h := z.cols(dots(text)), z.rows(glyphRows)
	terminal.SetSize(w, h)
	screen := newScreen(terminal)
	screen.Clear()
	canvas{screen: screen, w: w, h: h, glyphs: &unicodeGlyphs}.large(0, 0, text, z, tcell.StyleDefault)
	screen.Show()
	rows := strings.Split(strings.TrimSuffix(contents(terminal), "\n"), "\n")
	for y, row := range rows {
		rows[y] = row + strings.Repeat(" ", w+2-utf8.RuneCountInString(row))
	}
	return rows
}

// holds reports whether a screen's first rows hold all of rows, one under another.
func holds(screen string, rows []string) bool {
	shown := strings.Split(screen, "\n")
	for x := range utf8.RuneCountInString(shown[0]) {
		same := true
		for y, row := range rows {
			wide := utf8.RuneCountInString(row)
			line := []rune(shown[y] + strings.Repeat(" ", x+wide))
			same = same && string(line[x:x+wide]) == row
		}
		if same {
			return true
		}
	}
	return false
}

// What the teacher says in a hold is not of before it.
func TestHead_APlaceToldInAHoldIsNotOfBeforeIt(t *testing.T) {
	t.Parallel()
	told := func(s *session.Snapshot) { s.Held, s.Hand.Probability = true, 1 }
	assert.Equal(t, "window before the hold 5-8?", windowCaption(sample(held)))
	assert.Equal(t, "window by your word 5-8", windowCaption(sample(told)))
	nothing := func(s *session.Snapshot) { s.Held, s.Heard, s.Hand = true, false, coach.Estimate{} }
	assert.Equal(t, "window before the hold -", windowCaption(sample(nothing)))
}
