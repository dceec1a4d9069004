package report

import (
	"encoding/json"
	"github.com/rivo/uniseg"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session/store"
)

// historySample is four sittings on two days, invented.
func historySample() History {
	take := func(day, hour int, minutes float64, notes int, likely float64) store.Take {
		start := time.Date(2026, 11, day, hour, 5, 0, 0, time.UTC)
		played := time.Duration(minutes * float64(time.Minute))
		return store.Take{
			File: start.Format("2006-01-02T150405Z") + ".mid",
			TakeFigures: store.TakeFigures{
				Start: start, Length: played + time.Minute, Played: played, Notes: notes, Fingers: "four",
				Likely: likely, AtLeast: 10, WidestMM: 129.7, Wide: 12, Low: 0.625, High: 0.125,
				Systems: []store.SystemFigures{{System: "four", Fewest: 10, AsYouGo: 14, Travel: 31, LeastTravel: 30, WidestMM: 129.7},
					{System: "three", Fewest: 18, AsYouGo: 29, Travel: 44, LeastTravel: 40, WidestMM: 88.6}},
			},
		}
	}
	takes := []store.Take{take(24, 19, 10, 900, 120), take(24, 20, 0, 0, 0), take(25, 8, 30, 2310, 150.25), take(25, 23, 6.4, 480, 90)}
	takes[0].Label = store.Label{Name: "slow \x1b[31mwalk", Student: "Tuesday", Note: "left thumb\nloose"}
	takes[3].Looks = "three"
	return History{Takes: takes, Days: store.Days(takes, time.UTC), Zone: time.UTC}
}

func TestHistoryText_ShowsDaysAndTakes(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	require.NoError(t, HistoryText(&b, historySample(), HistoryLayout{}))
	assert.Equal(t, `Days
         day  takes     minutes  notes      shifts  as you  low  high  widest
                         played           a minute    go +    %     %      mm
  2026-11-24      2  10.0 █▍       900  12.0 █████      +8   63    13     130
  2026-11-25      2  36.4 █████   2790   6.6 ██▊        +8   63    13     130

Takes
                take  begun  minutes  notes    shifts  as you  low  high  widest
                              played         a minute    go +    %     %      mm
  2026-11-24T190500Z  19:05     10.0    900      12.0      +4   63    13     130
      slow �[31mwalk; Tuesday; left thumb loose
  2026-11-24T200500Z  20:05      0.0      0         -      +4   63    13     130
  2026-11-25T080500Z  08:05     30.0   2310       5.0      +4   63    13     130
  2026-11-25T230500Z  23:05      6.4    480      14.1      +4   63    13     130
"As you go +" is what the hand, which cannot see ahead, needs over the fewest
shifts known in hindsight, with the fingers in force.
`, b.String())

	b.Reset()
	h := historySample()
	h.Earlier = 97
	require.NoError(t, HistoryText(&b, h, HistoryLayout{Days: 1, Takes: 2}))
	assert.Contains(t, b.String(), "Days (takes before them: 99, --since shows them)\n")
	assert.Contains(t, b.String(), "Takes (the newest 2 of 4)\n")
	assert.NotContains(t, b.String(), "2026-11-24")

	b.Reset()
	require.NoError(t, HistoryText(&b, History{}, HistoryLayout{}))
	assert.Equal(t, "No takes yet: what is played with stillhand live is kept and shown here.\n", b.String())

	b.Reset()
	require.NoError(t, HistoryText(&b, History{Choice: `tagged "Nobody"`, Tagged: true, Others: 12}, HistoryLayout{}))
	assert.Equal(t, `None of the 12 takes is tagged "Nobody": stillhand history without a choice
shows all, and --take with --tag tags one.
`, b.String())

	b.Reset()
	require.NoError(t, HistoryText(&b, History{Choice: "of 2027-01-01 or later", Others: 12}, HistoryLayout{}))
	assert.Equal(t, `None of the 12 takes is of 2027-01-01 or later: stillhand history without a
choice shows all.
`, b.String())
}

func TestHistoryText_WritesOneTakeAtLength(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	h := historySample()
	h.Takes = h.Takes[3:]
	h.Takes[0].Name = "evening"
	h.Zone = time.FixedZone("", 7200)
	require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
	assert.Equal(t, `2026-11-25T230500Z  26 November 2026, 01:05, four fingers (1 2 3 4)
  evening

  played  6.4 minutes of 7.4
  notes   480, 63% low and 13% high on the neck
  shifts  at least 10, likely 90, 14.1 a minute
  widest  130 mm, of the windows that the hand probably took

                        fewest  as you go  travel  least travel  widest stretch
  four fingers (yours)      10         14      31            30          130 mm
         three fingers      18         29      44            40           89 mm
  Widest stretch is that of the fewest shifts, not of what was played.
  The playing looks more like three fingers (1 2 4) than like the four fingers
  (1 2 3 4) that were declared.
`, b.String())
}

