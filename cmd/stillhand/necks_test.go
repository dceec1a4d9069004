package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// eachNeck is every neck that options of up to 36 frets and a capo make of the
// presets.
func eachNeck(t *testing.T, see func(n coach.Neck, capo int)) {
	for _, name := range coach.PresetNames() {
		for frets := 1; frets <= 36; frets++ {
			whole, err := coach.ParseNeck(name)
			require.NoError(t, err)
			whole.Frets = frets
			for capo := range frets {
				if n, err := whole.WithCapo(capo); err == nil {
					see(n, capo)
				}
			}
		}
	}
}

func TestNecks_AreAllDrawnAndPractised(t *testing.T) {
	t.Parallel()
	w := &world{}
	m, err := session.NewMeter(0, 60, 4, 1, 4)
	require.NoError(t, err)
	eachNeck(t, func(n coach.Neck, capo int) {
		other := n
		other.ScaleMM = 635
		for _, reach := range []float64{0, 90} {
			if capo == 0 { // nothing here knows of a capo but what it leaves of the neck
				require.NotEmpty(t, w.neckHead(n, reach)+w.neckTable(n, reach)+neckAgainst(n, other, reach))
			}
			for _, s := range coach.Systems {
				setup := session.Setup{Neck: n, System: s, ReachMM: reach}
				today, err := coach.Ladder(n, s, reach, nil, 1)
				if none := coach.NoWindow(n, s, reach); none != nil {
					assert.ErrorContains(t, err, none.Error())
					continue
				}
				require.NoError(t, err)
				drawRung(t, n, today)
				for _, kind := range []coach.RoundKind{coach.RoundHold, coach.RoundBudget, coach.RoundCall} {
					r := roundOptions{kind: kind, bars: 4, beats: 4}.round(setup)
					if p, err := session.NewRoundPractice(r, m, 0); err == nil {
						p.View(0)
					} else {
						require.ErrorIs(t, err, coach.ErrNarrow)
					}
				}
				for _, easy := range []bool{true, false} {
					reachFor(t, n, s, easy)
				}
			}
		}
	})
}

// drawRung draws today's rung.
func drawRung(t *testing.T, n coach.Neck, today coach.Today) {
	cell, err := today.Rung.Cell(drawnString(n))
	require.NoError(t, err)
	require.True(t, cell.Fits(n), "%d frets: %+v", n.Frets, today.Rung)
	require.NotEmpty(t, drawing{neck: n, width: 74}.cell(cell))
}

// reachFor gives the same answer until the search is over.
func reachFor(t *testing.T, n coach.Neck, s coach.System, easy bool) {
	p := session.NewReachPractice(n, s)
	for range 2 * n.Frets {
		if v := p.View(time.Second); v.Position+s.Width()-1 > n.Frets {
			require.Fail(t, "off the neck", "position %d on %d frets", v.Position, n.Frets)
		}
		p.Answer(easy)
	}
	require.True(t, p.Done())
}
