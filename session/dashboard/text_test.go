package dashboard

import (
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// hostile is text as a file may hold it: escape sequences (ECMA-48), C1
// controls, line ends, a change of writing direction (Unicode Standard Annex
// 9), a zero-width space, and tview's style tags.
const hostile = "\x1b[2J\x1b]0;title\x07\u009b31m a\r\nb\t\u202ec\u200b [red::b]d[-] \x7f"

func TestText_FromOutsideCannotControlTheTerminal(t *testing.T) {
	t.Parallel()
	edit := func(s *session.Snapshot) {
		s.Source, s.TakePath, s.Looks = hostile, "/takes/"+hostile, hostile
		s.Lines[0].Text, s.Lines[1].Text = hostile, hostile
	}
	warn := func(s *session.Snapshot) { s.Warning = hostile }
	practice := func(s *session.Snapshot) {
		judged(s)
		s.Round.Title, s.Round.Call, s.Round.Remark = hostile, hostile, hostile
		s.Round.Findings[0].Text = hostile
	}
	for _, edits := range [][]func(*session.Snapshot){{edit}, {edit, warn}, {practice}} {
		for _, w := range []int{80, 120, 200} {
			shown := render(t, w, 60, "UTF-8", sample(edits...))
			for _, r := range shown {
				if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
					t.Fatalf("%q is shown in\n%s", r, shown)
				}
			}
			require.Contains(t, shown, "[red::b]d[-]", "style tags are text")
		}
	}
	for _, r := range Summary(sample(edit), 80) {
		assert.False(t, r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)), "%q", r)
	}
}

// Without colours tcell would show a dark one as reverse video, which means an
// alert here.
func TestStyles_KeepTheDefaultColourWhereThereIsNone(t *testing.T) {
	t.Parallel()
	for colors, coloured := range map[int]bool{0: false, 2: false, 8: true, 256: true} {
		foreground, _, _ := stylesFor(colors).accent.Decompose()
		assert.Equal(t, coloured, foreground != tcell.ColorDefault, "%d colours", colors)
	}
}

// What is laid out by its width lies where it is drawn.
func TestWidth_IsWhatTextWrites(t *testing.T) {
	t.Parallel()
	terminal := tcell.NewSimulationScreen("UTF-8")
	require.NoError(t, terminal.Init())
	defer terminal.Fini()
	c := canvas{screen: terminal, w: 80, h: 2, glyphs: &unicodeGlyphs}
	for _, s := range []string{"a\u200bb", "\u00adx", "a\u202eb", "日本", "e\u0301", "a\x1bb", "👍🏽", "a\xffb", "\r\n", hostile} {
		assert.Equal(t, width(s), c.text(0, 0, s, tcell.StyleDefault), "%q", s)
		for limit := 2; limit < width(s); limit++ {
			assert.LessOrEqual(t, c.text(0, 0, clip(s, limit), tcell.StyleDefault), limit, "%q", s)
		}
	}
}

func TestText_IsCutAtTheEdge(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "abc", clip("abc", 3))
	assert.Equal(t, "a..", clip("abcd", 3))
	assert.Equal(t, "練..", clip("練習用", 5))
	assert.Equal(t, "", clip("abc", 1))
	assert.Equal(t, []string{"one two", "three"}, wrap("one  two\nthree", 8, width))
	long := strings.Repeat("x", 300)
	for _, line := range strings.Split(render(t, 80, 24, "UTF-8", sample(func(s *session.Snapshot) {
		s.Source, s.Lines[0].Text, s.Lines[1].Text = long, long, long
	})), "\n") {
		assert.LessOrEqual(t, width(line), 80)
	}
}

func TestFont_LettersAreWholeAndDistinct(t *testing.T) {
	t.Parallel()
	seen := map[letter]rune{}
	for r, l := range font {
		for _, row := range l {
			assert.Len(t, row, l.width(), "%q", r)
			assert.Empty(t, strings.Trim(row, "#."), "%q", r)
		}
		other, twice := seen[*l]
		assert.False(t, twice, "%q and %q look the same", r, other)
		seen[*l] = r
	}
	for r := ' '; r <= 'z'; r++ {
		if strings.ContainsRune("$&*<>@[\\]^`", r) {
			continue
		}
		assert.GreaterOrEqual(t, dots(string(r)), 0, "%q", r)
	}
	assert.Equal(t, -1, dots("é"))
	assert.NotEqual(t, font['B'], font['b'])
}

// A pitch's flat stays small, so that Eb is not read as E B (scientific pitch
// names of the glossary); other letters are capitals.
func TestFont_KeepsFlats(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{"Eb2": "Eb2", "from Bb to Ab1": "FROM Bb TO Ab1", "Above": "ABOVE", "be": "BE", "(Db2)": "(Db2)", "CAb": "CAB"} {
		var got []*letter
		spell(text, func(l *letter, _ int) { got = append(got, l) })
		require.Len(t, got, len(want))
		for i, r := range want {
			assert.Same(t, font[r], got[i], "%q at %d", text, i)
		}
	}
}

