package session

import (
	"time"

	"stillhand/coach"
)

// lightAfter is how long somebody plays without a break before the reminder of
// a light touch, which is said once a sitting (ours).
const lightAfter = 10 * time.Minute

// care says at rests what there is to say about breaks, touch and load. It
// outlives a hand made anew.
type care struct {
	playing coach.Playing
	light   bool // said
	before  []coach.Load
	today   coach.Load // without this sitting
	said    map[string]bool
}

// newCare starts with the player's log; entries of day are today's.
func newCare(log []coach.Load, day int) *care {
	c := &care{before: log, today: coach.Load{Day: day}, said: map[string]bool{}}
	for _, l := range log {
		if l.Day == day {
			c.today.Minutes += l.Minutes
			c.today.Shifts += l.Shifts
			c.today.Wide += l.Wide
		}
	}
	return c
}

func (c *care) note(at time.Duration) {
	if c != nil {
		c.playing.Note(at)
	}
}

// remark returns what is due at a rest, "" if nothing; sitting is what has been
// played in this one.
func (c *care) remark(at time.Duration, sitting coach.Load) string {
	if c == nil {
		return ""
	}
	if text := c.playing.Remind(at); text != "" {
		return text
	}
	today := c.today
	today.Minutes += sitting.Minutes
	today.Shifts += sitting.Shifts
	today.Wide += sitting.Wide
	for _, i := range coach.Increases(c.before, today) {
		if !c.said[i.Measure] {
			c.said[i.Measure] = true
			return i.Text
		}
	}
	if !c.light && c.playing.Unbroken(at) >= lightAfter {
		c.light = true
		return coach.LightText
	}
	return ""
}
