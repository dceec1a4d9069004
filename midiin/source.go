package midiin

import "context"

// Source is one MIDI input.
//
// Run delivers events to emit, in order, At never decreasing, from one
// goroutine, until the source ends (nil), ctx is done (nil) or the source
// fails (an error that names the source and what to do). emit never blocks for
// long, unless the source is a Waiter that waits, and must not be called after
// Run returned. A Source runs once.
//
// A live source stamps events with the monotonic clock when their bytes
// arrive, At counted from the call of Run. A source that vanishes and may come
// back delivers Lost, waits, and delivers Found.
type Source interface {
	// Name says what is being read, for the status line: a file's base name, a port's name.
	Name() string
	Run(ctx context.Context, emit func(Event)) error
}

// Waiter is implemented by sources that may be kept waiting. Waits reports
// whether this one may: a pipe's writer waits until there is room, an
// instrument's notes would be lost.
type Waiter interface{ Waits() bool }