// The large letters show the same dots at every size.
func TestLarge_ShowsTheSameDotsAtEverySize(t *testing.T) {
	t.Parallel()
	for _, z := range []size{{2, 1}, {2, 2}, {4, 2}, {6, 3}, {3, 2}, {1, 1}, {5, 5}} {
		terminal := simulated(t, 120, 30)
		b := newBoard(terminal, nil)
		c := canvas{screen: terminal, w: 120, h: 30, glyphs: b.glyphs, styles: b.styles}
		terminal.Clear()
		c.large(0, 0, "5-8", z, c.plain)
		for dy := range glyphRows {
			for dx, x := 0, 0; x < 3; x++ {
				letter := font[[]rune("5-8")[x]]
				for i := range letter.width() {
					hx, hy := dx*z.w, dy*z.h // the dot's upper left quarter
					shown, _, _ := terminal.Get(hx/2, hy/2)
					r := []rune(shown)[0]
					bit := 1 << (hx%2 + 2*(hy%2))
					set := r == c.full
					for bits, q := range quarters {
						set = set || q == r && r != ' ' && bits&bit != 0
					}
					assert.Equal(t, letter[dy][i] == '#', set, "size %v, dot %d %d", z, dx, dy)
					dx++
				}
				dx++
			}
		}
	}
}

// A percentage never says what the sign beside it denies.
func TestBoard_APercentageAgreesWithItsMark(t *testing.T) {
	t.Parallel()
	doubt := sample(func(s *session.Snapshot) { s.Hand.Probability = 0.796 })
	screen := render(t, 120, 40, "UTF-8", doubt)
	assert.Contains(t, screen, "79% sure")
	assert.NotContains(t, screen, "80% sure")
	assert.Contains(t, Summary(doubt, 80), "79% sure")
}

func TestSummary_HasTenLines(t *testing.T) {
	t.Parallel()
	got := Summary(sample(provisionalHand), 1000)
	assert.Equal(t, 10, strings.Count(got, "\n"))
	for _, want := range []string{"practice bass", "1:34", "162 notes kept", "3 cleaned away", "likely 17.4, at least 12",
		"four 9, three 14", "four 12, three 21", "last at 5-8, 61% sure, provisional", "Window 5 to 8", "2026-11-25T201405Z.mid"} {
		assert.Contains(t, got, want)
	}
	assert.Contains(t, Summary(sample(listening), 1000), "39% sure, a guess\n")
	assert.Equal(t, "Nothing was heard.\n", Summary(nil, 80))
	where := Summary(sample(func(s *session.Snapshot) { s.Mixed, s.Crossover = 8, 5 }), 80)
	assert.Contains(t, where, "four 9, three 14, mixed 8; below position 5 three cost no more\n")
	beyond := func(s *session.Snapshot) { s.Mixed, s.Crossover = 12, 5 } // more than four alone
	assert.Contains(t, Summary(sample(beyond), 1000), ", mixed 12 (four fingers left out beyond your reach of 105 mm); below position 5 ")
	assert.Contains(t, Summary(sample(beyond, func(s *session.Snapshot) { s.ReachMM = 0 }), 1000), ", mixed 12; below")
	assert.Equal(t, 10, strings.Count(Summary(&session.Snapshot{System: coach.Four}, 80), "\n"))
}

// What was played on hold was not cleaned away; a count of one has its own noun;
// what a restart of the counts left out of the screen is in the figures here.
func TestSummary_SaysWhatItsFiguresHold(t *testing.T) {
	t.Parallel()
	held := sample(func(s *session.Snapshot) { s.OnHold, s.Notes, s.Marks, s.Played = 5, 1, 1, 71*time.Second })
	assert.Contains(t, Summary(held, 1000), "played          1:11 in a sitting of 1:34, ")
	left := sample(replayed, func(s *session.Snapshot) {
		s.Played, s.Replay.At, s.Replay.Length = 17*time.Second, 19*time.Second, 94*time.Second
	})
	assert.Contains(t, Summary(left, 1000), "played          0:17 in the first 0:19 of a recording of 1:34, ")
	assert.Contains(t, Summary(held, 1000), "1 note kept, 3 cleaned away, 5 on hold, 0 lost\n")
	assert.Contains(t, render(t, 120, 40, "UTF-8", held), "1 note · 3 cleaned away · 5 on hold")
	assert.NotContains(t, Summary(sample(), 1000), "hold")
	assert.NotContains(t, Summary(sample(), 1000), "restarted")
	restarted := sample(func(s *session.Snapshot) { s.Restarted = true })
	assert.Contains(t, Summary(restarted, 1000), "the figures are of all of it, also from before the counts were restarted\n")
}

