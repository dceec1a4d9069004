package session

import (
	"time"

	"stillhand/coach"
)

// Practice is a round, an attempt at a rung or a search for the reach that is
// on. It is driven by the goroutine that owns the session, with the times of
// events and nothing else, so that the same playing gives the same result
// however the clock was read meanwhile.
//
// The owner calls Note for each kept note when it is heard, Settled for each
// note and its estimate when that settles, both in order and with the same note
// indices, and Tick before each note, when the time of Next has come, and as
// often besides as it likes.
type Practice interface {
	// Clock is the beat; Beats is 0 in a practice without one.
	Clock() Meter
	// Hand is where the player has been asked to put the hand: the tracker is
	// anchored there at the first note between from and to. Position 0 is
	// nowhere.
	Hand() (position int, from, to time.Duration)
	Note(index int, n coach.Note)
	Settled(n coach.Note, e coach.Estimate)
	// Tick lets time pass; every note before now has been told.
	Tick(now time.Duration)
	// Next is when the next Tick is due. It is false when none is.
	Next() (time.Duration, bool)
	// Complete is the onset of the last note that is asked for, once that has
	// been heard. False while more may come, and where no note is waited for.
	Complete() (time.Duration, bool)
	// End says that nothing more will come: what has not settled stays
	// doubtful.
	End()
	Done() bool
	// View is the state to draw at now, which may be ahead of the last Tick.
	// It is the caller's; nothing writes it again.
	View(now time.Duration) *Round
}

// pace is the time of a practice with a beat.
type pace struct {
	Meter
	now   time.Duration // of the last tick
	over  bool
	early int // notes struck before the first beat that is listened to, in the second half of the count-in
}

func newPace(m Meter) pace { return pace{Meter: m} }

func (p *pace) Clock() Meter { return p.Meter }

// begun reports whether a note, or Again, has begun the count-in.
func (p *pace) begun() bool { return p.Start != sometime }

// hears reports whether a note struck at at belongs to the bars: from half a
// beat ahead of the first on. Who strikes one in the second half of the count-in
// has begun too soon.
func (p *pace) hears(at time.Duration) bool {
	from := p.First() - p.Beat/2
	if !p.over && at < from && at >= p.Start+(p.First()-p.Start)/2 {
		p.early++
	}
	return !p.over && at >= from && at < p.Meter.End()
}

func (p *pace) Done() bool { return p.over }

// view is the part of the picture that every practice with a beat shares.
func (p *pace) view(now time.Duration) *Round {
	b := p.Pulse(now)
	v := &Round{Bar: b.Bar, Beat: b.Beat, Beats: p.Beats, Bars: p.Bars, Done: p.over}
	if b.Bar == 0 && p.begun() && !p.over {
		v.Detail = "Count-in: wait, and begin on the first beat of bar 1."
	}
	return v
}
