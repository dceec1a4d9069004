package midiin

import (
	"context"
	"sync/atomic"
	"time"
)

// Counter is implemented by sources that can lose events: Lost is how many
// could not be taken in since Run began. Any goroutine may call it.
type Counter interface{ Lost() int }

// arrivalsBuffer is how many events wait between arrival and emit: more than a
// second of ten times what a MIDI cable can carry (1,042 note messages a
// second, MIDI 1.0: 31,250 baud, ten bits a byte).
const arrivalsBuffer = 1 << 14

// arrivals carries events from where they arrive, a driver's thread or a
// reading goroutine, to the goroutine of Run. Arrival is stamped at once, so a
// slow consumer changes no time.
type arrivals struct {
	start  time.Time
	events chan Event
	lost   atomic.Int64
}

func newArrivals() *arrivals { return &arrivals{events: make(chan Event, arrivalsBuffer)} }

// begin sets the time from which events count.
func (a *arrivals) begin() { a.start = time.Now() }

func (a *arrivals) now() time.Duration { return time.Since(a.start) }

// Lost is how many events found no room.
func (a *arrivals) Lost() int { return int(a.lost.Load()) }

// offer never waits, so it needs no context: what finds no room is counted as
// lost.
func (a *arrivals) offer(_ context.Context, e Event) {
	select {
	case a.events <- e:
	default:
		a.lost.Add(1)
	}
}

// put waits for room until ctx is done. For sources whose writer can wait too.
func (a *arrivals) put(ctx context.Context, e Event) {
	select {
	case a.events <- e:
	default:
		select {
		case a.events <- e:
		case <-ctx.Done():
			a.lost.Add(1)
		}
	}
}

// inOrder returns emit with times that never decrease: events of a driver's
// thread and of Run itself can pass each other by microseconds.
func inOrder(emit func(Event)) func(Event) {
	var last time.Duration
	return func(e Event) {
		e.At = max(e.At, last)
		last = e.At
		emit(e)
	}
}

// drain emits what waits.
func (a *arrivals) drain(emit func(Event)) {
	for n := len(a.events); n > 0; n-- {
		emit(<-a.events)
	}
}
