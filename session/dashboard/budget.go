package dashboard

import "time"

const (
	// framePeriod is the time between two frames under load. Players notice 20 ms
	// (Jack et al., Music Perception 36(1)); at sixty frames a second a note that
	// just missed one would be 17 ms old before it is drawn, and sending it takes
	// time too.
	framePeriod = 12 * time.Millisecond
	// burst is how many frames may be sent without that distance after a while
	// with fewer: one note is several events close together, and none of them
	// should wait for the frame before.
	burst = 3
	// drawPeriod is the least time between two frames drawn, sent or not.
	drawPeriod = 2 * time.Millisecond
)

// budget says when the next frame may be drawn. Only frames that change the
// terminal are paid for.
type budget struct {
	full time.Time // when a whole burst is there again
	last time.Time // when a frame was last drawn
}

// rest is how long the next frame has to wait.
func (b *budget) rest(now time.Time) time.Duration {
	return max(b.full.Add(-(burst-1)*framePeriod).Sub(now), b.last.Add(drawPeriod).Sub(now))
}

// spend notes a frame drawn at now.
func (b *budget) spend(now time.Time, sent bool) {
	b.last = now
	if !sent {
		return
	}
	if b.full.Before(now) {
		b.full = now
	}
	b.full = b.full.Add(framePeriod)
}
