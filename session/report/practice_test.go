package report

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session/store"
)

// practised is historySample with two attempts in its first take, rounds in its
// last two, and a reach without an instrument.
func practised() History {
	h := historySample()
	day := func(t store.Take) int { return int(t.Start.Unix() / 86400) }
	attempt := func(t store.Take, minute int, passed bool, discomfort int) store.Attempt {
		return store.Attempt{
			At: t.Start.Add(time.Duration(minute) * time.Minute), Day: day(t), Cell: "window", System: "four", Position: 9,
			Passed: passed, Asked: 13, Heard: 13, InOrder: true, OneWindow: 0.97, Discomfort: discomfort, Take: t.File,
		}
	}
	round := func(t store.Take, minute, points int, enough bool) store.Round {
		return store.Round{
			At: t.Start.Add(time.Duration(minute) * time.Minute), Day: day(t), Kind: "budget", System: "four",
			Settings: "four fingers, positions 5 to 12, 2 bars of 4 at 90, 1 shifts", Points: points, Of: 20, Notes: 8, Enough: enough, Take: t.File,
		}
	}
	last := h.Takes[3]
	h.Practice = Practice{
		Attempts: []store.Attempt{
			attempt(h.Takes[0], 1, false, -1), attempt(h.Takes[0], 2, true, 2), attempt(last, 1, true, -1),
			{At: last.Start, Day: day(last), Discomfort: 6}, // said of the day, without an attempt
		},
		Rounds:  []store.Round{round(h.Takes[2], 1, 10, true), round(h.Takes[2], 2, 14, true), round(last, 3, 0, false)},
		Reaches: []store.Reach{{At: last.Start, Day: day(last), MM: 103.4, Position: 4, System: "four", AtLeast: true}},
	}
	return h
}

func TestHistoryText_SaysWhatWasPractised(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	require.NoError(t, HistoryText(&b, practised(), HistoryLayout{}))
	assert.Contains(t, b.String(), `     130

Practice
  ladder, four fingers, frets 9 to 12
    2026-11-24  2 attempts, 1 passed, discomfort 2 of 10
    2026-11-25  passed
  ladder
    2026-11-25  discomfort 6 of 10
  round budget, four fingers, positions 5 to 12, 2 bars of 4 at 90, 1 shift
    2026-11-25  3 rounds, best 14 of 20
  reach
    2026-11-25  at least 103 mm, four fingers at position 4

Takes
`)
	assert.Contains(t, b.String(), `
      ladder, four fingers, frets 9 to 12: 2 attempts, 1 passed, discomfort 2
      of 10; slow �[31mwalk; Tuesday; left thumb loose
`)
	assert.Contains(t, b.String(), "\n      round budget: 2 rounds, best 14 of 20\n")
	assert.Contains(t, b.String(), "\n      ladder, four fingers, frets 9 to 12: passed; round budget: no score\n")
	assert.Contains(t, b.String(), "\nA day's sums hold what was practised too.\n")
	for line := range strings.Lines(b.String()) {
		assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), 80, line)
	}

	b.Reset()
	require.NoError(t, HistoryText(&b, historySample(), HistoryLayout{}))
	assert.NotContains(t, b.String(), "Practice")
	assert.NotContains(t, b.String(), "practised")
}

func TestHistoryText_SaysWhatOneTakeWas(t *testing.T) {
	t.Parallel()
	h := practised()
	h.Takes, h.Alone = h.Takes[:1], true
	var b strings.Builder
	require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
	assert.Contains(t, b.String(), "\n  ladder, four fingers, frets 9 to 12: 2 attempts, 1 passed, discomfort 2 of\n  10; slow ")
	assert.NotContains(t, b.String(), "reach")
}

// A reach needs no instrument, and leaves no take.
func TestHistoryText_ShowsPracticeWithoutTakes(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	require.NoError(t, HistoryText(&b, History{Practice: Practice{Reaches: practised().Practice.Reaches}}, HistoryLayout{}))
	assert.Equal(t, `Practice
  reach
    2026-11-25  at least 103 mm, four fingers at position 4

No takes yet: what is played with stillhand live is kept and shown here.
`, b.String())
}

func TestHistoryJSON_HoldsPractice(t *testing.T) {
	t.Parallel()
	h := practised()
	h.Zone = time.FixedZone("", 3600)
	var b strings.Builder
	require.NoError(t, HistoryJSON(&b, h))
	var doc struct{ Takes, Attempts, Rounds, Reaches []map[string]any }
	require.NoError(t, json.Unmarshal([]byte(b.String()), &doc))
	assert.Equal(t, "ladder, four fingers, frets 9 to 12: 2 attempts, 1 passed, discomfort 2 of 10", doc.Takes[0]["practice"])
	assert.NotContains(t, doc.Takes[1], "practice")
	require.Len(t, doc.Attempts, 4)
	assert.Equal(t, map[string]any{
		"at": "2026-11-24T20:06:00+01:00", "take": h.Takes[0].File, "cell": "window", "system": "four", "position": 9., "passed": false,
		"asked": 13., "heard": 13., "in_order": true, "one_window": 0.97, "evenness": nil, "connection": nil, "discomfort": nil,
	}, doc.Attempts[0])
	assert.Equal(t, 6., doc.Attempts[3]["discomfort"])
	assert.NotContains(t, doc.Attempts[3], "take")
	assert.Equal(t, []any{10., 14., 0.}, []any{doc.Rounds[0]["points"], doc.Rounds[1]["points"], doc.Rounds[2]["points"]})
	assert.Equal(t, []any{"budget", h.Practice.Rounds[0].Settings, 20., true}, []any{
		doc.Rounds[0]["kind"], doc.Rounds[0]["settings"], doc.Rounds[0]["of"], doc.Rounds[0]["enough"]})
	assert.Equal(t, map[string]any{"at": "2026-11-26T00:05:00+01:00", "mm": 103.4, "system": "four", "position": 4., "at_least": true, "scale_mm": 0.}, doc.Reaches[0])
}

// What practice gave is shown whatever the number of takes is: discomfort that was
// said of a day has no take, and takes of a practice may have been deleted. (One take
// that was asked for is another thing.)
func TestHistoryText_ShowsPracticeBesideASingleTake(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 1, 5, 18, 0, 0, 0, time.UTC)
	practice := Practice{Attempts: []store.Attempt{{At: at, Day: int(at.Unix() / 86400), Discomfort: 4, Take: ""}}}
	take := func(file string) store.Take {
		return store.Take{File: file, TakeFigures: store.TakeFigures{Start: at, Fingers: "four", Notes: 2, Length: time.Minute, Played: time.Minute}}
	}
	for _, takes := range [][]store.Take{nil, {take("a"), take("b")}, {take("a")}} {
		var b bytes.Buffer
		require.NoError(t, HistoryText(&b, History{Takes: takes, Days: store.Days(takes, time.UTC), Practice: practice}, HistoryLayout{}))
		assert.Contains(t, b.String(), "discomfort 4 of 10", "%d takes", len(takes))
	}
}
