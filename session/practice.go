package session

import (
	"time"

	"stillhand/coach"
)

// Practice is a round or an attempt at a rung that is on. It is driven by the
// goroutine that owns the session, with the times of events and nothing else,
// so that a recording gives the same result as the playing did.
//
// The owner calls Note for each kept note when it is heard, Settled for each
// estimate when it settles, both in order and with the same note indices, and
// Tick when the time of Next has come and as often besides as it likes.
type Practice interface {
	// Note takes a note, number index of the take. A position other than 0 is
	// where the player has been asked to hold the hand at this note: anchor
	// the tracker there.
	Note(index int, n coach.Note) (anchor int)
	Settled(e coach.Estimate)
	// Tick lets time pass and returns the newest beat if it is a new one, to
	// show, to ring or to click.
	Tick(now time.Duration) (Pulse, bool)
	// Next is when the next Tick is due. It is false when nothing is.
	Next() (time.Duration, bool)
	// End says that nothing more will come: what has not settled stays
	// doubtful.
	End()
	Done() bool
	// View is the state to draw. It is the caller's; nothing writes it again.
	View() *Round
}

// pace keeps the beat of a practice.
type pace struct {
	Meter
	now  time.Duration
	last time.Duration // of the newest beat handed out
	over bool
}

func newPace(m Meter) pace { return pace{Meter: m, now: m.Start - 1, last: m.Start - 1} }

func (p *pace) tick(now time.Duration) (Pulse, bool) {
	p.now = max(p.now, now)
	b := p.Pulse(p.now)
	if b.Beat == 0 || b.At <= p.last || p.now >= p.Meter.End() {
		return b, false
	}
	p.last = b.At
	return b, true
}

func (p *pace) next() (time.Duration, bool) {
	if p.over {
		return 0, false
	}
	if at, ok := p.Meter.Next(p.now); ok {
		return at, true
	}
	return p.Meter.End(), p.now < p.Meter.End()
}

// view is the part of the picture that every practice shares.
func (p *pace) view() *Round {
	b := p.Pulse(p.now)
	return &Round{Bar: b.Bar, Beat: b.Beat, Beats: p.Beats, Bars: p.Bars, Done: p.over}
}
