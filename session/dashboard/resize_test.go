package dashboard

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// Every size is drawn without a panic and says something; what is too small
// says what it needs.
func TestBoard_DrawsAtEverySize(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 3))
	terminal := simulated(t, 80, 24)
	b := newBoard(terminal, nil)
	for h := 1; h <= 70; h += 1 + random.IntN(10) {
		for w := 1; w <= 250; w += 1 + random.IntN(40) {
			terminal.SetSize(w, h)
			b.take(randomSnapshot(random))
			b.far, b.help = random.IntN(3) == 0, random.IntN(8) == 0
			b.glyphs = glyphsFor([]string{"UTF-8", "US-ASCII"}[random.IntN(2)], "")
			frame(terminal, b)
			if w >= 12 {
				require.NotEmpty(t, strings.TrimSpace(contents(terminal)), "%d by %d", w, h)
			}
		}
	}
}

// The design's promise: 80x24 shows the window, the shifts, the system, the
// neck, the counts, the coach and the status line, for every neck and sitting.
func TestBoard_LeastSizeShowsEverything(t *testing.T) {
	t.Parallel()
	for _, name := range coach.PresetNames() {
		for _, sitting := range []func(*session.Snapshot){func(*session.Snapshot) {}, replayed} {
			for _, charset := range []string{"UTF-8", "US-ASCII"} {
				shown := render(t, 80, 24, charset, sample(sitting, func(s *session.Snapshot) {
					s.Neck, _ = coach.ParseNeck(name)
					s.Lines[0].Text = "Short."
				}))
				for _, want := range []string{"window, 93% sure", "shifts, at least 12", "fingers", "hand", "three would be at", "fret",
					"likely", "fewest", "as you go", "this take", "last minute", "162 notes", "? keys"} {
					assert.Contains(t, shown, want, "%s %s", name, charset)
				}
			}
		}
	}
	many := sample(func(s *session.Snapshot) {
		s.Neck.Open = []int{60, 55, 50, 45, 40, 35, 33, 31, 29, 27, 26, 25}
	})
	assert.Contains(t, render(t, 80, 24, "UTF-8", many), "Stillhand needs 80 columns and 27 rows")
	assert.Contains(t, render(t, 80, 27, "UTF-8", many), "last minute")
}

func TestBoard_SaysWhatItNeeds(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{79, 24}, {80, 23}, {250, 20}, {40, 70}} {
		shown := strings.Join(strings.Fields(render(t, size[0], size[1], "UTF-8", sample())), " ")
		assert.Contains(t, shown, "needs 80 columns and 24 rows", "%v", size)
	}
	assert.Contains(t, render(t, 79, 24, "UTF-8", sample()), "Listening goes on.")
	assert.Contains(t, render(t, 79, 24, "UTF-8", sample(replayed)), "The recording goes on.")
	far := func(b *board) { b.far = true }
	assert.NotContains(t, render(t, 36, 8, "UTF-8", sample(), far), "needs")
	assert.Contains(t, render(t, 35, 8, "UTF-8", sample(), far), "needs")
}

func TestRun_SurvivesAStormOfSizes(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(4, 4))
	tty := newFakeTty(80, 24)
	r := onTty(t, tty)
	for range 100 {
		tty.resize(20+random.IntN(231), 5+random.IntN(66))
		r.put(randomSnapshot(random))
		if random.IntN(10) == 0 {
			tty.typed("f")
		}
	}
	// Only cells that change are sent, so the text must share none with others.
	r.put(sample(func(s *session.Snapshot) { s.Warning = "ZZZZZZ" }))
	tty.resize(120, 40)
	tty.waitFor(t, func(seen string) bool { return strings.Contains(seen, "ZZZZZZ") })
	tty.typed("q")
	require.NoError(t, r.end(t))
}

func TestRun_ShowsAgainWhenThereIsRoom(t *testing.T) {
	t.Parallel()
	r := start(t, 40, 10)
	r.sees(t, "Stillhand needs")
	r.sized.SetSize(120, 40)
	require.NoError(t, r.terminal.PostEvent(tcell.NewEventResize(120, 40)))
	r.sees(t, "position, last half minute")
}
