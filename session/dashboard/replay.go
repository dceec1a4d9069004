package dashboard

import (
	"fmt"
	"time"
)

// replayRows is the replay's bar: a row of the take's shifts, a row of time.
const replayRows = 2

// drawReplay draws the whole recording as one bar: how many shifts fall on
// each column, where advice and marks are, the passage that loops as a double line, and
// where it plays, with its bar where the recording has bars of its own.
func (b *board) drawReplay(c canvas) {
	r := b.s.Replay
	state := "paused"
	if r.Playing {
		state = "playing"
	}
	c.text(1, 1, fmt.Sprintf("%s x%g", state, r.Speed), c.bold)
	shifts := "all shifts"
	if len(r.Shifts) == 0 {
		shifts = "no likely shift"
	}
	switch {
	case r.Answer != "":
		c.text(1, 0, r.Answer, c.alert)
	case r.Loop:
		c.text(1, 0, shifts+"; looping", c.plain)
	default:
		c.text(1, 0, shifts, c.plain)
	}
	left := 25
	length := max(r.Length, time.Millisecond)
	total := clock(r.Length)
	now := clock(r.At)
	if r.Bar > 0 { // as a review names it
		now = fmt.Sprintf("bar %d beat %d (%s)", r.Bar, r.Beat, now)
		left = max(42, len(" playing x0.75 ")+len(now)+1)
	}
	c.text(left-1-len(now), 1, now, c.bold)
	bar := c.cols(left, c.w-left-len(total)-2)
	c.text(left+bar.w+1, 1, total, c.plain)
	column := func(at time.Duration) int {
		return min(bar.w-1, max(0, int(float64(bar.w)*float64(at)/float64(length))))
	}

	counts := make([]int, bar.w)
	for _, at := range r.Shifts {
		counts[column(at)]++
	}
	for x, n := range counts {
		if n > 0 {
			bar.set(x, 0, c.heights[min(n, len(c.heights))-1], c.plain)
		}
	}
	play := column(r.At)
	for x := range bar.w {
		if x < play {
			bar.set(x, 1, c.past, c.accent)
		} else {
			bar.set(x, 1, c.future, c.dim)
		}
	}
	for x := column(r.LoopFrom); r.Loop && x <= column(r.LoopTo); x++ {
		bar.set(x, 1, c.loop, c.bold)
	}
	for _, at := range r.Advice {
		bar.set(column(at), 1, c.advice, c.plain)
	}
	for _, at := range r.Marks {
		bar.set(column(at), 1, c.mark, c.bold)
	}
	bar.set(play, 1, c.head, c.alert)
}