// Six notes in two seconds: a rate stands beside the time, which is not nothing.
func TestHistoryText_ATakeOfSecondsIsNotNothing(t *testing.T) {
	t.Parallel()
	h := historySample()
	h.Takes = h.Takes[3:]
	h.Takes[0].Played, h.Takes[0].Length, h.Takes[0].Likely = 2*time.Second, 53*time.Second, 0.36
	var b strings.Builder
	require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
	assert.Contains(t, b.String(), "played  <0.1 minutes of 0.9\n")
	assert.Contains(t, b.String(), "10.8 a minute")
}

// A take that was on hold throughout, or on open strings, has no window.
func TestHistoryText_LeavesOutAWindowThatWasNone(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	h := historySample()
	h.Takes = h.Takes[3:]
	h.Takes[0].WidestMM = 0
	require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
	assert.Contains(t, b.String(), "14.1 a minute\n\n")
	assert.NotContains(t, b.String(), "probably took")
}

func TestHistoryText_SaysWhereTheFingersChanged(t *testing.T) {
	t.Parallel()
	h := historySample()
	h.Takes = h.Takes[3:]
	h.Takes[0].AtLeast, h.Takes[0].Declared = 0, []string{"three", "four"}
	var b strings.Builder
	require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
	assert.Contains(t, b.String(), "at least 0, likely 90, 14.1 a minute\n          with the fingers declared for each note, which changed on the way\n")
	assert.Contains(t, b.String(), "four (yours last)")
	assert.Contains(t, b.String(), ", three, then four fingers\n")

	h = historySample()
	h.Takes[3].Declared = []string{"three", "four"}
	h.Days = store.Days(h.Takes, time.UTC)
	b.Reset()
	require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
	assert.Regexp(t, `23:05 .* 14\.1 +- `, b.String())
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "with the fingers in force; - where they changed, and a day's sum is without those takes.")
	assert.Regexp(t, `2026-11-25 .* \+4 `, b.String())

	h.Takes[2].Declared = []string{"four", "three", "four"}
	h.Days = store.Days(h.Takes, time.UTC)
	b.Reset()
	require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
	assert.Regexp(t, `2026-11-24 .* \+8 `, b.String())
	assert.Regexp(t, `2026-11-25 .* - `, b.String())
}

// What was a number in every take stays one; a day says what it sums.
func TestHistoryJSON_WhereTheFingersChanged(t *testing.T) {
	t.Parallel()
	h := historySample()
	for i := 1; i < 4; i++ {
		h.Takes[i].Declared = []string{"three", "four"}
	}
	h.Days = store.Days(h.Takes, time.UTC)
	var b strings.Builder
	require.NoError(t, HistoryJSON(&b, h))
	var doc struct{ Days, Takes []map[string]any }
	require.NoError(t, json.Unmarshal([]byte(b.String()), &doc))
	for _, take := range doc.Takes {
		assert.Equal(t, 4., take["as_you_go_minus_fewest"])
	}
	assert.Equal(t, []any{"three", "four"}, doc.Takes[1]["fingers_changed"])
	for i, want := range []map[string]any{
		{"takes": 2., "takes_of_one_system": 1., "fewest": 10., "as_you_go": 14., "as_you_go_minus_fewest": 4.},
		{"takes": 2., "takes_of_one_system": 0., "fewest": nil, "as_you_go": nil, "as_you_go_minus_fewest": nil},
	} {
		for key, value := range want {
			assert.Contains(t, doc.Days[i], key)
			assert.Equal(t, value, doc.Days[i][key], key)
		}
	}
}

// Of days too short for a tenth of a minute none has a bar, however long it is beside the
// others; a rate that is written as 0.0 has none either.
func TestHistoryText_DrawsNoBarBesideNothing(t *testing.T) {
	t.Parallel()
	for _, played := range []time.Duration{2 * time.Second, 3 * time.Second, 6 * time.Second} {
		for _, likely := range []float64{0.01, 5} {
			h := historySample()
			for i := range h.Takes {
				h.Takes[i].Played, h.Takes[i].Likely = 0, 0
			}
			h.Takes[2].Played, h.Takes[2].Likely = played, likely
			h.Days = store.Days(h.Takes, time.UTC)
			var b strings.Builder
			require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
			assert.Equal(t, played > 3*time.Second, strings.Contains(b.String(), " 0.1 █████"), b.String())
			assert.Equal(t, played <= 3*time.Second, strings.Contains(b.String(), " <0.1  "), b.String())
			assert.Equal(t, likely > 1, strings.Contains(b.String(), ".0 █████"), b.String())
			assert.NotContains(t, b.String(), " 0.0 █")
		}
	}
}

