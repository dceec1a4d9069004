package session

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// stops goes through x as the arrows do, forward and back again.
func stops(x passages) (on, back []time.Duration) {
	for at := x.stopAfter(-1, -1); at >= 0; at = x.stopAfter(at, -1) {
		on = append(on, at)
	}
	for at := 24 * time.Hour; len(back) < len(on); {
		at = x.stopBefore(at - 1)
		back = append([]time.Duration{at}, back...)
	}
	return on, back
}

// Expected by hand from the rule: 10 s apart, no step of less than 5 s at the
// end, none in a passage of 30 s.
func TestPassages_StopAtStartsAndSteps(t *testing.T) {
	t.Parallel()
	s := time.Second
	for name, c := range map[string]struct {
		x    passages
		want []time.Duration
	}{
		"short":        {passages{{2 * s, 32 * s}, {33 * s, 34 * s}}, []time.Duration{2 * s, 33 * s}},
		"long":         {passages{{2 * s, 33 * s}, {40 * s, 75 * s}}, []time.Duration{2 * s, 12 * s, 22 * s, 40 * s, 50 * s, 60 * s, 70 * s}},
		"then silence": {passages{{0, 2 * s}, {600 * s, 602 * s}}, []time.Duration{0, 600 * s}},
		"none":         {},
	} {
		on, back := stops(c.x)
		assert.Equal(t, c.want, on, name)
		assert.Equal(t, c.want, back, name)
	}
	assert.Equal(t, 5*s, passages{{5 * s, 6 * s}}.stopAfter(0, -1))
	assert.Zero(t, passages{{5 * s, 6 * s}}.stopBefore(4*s))
}

func TestPassages_EndAtTheirLastRelease(t *testing.T) {
	t.Parallel()
	s := time.Second
	assert.Empty(t, passagesOf(nil))
	assert.Equal(t, passages{{0, 3 * s}, {4 * s, 6 * s}, {600 * s, 601 * s}}, passagesOf([]ReviewNote{
		{At: 0, Off: 3}, {At: 1, Off: 2}, {At: 2.4, Off: 2.8},
		{At: 4, Off: 6}, {At: 5, Off: 5.5},
		{At: 600, Off: 601},
	}))
	assert.Equal(t, passages{{0, 2 * s}, {2 * s, 3 * s}}, passagesOf([]ReviewNote{
		{At: 0, Off: 100}, {At: 1, Off: 1.5}, {At: 2, Off: 3},
	}), "a note that rings on")
}

// A file may hold a note to the last time that there is.
func TestPassages_LoopsToTheLastTimeThereIs(t *testing.T) {
	t.Parallel()
	end := time.Duration(math.MaxInt64)
	x := passagesOf([]ReviewNote{{At: 0, Off: end.Seconds()}})
	from, to := x.around(time.Second, end)
	assert.Zero(t, from)
	assert.Equal(t, end, to)
}
