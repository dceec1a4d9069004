package dashboard

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestBudget_DrawsAtOnceAfterQuietAndOnceAPeriodUnderLoad(t *testing.T) {
	t.Parallel()
	var b budget
	now := time.Unix(1000, 0)
	for range burst {
		assert.LessOrEqual(t, b.rest(now), drawPeriod)
		now = now.Add(max(0, b.rest(now)))
		b.spend(now, true)
	}
	assert.Greater(t, b.rest(now), drawPeriod, "the burst is spent")

	began, frames := now, 0
	for now.Sub(began) < 10*time.Second {
		now = now.Add(max(0, b.rest(now)))
		b.spend(now, true)
		frames++
	}
	assert.InDelta(t, int(10*time.Second/framePeriod), frames, burst)

	now = now.Add(burst * framePeriod)
	assert.LessOrEqual(t, b.rest(now), time.Duration(0), "after a quiet moment at once")
	for range 10 {
		b.spend(now, false)
		now = now.Add(drawPeriod)
	}
	assert.LessOrEqual(t, b.rest(now), time.Duration(0), "a frame that changed nothing costs nothing")
}
