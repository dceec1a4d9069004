package dashboard

import (
	"fmt"

	"stillhand/coach"
	"stillhand/session"
)

// countRows is the table of shifts: two rows of heads, the take, the last
// minute.
const countRows = 4

// drawCounts writes the shifts of the player beside the fewest of each system
// and what a hand without look-ahead needs, and this window's stretch beside
// the player's reach.
func (b *board) drawCounts(c canvas) {
	s := b.s
	const likelyEnd, leastEnd, step = 20, 31, 7 // right edges of the player's own numbers; from system to system
	mark := ""
	if provisional(s) {
		mark = "~"
	}
	c.text(1, 0, "shifts", c.bold)
	c.text(likelyEnd-len("likely"), 0, "yours", c.plain)
	c.right(likelyEnd, 1, "likely", c.plain)
	c.right(leastEnd, 1, "at least", c.plain)
	whole := "this take"
	if s.Restarted {
		whole = "restarted"
	}
	c.text(1, 2, whole, c.plain)
	c.text(1, 3, "last minute", c.plain)
	for i, n := range []session.Counts{s.Take, s.LastMinute} {
		c.right(likelyEnd, 2+i, fmt.Sprintf("%s%.1f", mark, n.Likely), c.bold)
		c.right(leastEnd, 2+i, fmt.Sprint(n.AtLeast), c.bold)
	}
	x := leastEnd + 1
	for _, group := range []struct {
		head string
		of   func(session.Counts) map[string]int
	}{
		{"fewest", func(n session.Counts) map[string]int { return n.Fewest }},
		{"as you go", func(n session.Counts) map[string]int { return n.AsYouGo }},
	} {
		x += 1
		c.text(x+step-width(coach.Systems[0].Name), 0, group.head, c.plain)
		for _, system := range coach.Systems {
			x += step
			style := c.plain
			if system.Name == s.System.Name {
				style = c.bold
			}
			c.right(x, 1, system.Name, style)
			for i, n := range []session.Counts{s.Take, s.LastMinute} {
				text := "-"
				if count, ok := group.of(n)[system.Name]; ok {
					text = fmt.Sprint(count)
				}
				c.right(x, 2+i, text, style)
			}
		}
	}
	b.drawStretch(c.cols(x+2, c.w-x-3))
}

// drawStretch says how far the window is from first to last finger, as a guess
// where the window is one, and how far this player reaches.
func (b *board) drawStretch(c canvas) {
	s := b.s
	c.right(c.w, 0, "stretch, mm", c.plain)
	y := 1
	line := func(name string, mm float64) {
		if mm > 0 {
			c.right(c.w, y, fmt.Sprintf("%s %3.0f", name, mm), c.plain)
			y++
		}
	}
	if p := s.Hand.Position; p > 0 && !guessed(s) {
		here := " here "
		if doubtful(s) {
			here = " here?"
		}
		for _, system := range []coach.System{s.System, s.System.Other()} {
			line(system.Name+here, s.Neck.StretchMM(p, system.Width()))
		}
	}
	line("your reach ", s.ReachMM)
}