// The name of a take is copied in one piece, on a terminal of any width that
// holds it.
func TestSummary_KeepsTheTakesNameWhole(t *testing.T) {
	t.Parallel()
	const name = "2026-11-25T201405Z.mid"
	for columns, want := range map[int]string{
		0:   "take            /home/player/takes/" + name + "\n",
		100: "take            /home/player/takes/" + name + "\n",
		57:  "take            /home/player/takes/" + name + "\n",
		56:  "\ntake\n/home/player/takes/" + name + "\n",
		41:  "\ntake\n/home/player/takes/" + name + "\n",
		40:  "\ntake\n/home/player/takes/\n" + name + "\n",
		22:  "\ntake\n/home/player/takes/\n" + name + "\n",
	} {
		assert.Contains(t, Summary(sample(), columns), want, "%d columns", columns)
	}
}

// What a terminal of 40 columns would break in the middle of a word goes on
// below instead; the name of the take stays in one piece.
func TestSummary_BreaksBetweenWords(t *testing.T) {
	t.Parallel()
	one := sample()
	got := Summary(one, 40)
	for line := range strings.Lines(got) {
		assert.LessOrEqual(t, len(line), 41, line)
	}
	whole := strings.Join(strings.Fields(Summary(one, 1000)), "")
	assert.Equal(t, whole, strings.Join(strings.Fields(got), ""))
	assert.Contains(t, got, "\n                ", "what goes on stands under the text")
}

// What the coach said stands in full where rows are free, and is cut only where
// they are not.
func TestSaid_TakesTheFreeRows(t *testing.T) {
	t.Parallel()
	s := sample()
	full := func(h int) (whole int) {
		shown := strings.Join(strings.Fields(render(t, 80, h, "UTF-8", s)), " ")
		for _, l := range s.Lines[1:] {
			if strings.Contains(shown, l.Text) {
				whole++
			}
		}
		return whole
	}
	assert.Equal(t, 2, full(24))
	s.Neck, _ = coach.ParseNeck("bass6")
	assert.Less(t, full(24), 2, "no row is free")
	assert.Contains(t, render(t, 80, 24, "UTF-8", s), "..")
}

func TestStatus_SaysWhyTheHandJumped(t *testing.T) {
	t.Parallel()
	reread := func(s *session.Snapshot) { s.Reread = true }
	assert.Contains(t, render(t, 120, 40, "UTF-8", sample(reread)), "strings found: read again")
	assert.Contains(t, render(t, 80, 24, "UTF-8", sample(reread)), "strings found: read again")
	assert.NotContains(t, render(t, 120, 40, "UTF-8", sample()), "read again")
	const which = "channels 1 2 3 4 are strings 4 3 2 1"
	assert.Contains(t, render(t, 80, 24, "UTF-8", sample(reread)), which)
	assert.Contains(t, render(t, 160, 40, "UTF-8", sample()), which, "later, where there is room")
	assert.Contains(t, render(t, 120, 40, "UTF-8", sample()), "strings told")
}

// Counts over notes of both systems are no figures of the last one alone.
func TestSummary_NamesFingersThatChanged(t *testing.T) {
	t.Parallel()
	swapped := sample(func(s *session.Snapshot) { s.System, s.Declared = coach.Three, []string{"four", "three"} })
	assert.Contains(t, Summary(swapped, 120), "four, then three; your shifts are counted with those declared for each note")
	assert.Contains(t, render(t, 80, 24, "UTF-8", swapped), "fingers, four before")
	swapped.Declared = []string{"four", "three", "four"}
	assert.Contains(t, Summary(swapped, 120), "four and three by turns;")
	assert.Contains(t, render(t, 80, 24, "UTF-8", swapped), "fingers, by turns")
	assert.NotContains(t, Summary(sample(), 120), "declared")
}

// A pickup that may have a channel for each string: what tells them is named.
func TestStatus_NamesWhatTellsTheStrings(t *testing.T) {
	t.Parallel()
	untold := func(s *session.Snapshot) { s.StringsTold, s.Channels = false, "" }
	unmapped := func(s *session.Snapshot) { s.Unmapped = true }
	assert.NotContains(t, render(t, 120, 40, "UTF-8", sample(untold)), "--strings")
	assert.Contains(t, render(t, 160, 40, "UTF-8", sample(untold, unmapped)), "strings inferred: --strings tells them")
	assert.Contains(t, render(t, 80, 24, "UTF-8", sample(untold, unmapped)), "strings inferred: --strings")
	early := func(s *session.Snapshot) { s.Channels = "" } // told, and nothing heard yet
	for _, w := range []int{120, 200} {
		assert.Contains(t, render(t, w, 40, "UTF-8", sample(early)), " · strings told", "%d columns", w)
	}
}

// Counts that were restarted are not the take's.
func TestCounts_SayThatTheyWereRestarted(t *testing.T) {
	t.Parallel()
	restarted := func(s *session.Snapshot) { s.Restarted = true }
	assert.Contains(t, render(t, 80, 24, "UTF-8", sample()), "this take ")
	text := render(t, 80, 24, "UTF-8", sample(restarted))
	assert.Contains(t, text, "restarted ")
	assert.NotContains(t, text, "this take")
}
