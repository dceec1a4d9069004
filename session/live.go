package session

import (
	"context"
	"sync/atomic"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
)

// Live is one sitting at an instrument. The actors:
//
//	source goroutine   stamps events, sends them to events; waits, or counts what does not fit
//	owner goroutine    owns the Pipeline; takes events, actions and time; publishes snapshots
//	any goroutine      Do, Latest, Changed
//
// An instrument never waits: events holds enough for seconds of the densest
// input, and what does not fit is counted and shown. A source that says that it
// waits, a pipe, loses nothing however fast it is.
type Live struct {
	o       LiveOptions
	pipe    *Pipeline
	start   time.Time
	events  chan midiin.Event
	actions chan Action
	changed chan struct{}
	latest  atomic.Pointer[Snapshot]
	lost    atomic.Int64
	last    time.Duration // newest time told to the pipeline
	beat    time.Duration // of the newest pulse handed out
}

// Recorder keeps a take. Its methods never block, but for Ready.
type Recorder interface {
	Event(e midiin.Event)
	Action(at time.Duration, text string)
	// Status is the file being written and what is wrong with saving, "" if nothing.
	Status() (path, warning string)
	// Changed is rung after each change of Status; one slot.
	Changed() <-chan struct{}
	// Ready waits, for the source's goroutine where that may wait, until enough has
	// been written that what is on its way finds room; not for a disk that fails,
	// nor when ctx is done.
	Ready(ctx context.Context)
}

// LiveOptions is what a sitting is made of. Source is required.
type LiveOptions struct {
	Setup    Setup
	Source   midiin.Source
	Recorder Recorder // nil when nothing is saved
	Foot     Foot
	// Screen takes the actions that are the screen's own, and Hold, Swap and Forget
	// in a practice, to be answered there; may be nil.
	Screen func(Action)
	Now    func() time.Time

	Practice Plan        // nil in a sitting without practice
	Beat     func(Pulse) // rings or clicks; must not block; may be nil
	// Played is what was played on the days before Day, and on Day itself; Day
	// counts from 1 January 1970. With them a sudden increase is said.
	Played []coach.Load
	Day    int
}

const (
	eventRoom  = 1 << 16 // six seconds of ten saturated cables
	actionRoom = 64
	// frameTime is the least time between two snapshots under load: a screen
	// that draws every few milliseconds shows hardly older ones. Where making one
	// takes long, the next waits for frameShare times as long.
	frameTime  = time.Millisecond / 4
	frameShare = 5
)

// Tick is the grain of a take; all times are multiples of it, so that a take read
// again gives the same answers.
const Tick = 100 * time.Microsecond

// NewLive returns a sitting that Run starts.
func NewLive(o LiveOptions) *Live {
	if o.Now == nil {
		o.Now = time.Now
	}
	l := &Live{
		o: o, pipe: NewPipeline(o.Setup), events: make(chan midiin.Event, eventRoom),
		actions: make(chan Action, actionRoom), changed: make(chan struct{}, 1),
	}
	l.beat = -1
	l.pipe.mind(o.Played, o.Day)
	if o.Practice != nil {
		l.pipe.practise(o.Practice)
	}
	l.publish()
	return l
}

// Do asks for an action. It never blocks; actions beyond what anyone can press
// are ignored.
func (l *Live) Do(a Action) {
	select {
	case l.actions <- a:
	default:
	}
}

// Latest is the newest snapshot, never nil.
func (l *Live) Latest() *Snapshot { return l.latest.Load() }

// Changed is rung after each new snapshot. One slot: a slow reader misses
// rings, never the newest snapshot.
func (l *Live) Changed() <-chan struct{} { return l.changed }

// Practised are the practices that came to their end, oldest first; only after
// Run has returned.
func (l *Live) Practised() []Practice {
	if l.pipe.practice == nil {
		return nil
	}
	return l.pipe.practice.results
}

// Start is when Run began.
func (l *Live) Start() time.Time { return l.start }

// Pipeline is the sitting's pipeline; only after Run has returned.
func (l *Live) Pipeline() *Pipeline { return l.pipe }

// Run plays the sitting until the source ends, fails or ctx is done, and
// settles everything. Its error is the source's, or a *CrashError; after that
// the Pipeline may be in any state, but the Recorder has all that came before
// and after the event that crashed it.
func (l *Live) Run(ctx context.Context) error {
	l.start = l.o.Now()
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	done := make(chan error, 1)
	go func() { done <- l.listen(ctx) }()
	err := l.sit(done)
	if l.o.Recorder != nil {
		for range len(l.events) { // what had come at a crash; more may come for ever
			e := <-l.events
			e.At = l.stamp(e.At)
			l.o.Recorder.Event(e)
		}
	}
	return err
}

// listen runs the source.
func (l *Live) listen(ctx context.Context) (err error) {
	defer Catch("the input", &err)
	source, ok := l.o.Source.(midiin.Waiter)
	waits := ok && source.Waits()
	err = l.o.Source.Run(ctx, func(e midiin.Event) {
		if waits && l.o.Recorder != nil {
			l.o.Recorder.Ready(ctx)
		}
		select {
		case l.events <- e:
			return
		default:
		}
		if waits {
			select {
			case l.events <- e:
				return
			case <-ctx.Done():
			}
		}
		l.lost.Add(1)
	})
	return Crashed("the input", err)
}

