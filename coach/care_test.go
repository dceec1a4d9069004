package coach

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPlaying_CountsFromTheLastBreak(t *testing.T) {
	t.Parallel()
	var p Playing
	assert.Zero(t, p.Unbroken(time.Hour))
	p.Note(time.Minute)
	p.Note(5 * time.Minute)
	assert.Equal(t, 4*time.Minute, p.Unbroken(5*time.Minute))
	assert.Equal(t, 4*time.Minute, p.Unbroken(9*time.Minute), "a pause under five minutes is no break")
	assert.Zero(t, p.Unbroken(10*time.Minute))
	p.Note(9 * time.Minute)
	assert.Equal(t, 8*time.Minute, p.Unbroken(9*time.Minute))
	p.Note(14 * time.Minute)
	assert.Zero(t, p.Unbroken(14*time.Minute), "five minutes of silence are")
}

// Five minutes in each half hour: common advice (expert custom, no trial).
func TestPlaying_RemindsAtTwentyFiveMinutes(t *testing.T) {
	t.Parallel()
	var p Playing
	var said []int
	for second := range 3600 {
		now := time.Duration(second) * time.Second
		p.Note(now)
		if text := p.Remind(now); text != "" {
			said = append(said, second)
			assert.Contains(t, text, "minutes without a break")
			assert.Empty(t, p.Remind(now), "once")
		}
	}
	assert.Equal(t, []int{25 * 60, 50 * 60}, said)

	p = Playing{}
	for minute := range 51 { // asked at rests only: one came late
		now := time.Duration(minute) * time.Minute
		p.Note(now)
		if minute == 27 || minute == 50 {
			assert.NotEmpty(t, p.Remind(now), "minute %d", minute)
		}
	}
	p = Playing{}
	p.Note(0)
	p.Note(time.Hour + 5*time.Minute)
	assert.Empty(t, p.Remind(time.Hour+5*time.Minute))
}

func fortnight(perDay Load, played int) []Load {
	var log []Load
	for i := range played {
		l := perDay
		l.Day = 99 - i
		log = append(log, l)
	}
	return log
}

func TestIncreases_SpeaksOfASuddenOneOnly(t *testing.T) {
	t.Parallel()
	usual := Load{Minutes: 30, Shifts: 300, Wide: 60} // 10 shifts and 2 wide notes a minute
	log := fortnight(usual, 10)
	for name, tc := range map[string]struct {
		today Load
		want  []string
	}{
		"the same":          {Load{Day: 100, Minutes: 30, Shifts: 300, Wide: 60}, nil},
		"a little more":     {Load{Day: 100, Minutes: 40, Shifts: 500, Wide: 100}, nil},
		"less":              {Load{Day: 100, Minutes: 12, Shifts: 20}, nil},
		"twice the minutes": {Load{Day: 100, Minutes: 60, Shifts: 600, Wide: 120}, []string{"minutes"}},
		"twice the shifts":  {Load{Day: 100, Minutes: 30, Shifts: 600, Wide: 60}, []string{"shifts a minute"}},
		"wide":              {Load{Day: 100, Minutes: 30, Shifts: 300, Wide: 90}, []string{"wide stretches a minute"}},
		"too short to tell": {Load{Day: 100, Minutes: 9, Shifts: 900, Wide: 900}, nil},
	} {
		var got []string
		for _, i := range Increases(log, tc.today) {
			got = append(got, i.Measure)
			assert.Contains(t, i.Text, i.Measure)
			assert.GreaterOrEqual(t, i.Today, suddenIncrease*i.Before)
		}
		assert.Equal(t, tc.want, got, name)
	}
	got := Increases(log, Load{Day: 100, Minutes: 30, Shifts: 540, Wide: 60})
	assert.Equal(t, 18.0, got[0].Today)
	assert.Equal(t, 10.0, got[0].Before)
	assert.Equal(t, "Today: 18.0 shifts a minute. Your average day of playing in the last two weeks: 10.0. That is a sudden increase; smaller steps are an option.", got[0].Text)
}

func TestIncreases_NeedsHistoryOfItsOwn(t *testing.T) {
	t.Parallel()
	usual := Load{Minutes: 30, Shifts: 300}
	hard := Load{Day: 100, Minutes: 90, Shifts: 9000}
	assert.Empty(t, Increases(nil, hard))
	assert.Empty(t, Increases(fortnight(usual, 4), hard), "four days")
	assert.NotEmpty(t, Increases(fortnight(usual, 5), hard))
	assert.Empty(t, Increases(fortnight(Load{Minutes: 10, Shifts: 100}, 5), hard), "fifty minutes")
	assert.NotEmpty(t, Increases(fortnight(Load{Minutes: 12, Shifts: 100}, 5), hard), "an hour")
	brief := Load{Day: 100, Minutes: 10, Shifts: 1000}
	assert.NotEmpty(t, Increases(fortnight(usual, 5), brief), "ten minutes of today")
	assert.Empty(t, Increases(append(fortnight(usual, 4), Load{Day: 95}), hard), "a day without a minute is not played")
	assert.Empty(t, Increases(append(fortnight(usual, 4), hard), hard), "nor is today one of those before")
	assert.NotEmpty(t, Increases(append(fortnight(usual, 4), Load{Day: 86, Minutes: 30, Shifts: 300}), hard), "two weeks before")
	assert.Empty(t, Increases(append(fortnight(usual, 4), Load{Day: 85, Minutes: 30, Shifts: 300}), hard), "a day earlier")
	old := hard
	old.Day = 120
	assert.Empty(t, Increases(fortnight(usual, 10), old), "older than two weeks")
	first := Load{Day: 100, Minutes: 30, Shifts: 300, Wide: 40}
	got := Increases(fortnight(usual, 10), first)
	assert.Len(t, got, 1, "from nothing at all is an increase too")
	assert.Zero(t, got[0].Before)
}

func TestWide_IsBeyondTheReachOrOneOfTheWidestThree(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for p, mm := range map[int]string{2: "122", 3: "116", 4: "109"} { // four frets of 34 inches, from x(n) = L (1 - 2^(-n/12))
		require.Equal(t, mm, fmt.Sprintf("%.0f", n.StretchMM(p, 4)))
		assert.Equal(t, p <= 3, Wide(n, Four, p, 0))
		assert.Equal(t, p <= 3, Wide(n, Three, p, 0))
		assert.Equal(t, p <= 2, Wide(n, Four, p, 116))
		assert.False(t, Wide(n, Four, p, 122))
	}
}
