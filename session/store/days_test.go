package store

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDays_SumUpTakesInTheZoneGiven(t *testing.T) {
	t.Parallel()
	take := func(hour int, notes int, low float64, fingers string) Take {
		return Take{TakeFigures: TakeFigures{
			Start: time.Date(2026, 11, 25, hour, 30, 0, 0, time.UTC), Length: 10 * time.Minute, Played: 6 * time.Minute,
			Notes: notes, Low: low, High: 1 - low, Likely: 2.5, AtLeast: 2, WidestMM: float64(hour), Wide: 3, Fingers: fingers,
			Systems: []SystemFigures{{"four", 4, 6, 0, 0, 0}, {"three", 8, 13, 0, 0, 0}},
		}}
	}
	takes := []Take{take(9, 100, 0.5, "four"), take(20, 300, 0.1, "three"), take(23, 0, 0, "four")}
	got := Days(takes, time.UTC)
	require.Len(t, got, 1)
	assert.InDelta(t, 0.2, got[0].Low, 1e-12)
	assert.InDelta(t, 0.8, got[0].High, 1e-12)
	got[0].Low, got[0].High = 0, 0
	assert.Equal(t, Day{
		Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), Takes: 3, Length: 30 * time.Minute, Played: 18 * time.Minute,
		Notes: 400, Likely: 7.5, AtLeast: 6, OneOnly: 3, Fewest: 4 + 8 + 4, AsYouGo: 6 + 13 + 6, WidestMM: 23, Wide: 9,
	}, got[0])

	east := Days(takes, time.FixedZone("east", 3600))
	require.Len(t, east, 2, "half past eleven is half past midnight there")
	assert.Equal(t, 26, east[1].Date.Day())
	assert.Equal(t, 1, east[1].Takes)
	assert.Empty(t, Days(nil, time.UTC))
}

// In Santiago the clocks of 6 September 2026 go from midnight to one (IANA time zone
// database, Chile).
func TestDays_AreTheirOwnWhereTheClocksSkipMidnight(t *testing.T) {
	zone, err := time.LoadLocation("America/Santiago")
	require.NoError(t, err)
	var takes []Take
	for _, hour := range []int{-2, 12} {
		start := time.Date(2026, 9, 6, hour, 0, 0, 0, zone)
		takes = append(takes, Take{TakeFigures: TakeFigures{Start: start.UTC()}})
	}
	days := Days(takes, zone)
	require.Len(t, days, 2)
	assert.Equal(t, "2026-09-05", days[0].Date.Format(time.DateOnly))
	assert.Equal(t, "2026-09-06", days[1].Date.Format(time.DateOnly))
	assert.True(t, takes[0].Start.Before(days[1].Date))
}