// sit runs the owner from the first event to the last answer.
func (l *Live) sit(done <-chan error) (err error) {
	defer Catch("the sitting", &err)
	err = l.own(done)
	at := l.time()
	_, waits := l.pipe.cleaner.Deadline()
	if l.o.Recorder != nil && (waits || len(l.pipe.playing) > 0) { // nothing else tells how long
		l.o.Recorder.Event(midiin.Event{At: at, Kind: midiin.Text, Text: endedText})
	}
	l.pipe.End(at)
	l.publish()
	return err
}

// own is the owner's loop: take one thing, then all that has come meanwhile,
// then publish.
func (l *Live) own(done <-chan error) error {
	alarm := time.NewTimer(time.Hour)
	defer alarm.Stop()
	var next time.Time // no snapshot before
	waiting := false   // one is due then
	var saving <-chan struct{}
	if l.o.Recorder != nil {
		saving = l.o.Recorder.Changed()
	}
	for {
		l.setAlarm(alarm, waiting, next)
		select {
		case e := <-l.events:
			l.event(e)
		case a := <-l.actions:
			l.do(a)
		case <-alarm.C:
			l.pipe.Advance(l.time())
			l.recordIssued()
		case <-saving:
		case err := <-done:
			for len(l.events)+len(l.actions) > 0 {
				l.drain()
			}
			return err
		}
		l.drain()
		l.pulse()
		now := l.o.Now()
		if waiting = now.Before(next); !waiting {
			l.publish()
			next = now.Add(max(frameTime, frameShare*l.o.Now().Sub(now)))
		}
	}
}

// drainTime keeps a flood from holding up the screen.
const drainTime = 2 * time.Millisecond

// drain takes what waits, for drainTime at most.
func (l *Live) drain() {
	for began := l.o.Now(); l.o.Now().Sub(began) < drainTime; {
		select {
		case e := <-l.events:
			l.event(e)
		case a := <-l.actions:
			l.do(a)
		default:
			return
		}
	}
}

func (l *Live) setAlarm(alarm *time.Timer, waiting bool, next time.Time) {
	wait := time.Hour
	if at, ok := l.pipe.Deadline(); ok {
		wait = max(0, at-l.o.Now().Sub(l.start)) + Tick
	}
	if waiting {
		wait = min(wait, max(0, next.Sub(l.o.Now())))
	}
	alarm.Reset(wait)
}

// time is the sitting's clock at the grain of a take; it never goes back.
func (l *Live) time() time.Duration { return l.stamp(l.o.Now().Sub(l.start)) }

// stamp brings an arrival to the grain of a take, and to what the pipeline has
// been told already: an event may wait behind a tick of the clock.
func (l *Live) stamp(at time.Duration) time.Duration {
	l.last = max(l.last, at.Truncate(Tick))
	return l.last
}

func (l *Live) event(e midiin.Event) {
	e.At = l.stamp(e.At)
	l.pipe.Advance(e.At)
	l.recordIssued() // what time brings takes effect before the event, what the event brings after it
	l.pipe.Event(e)
	if l.o.Recorder != nil {
		l.o.Recorder.Event(e)
	}
	l.recordIssued()
	if a, ok := l.o.Foot.press(e); ok {
		l.do(a)
	}
}

func (l *Live) do(a Action) {
	if a.Kind == FarView || a.Kind == Bell || a.Kind.idle() && l.pipe.practice != nil {
		if l.o.Screen != nil {
			l.o.Screen(a)
		}
		return
	}
	at := l.time()
	l.pipe.Advance(at)
	text := l.pipe.Do(a)
	l.recordIssued()
	if text != "" && l.o.Recorder != nil {
		l.o.Recorder.Action(at, text)
	}
}

// pulse hands a new beat out.
func (l *Live) pulse() {
	b := l.pipe.practice.beat(l.pipe.now)
	if b.Beat == 0 || b.At == l.beat {
		return
	}
	l.beat = b.At
	if l.o.Beat != nil {
		l.o.Beat(b)
	}
}

// recordIssued puts into the take what the pipeline commanded itself.
func (l *Live) recordIssued() {
	for _, c := range l.pipe.takeIssued() {
		if l.o.Recorder != nil {
			l.o.Recorder.Action(c.at, c.text)
		}
	}
}

func (l *Live) publish() {
	s := l.pipe.Snapshot()
	if gone := l.pipe.gone; gone != "" {
		s.Warning = gone + " is gone: waiting for it to come back"
	}
	s.Source = l.o.Source.Name()
	s.Lost = int(l.lost.Load())
	if c, ok := l.o.Source.(midiin.Counter); ok {
		s.Lost += c.Lost()
	}
	if l.o.Recorder != nil {
		path, warning := l.o.Recorder.Status()
		s.TakePath = path
		if s.Warning == "" {
			s.Warning = warning
		}
	}
	l.latest.Store(s)
	select {
	case l.changed <- struct{}{}:
	default:
	}
}
