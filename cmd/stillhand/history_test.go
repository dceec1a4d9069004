package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// In Santiago the clocks of 6 September 2026 go from midnight to one (IANA time zone
// database, Chile).
func TestSinceWhen_BeginsADayOfWhichTheClocksSkipMidnight(t *testing.T) {
	zone, err := time.LoadLocation("America/Santiago")
	require.NoError(t, err)
	one := time.Date(2026, 9, 6, 1, 0, 0, 0, zone)
	for _, text := range []string{"2026-09-06", "2d"} {
		since, err := sinceWhen(text, time.Date(2026, 9, 7, 0, 30, 0, 0, zone))
		require.NoError(t, err)
		assert.True(t, one.Equal(since), "%s: %s", text, since)
	}
}
