package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// outage scores notes with the input gone from one time to another, in
// milliseconds; to 0 is for good.
func outage(r Round, from, to int, notes ...Estimate) Score {
	s := NewScorer(r, 0)
	went, back := time.Duration(from)*time.Millisecond, time.Duration(to)*time.Millisecond
	i := 0
	for ; i < len(notes) && notes[i].At < went; i++ {
		add(s, notes[i])
	}
	s.Lost(went)
	if to > 0 {
		for ; i < len(notes) && notes[i].At < back; i++ {
		}
		s.Found(back)
		for ; i < len(notes); i++ {
			add(s, notes[i])
		}
	}
	return s.Score(r.Length())
}

// followed fills the round with eighths in the window that holds.
func followed(r Round) []Estimate {
	return eighths(r, func(bar int) (position int) {
		position = 5
		for _, c := range r.Calls() {
			if c.Bar <= bar {
				position = c.Position
			}
		}
		return position
	})
}

// Bars of two seconds: an input that is gone is not the player's silence, and what
// was heard of such a bar costs nothing.
func TestScorer_AnInputThatIsGoneCostsNothing(t *testing.T) {
	t.Parallel()
	for _, kind := range []RoundKind{RoundHold, RoundBudget, RoundCall} {
		r := plan(bass4(t), kind)
		require.Equal(t, 2*time.Second, r.Bar())
		for name, tc := range map[string]struct {
			from, to int
			gone     []int
		}{
			"two bars":                   {4000, 8000, []int{3, 4}},
			"until a late note":          {3990, 8010, []int{3, 4}},
			"half a beat":                {4000, 4250, nil},
			"more than half a beat":      {4000, 4251, []int{3}},
			"the end of a call's bar":    {5500, 6000, []int{3}},
			"its second bar":             {6000, 8000, []int{4}},
			"its first bar":              {4000, 6000, []int{3}},
			"until the end":              {8001, 0, []int{5, 6, 7, 8}},
			"before the round, and long": {-9000, 1000, []int{1}},
		} {
			got := outage(r, tc.from, tc.to, followed(r)...)
			want := 80 - 10*len(tc.gone)
			assert.Equal(t, []int{want, want}, []int{got.Points, got.Of}, "%s, %s: %v", kind, name, got.Losses)
			assert.Equal(t, tc.gone, got.Gone, "%s, %s", kind, name)
			assert.Equal(t, []int{0, 0}, []int{got.Unclear, got.Silent}, "%s, %s", kind, name)
			assert.True(t, got.Enough, "%s, %s", kind, name)
		}
		got := outage(r, 6000, 0, followed(r)...)
		assert.False(t, got.Enough, "three bars are left of eight")
		assert.True(t, outage(r, 8000, 0, at(0, 5, 5), at(2000, 5, 5), at(4000, 5, 5), at(6000, 5, 5)).Enough, "a note for each bar that is left")
	}

	hold := plan(bass4(t), RoundHold)
	notes := followed(hold)
	notes[16] = at(4000, 19, 19)
	assert.Equal(t, 78, outage(hold, 7990, 8000, notes...).Points)
	got := outage(hold, 5000, 6000, notes...)
	assert.Equal(t, []int{70, 70}, []int{got.Points, got.Of})
	assert.Empty(t, got.Losses)
}

// What is heard of a call counts as ever: nobody is late in a bar that was not
// heard, and who stays away in the other one loses that.
func TestScorer_ACallHeardInPartCountsInPart(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundCall)
	notes := followed(r)
	calls := r.Calls()
	got := outage(r, 4000, 6000, notes...)
	assert.Equal(t, Arrival{Call: calls[1], After: 2 * time.Second, Sure: true, Unclear: true}, got.Arrivals[1])

	for i := 24; i < 28; i++ { // two beats of bar 4
		notes[i] = at(6000+250*(i-24), 19, 19)
	}
	got = outage(r, 4000, 6000, notes...)
	require.Len(t, got.Losses, 1)
	assert.Equal(t, 5, got.Losses[0].Points)
	assert.Equal(t, "bar 4: window 5 to 8 reached no sooner than 2 beats after the bar line", got.Losses[0].Text)

	for i := 24; i < 32; i++ {
		notes[i] = at(6000+250*(i-24), 19, 19)
	}
	got = outage(r, 4000, 6000, notes...)
	require.Len(t, got.Losses, 1)
	assert.Equal(t, []int{60, 70, 10}, []int{got.Points, got.Of, got.Losses[0].Points})
	assert.Equal(t, "bar 3: no note was played in window 5 to 8 while the input was there", got.Losses[0].Text)
	assert.True(t, got.Arrivals[1].Unclear)

	// Slips in a bar that is gone cost nothing, so coming later is not what costs less.
	slips := []Estimate{at(0, 8, 8), at(4000, 8, 8), at(4250, 8, 9), at(4500, 8, 9), at(4750, 8, 9), at(7000, 5, 6)}
	got = outage(r, 5000, 6000, slips...)
	for _, l := range got.Losses {
		assert.NotEqual(t, 4, l.Bar, "%+v", l)
	}
}

// Gone since the first time that it was told of.
func TestScorer_AnInputThatIsGoneGoesOnce(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundHold)
	s := NewScorer(r, 0)
	s.Lost(0)
	s.Lost(r.Bar() - r.Beat/2)
	s.Found(r.Bar())
	require.Equal(t, []int{1}, s.Score(r.Length()).Gone)
}
