package dashboard

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/require"
)

// simulated is an initialised simulated terminal of w by h.
func simulated(t testing.TB, w, h int) tcell.SimulationScreen {
	t.Helper()
	terminal := tcell.NewSimulationScreen("UTF-8")
	require.NoError(t, terminal.Init())
	t.Cleanup(terminal.Fini)
	terminal.SetSize(w, h)
	return terminal
}

// The wrapper leaves out cells that did not change, so the same frames drawn
// without it are the reference.
func TestScreen_ShowsWhatTheTerminalShowsWithoutIt(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(2, 2))
	plain, under := simulated(t, 80, 24), simulated(t, 80, 24)
	wrapped := newScreen(under)
	b := newBoard(plain, nil)
	for frames := range 500 {
		if random.IntN(10) == 0 {
			w, h := 20+random.IntN(80), 5+random.IntN(30)
			plain.SetSize(w, h)
			under.SetSize(w, h)
		}
		b.take(randomSnapshot(random))
		b.far, b.help = random.IntN(8) == 0, random.IntN(12) == 0
		frame(plain, b)
		frame(wrapped, b)
		if random.IntN(20) == 0 {
			wrapped.Sync()
		}
		requireSameCells(t, plain, under, frames)
	}
}

// gone is a terminal that cannot be taken again.
type gone struct {
	tcell.SimulationScreen
	shows int
}

func (g *gone) Resume() error { return errNoTerminal }
func (g *gone) Show()         { g.shows++ }

// tcell draws for ever on a terminal that was given back and is gone.
func TestScreen_DrawsNothingOnATerminalThatIsAway(t *testing.T) {
	t.Parallel()
	inner := &gone{SimulationScreen: simulated(t, 80, 24)}
	s := newScreen(inner)
	var reported error
	s.failed = func(err error) { reported = err }
	s.Clear()
	s.Show()
	require.Equal(t, 1, inner.shows)
	require.NoError(t, s.Suspend())
	require.ErrorIs(t, s.Resume(), errNoTerminal)
	require.ErrorIs(t, reported, errNoTerminal)
	s.Clear()
	s.Show()
	s.Sync()
	require.Equal(t, 1, inner.shows)
}

func requireSameCells(t *testing.T, want, got tcell.SimulationScreen, frames int) {
	t.Helper()
	wantCells, w, h := want.GetContents()
	gotCells, gotW, gotH := got.GetContents()
	if w != gotW || h != gotH {
		require.Failf(t, "sizes differ", "frame %d", frames)
	}
	for i := 0; i < len(wantCells); i++ {
		if !slices.Equal(wantCells[i].Runes, gotCells[i].Runes) || wantCells[i].Style != gotCells[i].Style {
			require.Failf(t, "cells differ", "frame %d, row %d, column %d: want %q, got %q",
				frames, i/w, i%w, string(wantCells[i].Runes), string(gotCells[i].Runes))
		}
		if r := wantCells[i].Runes; len(r) > 0 && r[0] > 0x2fff && uniseg.StringWidth(string(r)) == 2 {
			i++ // the second half of a wide letter shows nothing of its own
		}
	}
}
