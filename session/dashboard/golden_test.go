package dashboard

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

var update = flag.Bool("update", false, "write the golden screens anew")

// render draws one frame of s at w by h on a simulated terminal and returns
// its text.
func render(t testing.TB, w, h int, charset string, s *session.Snapshot, edits ...func(*board)) string {
	t.Helper()
	terminal := tcell.NewSimulationScreen(charset)
	require.NoError(t, terminal.Init())
	defer terminal.Fini()
	terminal.SetSize(w, h)
	b := newBoard(terminal, []string{"cc64 = mark", "cc66 = swap"})
	b.take(s)
	for _, edit := range edits {
		edit(b)
	}
	frame(newScreen(terminal), b)
	return contents(terminal)
}

// frame draws b as tview does.
func frame(screen tcell.Screen, b *board) {
	w, h := screen.Size()
	b.SetRect(0, 0, w, h)
	screen.Clear()
	b.Draw(screen)
	screen.Show()
}

// contents is what the simulated terminal shows, in the bytes it was sent, a
// line for each row.
func contents(terminal tcell.SimulationScreen) string {
	cells, w, h := terminal.GetContents()
	var out strings.Builder
	for y := range h {
		var line strings.Builder
		for x := range w {
			line.Write(cells[y*w+x].Bytes)
		}
		out.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	return out.String()
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".txt")
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run with -update to write it")
	require.Equal(t, string(want), got)
}