func TestBar_ShowsEighthsAndNeverHidesWhatIsThere(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "████", bar(8, 8, 4, false))
	assert.Equal(t, "██  ", bar(4, 8, 4, false))
	assert.Equal(t, "██▌ ", bar(5, 8, 4, false))
	assert.Equal(t, "▏   ", bar(0.001, 8, 4, false))
	assert.Equal(t, "    ", bar(0, 8, 4, false))
	assert.Equal(t, "    ", bar(0, 0, 4, false))
	assert.Equal(t, "=== ", bar(5, 8, 4, true))
}

func TestHistoryText_FitsATerminal(t *testing.T) {
	t.Parallel()
	h := historySample()
	for i := range h.Takes { // large figures
		h.Takes[i].Notes, h.Takes[i].Played = 98765, 400*time.Minute
		h.Takes[i].Likely = 54321
	}
	h.Days = store.Days(h.Takes, time.UTC)
	for _, ascii := range []bool{false, true} {
		var b strings.Builder
		require.NoError(t, HistoryText(&b, h, HistoryLayout{ASCII: ascii}))
		for line := range strings.Lines(b.String()) {
			assert.LessOrEqual(t, utf8.RuneCountInString(strings.TrimRight(line, "\n")), 80, line)
			assert.NotContains(t, line, "\x1b")
			assert.False(t, ascii && len(line) != utf8.RuneCountInString(line) && !strings.Contains(line, "\uFFFD"), line)
		}
	}
}

func TestHistoryJSON_HoldsEveryFigure(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	h := historySample()
	require.NoError(t, HistoryJSON(&b, h))
	var doc struct {
		Format  string
		Version int
		Days    []map[string]any
		Takes   []map[string]any
	}
	require.NoError(t, json.Unmarshal([]byte(b.String()), &doc))
	assert.Equal(t, "stillhand-history", doc.Format)
	assert.Equal(t, 1, doc.Version)
	require.Len(t, doc.Takes, 4)
	require.Len(t, doc.Days, 2)
	assert.Equal(t, map[string]any{
		"date": "2026-11-24", "takes": 2., "length_s": 720., "played_s": 600., "notes": 900., "at_least": 20., "likely": 120.,
		"shifts_per_minute": 12., "takes_of_one_system": 2., "fewest": 20., "as_you_go": 28., "as_you_go_minus_fewest": 8., "low_share": 0.625, "high_share": 0.125,
		"widest_mm": 129.7, "wide_notes": 24.,
	}, doc.Days[0])
	assert.Equal(t, "slow \x1b[31mwalk", doc.Takes[0]["name"])
	assert.NotContains(t, b.String(), "\x1b")
	assert.Nil(t, doc.Takes[1]["shifts_per_minute"])
	assert.Equal(t, 150.25, doc.Takes[2]["likely"])
	assert.Equal(t, "2026-11-25T08:05:00Z", doc.Takes[2]["started"])
	assert.Equal(t, "three", doc.Takes[3]["looks_like"])
	assert.Equal(t, map[string]any{"fewest": 18., "travel_frets": 44., "least_travel_frets": 40., "as_you_go": 29., "widest_mm": 88.6},
		doc.Takes[3]["systems"].(map[string]any)["three"])

	b.Reset()
	require.NoError(t, HistoryJSON(&b, History{}))
	assert.JSONEq(t, `{"format":"stillhand-history","version":1,"days":[],"takes":[],"attempts":[],"rounds":[],"reaches":[]}`, b.String())
}

// A take's note in wide letters fits the terminal too.
func TestHistoryText_WideNotesFit(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	take := store.Take{File: "2026-11-25T201405Z.mid"}
	take.Fingers, take.Note = "four", strings.Repeat("左手の小指をもっと軽く ", 6)
	require.NoError(t, HistoryText(&b, History{Takes: []store.Take{take}}, HistoryLayout{}))
	for line := range strings.Lines(b.String()) {
		assert.LessOrEqual(t, uniseg.StringWidth(strings.TrimRight(line, "\n")), 80, line)
	}
}

// A review writes 474.3 as 474, and of an unsure hand 39.4 as 39: a history that
// writes tenths there would tell more than it knows.
func TestHistoryText_RoundsLikelyShiftsAsAReviewDoes(t *testing.T) {
	t.Parallel()
	h := historySample()
	h.Takes = h.Takes[:1]
	for likely, want := range map[float64]string{474.3: "likely 474, ", 39.4: "likely 39, ", 7.3: "likely 7.3, "} {
		h.Takes[0].Likely = likely
		var b strings.Builder
		require.NoError(t, HistoryText(&b, h, HistoryLayout{}))
		assert.Contains(t, b.String(), want)
	}
}
