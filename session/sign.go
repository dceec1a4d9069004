package session

import (
	"fmt"
	"time"
)

// Sign says that what the player asked for a moment ago has been done: whoever
// stands two metres away with a pedal sees nothing else of it.
type Sign struct {
	Word string // short, for large letters
	Text string // the same in a few more
}

// signStays is how long a screen shows a sign (ours): a glance up from the neck.
const signStays = 2 * time.Second

// signed is a sign and the time until which it stays.
type signed struct {
	sign  Sign
	until time.Duration
}

// sign shows that c has been done. A hold and a hand that is moved show
// themselves.
func (p *Pipeline) sign(c command) {
	switch {
	case c.verb == putMark:
		p.signed.sign = Sign{"mark", fmt.Sprintf("mark %d", p.marks.len())}
	case c.verb == fingers:
		p.signed.sign = Sign{c.system.Name, "fingers swapped"}
	case c.verb == forget:
		p.signed.sign = Sign{"zero", "counts restarted"}
	default:
		return
	}
	p.signed.until = p.now + signStays
}

// at is the sign that is shown at now; none if its time is over.
func (s signed) at(now time.Duration) Sign {
	if now >= s.until {
		return Sign{}
	}
	return s.sign
}

// deadline is when the sign goes.
func (s signed) deadline(now time.Duration) (time.Duration, bool) { return s.until, now < s.until }
