package store

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func attemptAt(i int) Attempt {
	return Attempt{
		At: takeStart(i), Day: 20782 + i, Cell: "window", System: "four", Position: 12 - i%5, Passed: i%2 == 0,
		Asked: 14, Heard: 14, InOrder: true, OneWindow: 0.875, Evenness: Figure(0.0625), Connection: Figure(math.NaN()),
		Discomfort: -1, Take: takeName(i),
	}
}

func roundAt(i int) Round {
	return Round{
		At: takeStart(i), Day: 20782 + i, Kind: "call", System: "four", Settings: "bars=8 beat=500ms low=1 high=9",
		Points: 70 + i%3, Of: 100, Notes: 40, Shifts: 4, Enough: true, Take: takeName(i),
	}
}

func reachAt(i int) Reach {
	return Reach{At: takeStart(i), Day: 20782 + i, MM: 105.25, Position: 4, System: "four", AtLeast: i == 0, ScaleMM: 863.6}
}

func addPractice(t *testing.T, h *History, n int) {
	t.Helper()
	for i := range n {
		require.NoError(t, h.AddAttempt(t.Context(), attemptAt(i)))
		require.NoError(t, h.AddRound(t.Context(), roundAt(i)))
		require.NoError(t, h.AddReach(t.Context(), reachAt(i)))
	}
}

func TestHistory_GivesBackPractice(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addPractice(t, h, 4)
	said := attemptAt(2)
	said.Discomfort = 3
	require.NoError(t, h.AddAttempt(t.Context(), said))

	attempts, err := h.Attempts(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Equal(t, []Attempt{attemptAt(0), attemptAt(1), said, attemptAt(3)}, attempts)
	assert.Nil(t, attempts[0].Connection)
	rounds, err := h.Rounds(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Equal(t, []Round{roundAt(0), roundAt(1), roundAt(2), roundAt(3)}, rounds)
	reaches, err := h.Reaches(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Equal(t, []Reach{reachAt(0), reachAt(1), reachAt(2), reachAt(3)}, reaches)

	err = h.AddRound(t.Context(), Round{At: time.Date(20000, 1, 1, 0, 0, 0, 0, time.UTC)})
	require.Error(t, err, "JSON knows no such year")
}

func TestHistory_ChoosesPracticeAsItDoesTakes(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addPractice(t, h, 4)
	addTakes(t, h, 4)
	require.NoError(t, h.SetLabel(t.Context(), takeName(1), Label{Student: "Ana"}))
	for _, of := range []struct {
		filter Filter
		want   []Round
	}{
		{Filter{Since: takeStart(2)}, []Round{roundAt(2), roundAt(3)}},
		{Filter{Take: takeName(3)}, []Round{roundAt(3)}},
		{Filter{Student: "ana"}, []Round{roundAt(1)}},
		{Filter{Student: "Ana", Since: takeStart(2)}, nil},
	} {
		rounds, err := h.Rounds(t.Context(), of.filter)
		require.NoError(t, err)
		assert.Equal(t, of.want, rounds, "%+v", of.filter)
		attempts, err := h.Attempts(t.Context(), of.filter)
		require.NoError(t, err)
		assert.Len(t, attempts, len(of.want))
	}
	reaches, err := h.Reaches(t.Context(), Filter{Take: takeName(3)})
	require.NoError(t, err)
	assert.Empty(t, reaches, "they have no take")
}

func TestBestRound_ComparesOnlyWhatIsComparable(t *testing.T) {
	t.Parallel()
	a, b, c, d := roundAt(0), roundAt(1), roundAt(2), roundAt(3)
	b.Points, c.Points, d.Points = 99, 99, 80
	b.Settings = "bars=4"
	c.Enough = false
	best, found := BestRound([]Round{a, b, c, d}, "call", a.Settings)
	assert.True(t, found)
	assert.Equal(t, d, best)
	_, found = BestRound([]Round{a, b, c, d}, "hold", a.Settings)
	assert.False(t, found)
}