func TestBoard_LooksAsAgreed(t *testing.T) {
	far := func(b *board) { b.far = true }
	help := func(b *board) { b.help = true }
	for _, screen := range []struct {
		name    string
		w, h    int
		charset string
		s       *session.Snapshot
		edits   []func(*board)
	}{
		{name: "80x24", w: 80, h: 24, s: sample()},
		{name: "120x40", w: 120, h: 40, s: sample()},
		{name: "200x60", w: 200, h: 60, s: sample()},
		{name: "80x24-provisional", w: 80, h: 24, s: sample(provisionalHand)},
		{name: "120x40-provisional", w: 120, h: 40, s: sample(provisionalHand)},
		{name: "80x24-listening", w: 80, h: 24, s: sample(listening)},
		{name: "80x24-far-listening", w: 80, h: 24, s: sample(listening), edits: []func(*board){far}},
		{name: "80x24-ascii", w: 80, h: 24, charset: "US-ASCII", s: sample(provisionalHand)},
		{name: "120x40-ascii", w: 120, h: 40, charset: "US-ASCII", s: sample(provisionalHand)},
		{name: "80x24-far", w: 80, h: 24, s: sample(), edits: []func(*board){far}},
		{name: "120x40-far", w: 120, h: 40, s: sample(provisionalHand), edits: []func(*board){far}},
		{name: "80x24-far-ascii", w: 80, h: 24, charset: "US-ASCII", s: sample(), edits: []func(*board){far}},
		{name: "36x8-far", w: 36, h: 8, s: sample(provisionalHand), edits: []func(*board){far}},
		{name: "80x24-help", w: 80, h: 24, s: sample(replayed), edits: []func(*board){help}},
		{name: "80x24-replay", w: 80, h: 24, s: sample(replayed)},
		{name: "120x40-replay", w: 120, h: 40, s: sample(replayed)},
		{name: "80x24-replay-ascii", w: 80, h: 24, charset: "US-ASCII", s: sample(replayed)},
		{name: "80x24-round", w: 80, h: 24, s: sample(inRound)},
		{name: "120x40-round", w: 120, h: 40, s: sample(inRound)},
		{name: "80x24-round-ascii", w: 80, h: 24, charset: "US-ASCII", s: sample(inRound)},
		{name: "80x24-round-far", w: 80, h: 24, s: sample(inRound), edits: []func(*board){far}},
		{name: "80x24-rung", w: 80, h: 24, s: sample(atRung)},
		{name: "80x24-rung-judged", w: 80, h: 24, s: sample(judged)},
		{name: "80x24-reach", w: 80, h: 24, s: sample(findingReach)},
		{name: "80x24-reach-keep", w: 80, h: 24, s: sample(foundReach)},
		{name: "36x8-round", w: 36, h: 8, s: sample(inRound), edits: []func(*board){far}},
		{name: "36x8-round-over", w: 36, h: 8, s: sample(roundOver), edits: []func(*board){far}},
		{name: "36x8-round-doubtful", w: 36, h: 8, s: sample(inBudget), edits: []func(*board){far}},
		{name: "36x8-round-doubtful-over", w: 36, h: 8, s: sample(overBudget), edits: []func(*board){far}},
		{name: "36x8-rung", w: 36, h: 8, s: sample(atRung), edits: []func(*board){far}},
		{name: "36x8-rung-judged", w: 36, h: 8, s: sample(judged), edits: []func(*board){far}},
		{name: "36x8-reach", w: 36, h: 8, s: sample(findingReach), edits: []func(*board){far}},
		{name: "36x8-reach-keep", w: 36, h: 8, s: sample(foundReach), edits: []func(*board){far}},
		{name: "36x8-round-waits", w: 36, h: 8, s: sample(toBegin), edits: []func(*board){far}},
		{name: "60x16-rung-judged", w: 60, h: 16, s: sample(judgedAsGuess), edits: []func(*board){far}},
		{name: "60x16-reach", w: 60, h: 16, s: sample(findingReach), edits: []func(*board){far}},
		{name: "80x24-round-doubtful", w: 80, h: 24, s: sample(inBudget)},
		{name: "80x24-round-waits", w: 80, h: 24, s: sample(toBegin)},
		{name: "80x24-round-help", w: 80, h: 24, s: sample(toBegin), edits: []func(*board){help}},
		{name: "60x20-too-small", w: 60, h: 20, s: sample()},
		{name: "20x5-too-small", w: 20, h: 5, s: sample()},
		{name: "80x24-nothing-heard", w: 80, h: 24, s: sample(func(s *session.Snapshot) {
			*s = session.Snapshot{Neck: s.Neck, System: s.System, Source: s.Source}
		})},
		{name: "80x24-far-held", w: 80, h: 24, s: sample(held), edits: []func(*board){far}},
		{name: "80x24-gone", w: 80, h: 24, s: sample(unplugged)},
		{name: "80x24-far-gone", w: 80, h: 24, s: sample(unplugged), edits: []func(*board){far}},
		{name: "36x8-far-gone", w: 36, h: 8, s: sample(unplugged), edits: []func(*board){far}},
		{name: "80x24-marked", w: 80, h: 24, s: sample(unplugged, marked)},
		{name: "80x24-far-marked", w: 80, h: 24, s: sample(marked), edits: []func(*board){far}},
		{name: "36x8-far-marked", w: 36, h: 8, s: sample(marked), edits: []func(*board){far}},
		{name: "80x24-far-unplugged-marked", w: 80, h: 24, s: sample(unplugged, marked), edits: []func(*board){far}},
		{name: "80x24-round-marked", w: 80, h: 24, s: sample(inCall, marked)},
		{name: "80x24-round-gone", w: 80, h: 24, s: sample(inRound, unplugged)},
		{name: "80x24-rung-judged-gone", w: 80, h: 24, s: sample(judged, unplugged)},
		{name: "36x8-round-marked", w: 36, h: 8, s: sample(inCall, marked), edits: []func(*board){far}},
		{name: "80x24-call", w: 80, h: 24, s: sample(inCall)},
		{name: "80x24-call-far", w: 80, h: 24, s: sample(inCall), edits: []func(*board){far}},
		{name: "80x24-held-warning", w: 80, h: 24, s: sample(func(s *session.Snapshot) {
			held(s)
			s.Stale, s.Looks = true, "three"
			s.Warning = "practice bass is unplugged: the take is kept, plug it in again"
		})},
	} {
		t.Run(screen.name, func(t *testing.T) {
			t.Parallel()
			charset := screen.charset
			if charset == "" {
				charset = "UTF-8"
			}
			golden(t, screen.name, render(t, screen.w, screen.h, charset, screen.s, screen.edits...))
		})
	}
}
