package dashboard

import (
	"strings"
	"testing"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

// written counts what is written over something else.
type written struct {
	tcell.SimulationScreen
	cells map[[2]int]rune
	over  int
}

func (w *written) SetContent(x, y int, r rune, more []rune, style tcell.Style) {
	if old, ok := w.cells[[2]int{x, y}]; ok && old != r && old != ' ' && r != ' ' {
		w.over++
	}
	w.cells[[2]int{x, y}] = r
	w.SimulationScreen.SetContent(x, y, r, more, style)
}

var practices = map[string]func(*session.Snapshot){
	"round": inRound, "round over": roundOver, "budget": inBudget, "budget over": overBudget, "rung": atRung, "judged": judged, "guessed": judgedAsGuess,
	"reach": findingReach, "keep": foundReach, "waits": toBegin,
	"many": func(s *session.Snapshot) { inRound(s); s.Round.Best = 150 },
	"many doubtful": func(s *session.Snapshot) {
		inBudget(s)
		s.Round.Notes, s.Round.Doubtful = 314, 209
	},
	"many doubtful over": func(s *session.Snapshot) {
		overBudget(s)
		s.Round.Notes, s.Round.Doubtful = 314, 209
	},
	"no score": func(s *session.Snapshot) {
		roundOver(s)
		s.Round.Of, s.Round.Detail = 0, "no score: where the hand was is a guess in 2 of 3 bars; --strings or longer notes help"
	},
}

var smallSizes = [][2]int{{36, 8}, {40, 10}, {50, 12}, {60, 12}, {36, 40}, {57, 13}, {57, 14}, {58, 14}, {59, 14}, {60, 14}, {61, 14}, {62, 14}, {60, 16}, {80, 16}, {80, 24}}

// In the far view no part of a practice lies over another, at any size.
func TestSmallRound_NothingLiesOverAnything(t *testing.T) {
	t.Parallel()
	for _, charset := range []string{"UTF-8", "US-ASCII"} {
		for name, practice := range practices {
			for _, z := range smallSizes {
				terminal := tcell.NewSimulationScreen(charset)
				require.NoError(t, terminal.Init())
				terminal.SetSize(z[0], z[1])
				b := newBoard(terminal, nil)
				b.far = true
				b.take(sample(practice))
				w := &written{SimulationScreen: terminal, cells: map[[2]int]rune{}}
				frame(w, b)
				assert.Zero(t, w.over, "%s at %v in %s:\n%s", name, z, charset, contents(terminal))
				terminal.Fini()
			}
		}
	}
}

// Keys and what a score rests on are said whole, whatever the width.
func TestSmallRound_HintsAreWhole(t *testing.T) {
	t.Parallel()
	for name, want := range map[string][]string{
		"round": {"hold the window"}, "budget": {"score, sure of 5/14"}, "budget over": {"score, sure of 5/14", "again"},
		"many doubtful": {"sure of 105/314"}, "many doubtful over": {"score, sure of 105/314", "again"}, "rung": {"notes"},
		"judged": {"a note begins again, or Enter", "evenness"}, "round over": {"a note begins again, or Enter"},
		"reach": {"e: it lies at ease  u: it does not"}, "keep": {"e: keep it", "ask again", "q: leave"}, "waits": {"or press Enter"},
		"no score": {"no score", "help"},
	} {
		for _, z := range smallSizes {
			far := func(b *board) { b.far = true }
			screen := strings.Join(strings.Fields(render(t, z[0], z[1], "UTF-8", sample(practices[name]), far)), " ")
			for _, w := range want {
				assert.Contains(t, screen, strings.Join(strings.Fields(w), " "), "%s at %v", name, z)
			}
		}
	}
}

// What held and what did not is said whole from 60 columns by 16 rows on, and is
// cut at the end of a word where there is less.
func TestSmallRound_CutsNoWordOfWhatWasJudged(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"judged", "guessed"} {
		words := map[string]bool{}
		findings := sample(practices[name]).Round.Findings
		for _, f := range findings {
			for _, word := range strings.Fields(f.Name + ": " + f.Text) {
				words[word] = true
			}
		}
		for _, z := range smallSizes {
			if z[0] < smallColumns+2 || z[1] < smallRows+1 { // of these the first alone is said
				continue
			}
			s := sample(practices[name])
			s.Round.Remark = ""
			screen := render(t, z[0], z[1], "UTF-8", s, func(b *board) { b.far = true })
			for _, line := range strings.Split(screen, "\n") {
				if cut, ok := strings.CutSuffix(line, ".."); ok {
					assert.True(t, words[cut[strings.LastIndex(cut, " ")+1:]], "%s at %v: %s", name, z, line)
				}
			}
			for _, f := range findings {
				if z[0] >= 60 && z[1] >= 16 {
					assert.Contains(t, strings.Join(strings.Fields(screen), " "), f.Text, "%s at %v", name, z)
				}
			}
		}
	}
}

// A best so far is left out or said whole, at the latest from 58 columns on.
func TestSmallRound_CutsNoBest(t *testing.T) {
	t.Parallel()
	for name, best := range map[string]string{"round": "45", "many": "150"} {
		for _, z := range smallSizes {
			screen := render(t, z[0], z[1], "UTF-8", sample(practices[name]), func(b *board) { b.far = true })
			assert.Contains(t, screen, "score", "%v", z)
			if z[0] >= 58 && z[1] >= 14 || strings.Contains(screen, "best") {
				assert.Regexp(t, "score, best (so far )?"+best, screen, "%v", z)
			}
		}
	}
}

// What is asked stands in large letters, and so does how it goes.
func TestSmallRound_ShowsWhatIsAskedAndHowItGoes(t *testing.T) {
	t.Parallel()
	far := func(b *board) { b.far = true }
	for _, z := range smallSizes {
		lines := func(edit func(*session.Round)) []string {
			s := sample(inRound)
			edit(s.Round)
			return strings.Split(render(t, z[0], z[1], "UTF-8", s, far), "\n")
		}
		changed := func(edit func(*session.Round)) (n int) {
			now := lines(edit)
			for y, line := range lines(func(*session.Round) {}) {
				if line != now[y] {
					n++
				}
			}
			return n
		}
		assert.GreaterOrEqual(t, changed(func(r *session.Round) { r.Call, r.Brief = "window 2 to 4", "2-4" }), 2, "%v", z)
		assert.GreaterOrEqual(t, changed(func(r *session.Round) { r.Score = 17 }), 2, "%v", z)
		assert.GreaterOrEqual(t, changed(func(r *session.Round) { r.Beat = 4 }), 2, "%v", z)
	}
}
