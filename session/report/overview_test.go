package report

import (
	"errors"
	"strings"
	"testing"

	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

func TestOverview_TellsWhichRecordingsMatter(t *testing.T) {
	t.Parallel()
	named := func(source string, change func(*session.Review)) *session.Review {
		r := advised()
		r.Source = source
		change(r)
		return r
	}
	var o Overview
	o.AddUnread("noise.mid", errors.New("set/noise.mid: not a Standard MIDI File (no MThd in it): export the recording as a MIDI file"))
	o.Add(named("still.mid", func(r *session.Review) { r.Advice, r.Count = nil, session.ReviewCount{Likely: 0.4} }))
	o.Add(named("line.mid", func(*session.Review) {}))
	o.Add(named("swapped.mid", func(r *session.Review) {
		r.Changed, r.Count.Fewest = []string{"three", "four"}, 6
		r.Advice[0].ShiftsNow, r.Advice[0].Probably = 12, true
	}))
	o.Add(named("ein sehr langer Name, und am Ende 低音 und Teil 2.mid", func(r *session.Review) { r.Advice = r.Advice[1:] }))

	var b strings.Builder
	require.NoError(t, o.Text(&b))
	require.NoError(t, o.Text(new(strings.Builder)))
	assert.Equal(t, `5 recordings, first where the advice could save most shifts
                                       saves  at least  likely  fewest  unsure
  swapped.mid                            11?         6     7.3       6     13%
  line.mid                                4          6     7.3       4     13%
  still.mid                               0          0     0.4       4     13%
  ein sehr langer N…音 und Teil 2.mid     0          6     7.3       4     13%
  noise.mid                            not read: not a Standard MIDI File (no…
  Saves: shifts, by what is advised within the reach. With ?: some of them
  only probably. Fewest: with the fingers in force. Unsure: notes at which the
  hand is less than four-fifths sure.
`, b.String())
	for _, line := range strings.Split(b.String(), "\n") {
		assert.LessOrEqual(t, uniseg.StringWidth(line), textWidth, line)
	}
}
