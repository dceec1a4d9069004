package session

import (
	"context"
	"math"
	"slices"
	"sort"
	"sync/atomic"
	"time"

	"stillhand/midiin"
)

// speeds are the rates at which a recording can be played back.
var speeds = []float64{0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4}

// Player plays a recording back over the same pipeline that live playing goes
// through. A jump back makes the pipeline anew and feeds it up to the new
// time, so that the answers are the same at every speed and after every jump.
type Player struct {
	setup  Setup
	name   string
	events []midiin.Event
	length time.Duration
	bar    func(time.Duration) (int, float64, bool)

	shifts, advice, marks []time.Duration
	passages              passages

	pipe     *Pipeline
	next     int // index of the next event
	said     []said
	nextSaid int
	at       time.Duration
	last     time.Time // when time was last made to pass

	playing          bool
	speed            int // index into speeds
	loop             bool
	loopFrom, loopTo time.Duration
	warning          string
	answer           string // to what was asked for last, where nothing is shown to move

	actions chan Action
	changed chan struct{}
	latest  atomic.Pointer[Snapshot]
	now     func() time.Time
}

// said is what a viewer asked for at one moment of the recording. It is asked
// for again whenever playback passes there, so that a jump changes no answer.
type said struct {
	at  time.Duration
	cmd command
}

// PlayerOptions is what a playback is made of.
type PlayerOptions struct {
	Setup   Setup
	Name    string
	Events  []midiin.Event // in order of time; not written
	Length  time.Duration
	Bar     func(at time.Duration) (bar int, beat float64, ok bool) // see midiin.File.Bar; may be nil
	Speed   float64                                                 // 0 is 1; the nearest speed on offer is taken
	Warning string                                                  // shown until something else is
	Now     func() time.Time                                        // nil is time.Now
}

// NewPlayer returns a player at time 0, playing once Run is called. It reads the
// whole recording for the position bar, as far as it comes before ctx is done.
func NewPlayer(ctx context.Context, o PlayerOptions) *Player {
	if o.Now == nil {
		o.Now = time.Now
	}
	p := &Player{
		setup: o.Setup, name: o.Name, events: o.Events, length: o.Length, bar: o.Bar, warning: o.Warning,
		playing: true, now: o.Now,
		actions: make(chan Action, actionRoom), changed: make(chan struct{}, 1),
	}
	if o.Speed == 0 {
		o.Speed = 1
	}
	p.speed = sort.SearchFloat64s(speeds, o.Speed)
	p.speed = min(p.speed, len(speeds)-1)
	p.survey(ctx)
	p.restart()
	p.publish()
	return p
}

// surveyed is how many events are surveyed between two looks at the context: a few
// milliseconds.
const surveyed = 1024

// survey reads the whole recording once for the position bar.
func (p *Player) survey(ctx context.Context) {
	whole := NewPipeline(p.setup)
	for i, e := range p.events {
		if i%surveyed == 0 && ctx.Err() != nil {
			return
		}
		whole.Event(e)
	}
	whole.End(p.length)
	p.passages = passagesOf(whole.record.notes)
	for _, s := range whole.record.shifts {
		p.shifts = append(p.shifts, duration(s.At))
	}
	for _, a := range whole.record.advice {
		p.advice = append(p.advice, duration(a.From))
	}
	for _, m := range whole.marks.kept {
		p.marks = append(p.marks, m.at)
	}
}

// duration is a time of the record. The last one that there is, as a file may
// have it, comes back from there rounded up.
func duration(seconds float64) time.Duration {
	if ns := seconds * float64(time.Second); ns < math.MaxInt64 {
		return time.Duration(ns)
	}
	return math.MaxInt64
}

// Do asks for an action; it never blocks.
func (p *Player) Do(a Action) {
	select {
	case p.actions <- a:
	default:
	}
}

// Latest is the newest snapshot, never nil.
func (p *Player) Latest() *Snapshot { return p.latest.Load() }

// Whole is the newest snapshot with the figures of all that was played, whatever
// was restarted on the screen; only after Run has returned.
func (p *Player) Whole() *Snapshot { return p.pipe.Whole(p.Latest()) }

// Changed is rung after each new snapshot; one slot.
func (p *Player) Changed() <-chan struct{} { return p.changed }

// playTick is how often time is shown to pass while a recording plays.
const playTick = 33 * time.Millisecond

// Run plays until ctx is done. At the end of the recording it holds. Its only
// error is a *CrashError.
func (p *Player) Run(ctx context.Context) (err error) {
	defer Catch("the playback", &err)
	alarm := time.NewTimer(0)
	defer alarm.Stop()
	p.last = p.now()
	for {
		select {
		case <-ctx.Done():
			return nil
		case a := <-p.actions:
			p.pass()
			p.do(a)
		case <-alarm.C:
			p.pass()
		}
		p.publish()
		wait := time.Hour
		if p.playing {
			wait = playTick
			if p.next < len(p.events) {
				wait = min(wait, time.Duration(float64(p.events[p.next].At-p.at)/speeds[p.speed]))
			}
		}
		alarm.Reset(max(wait, time.Millisecond))
	}
}

// pass moves the recording on by the time gone since it was moved on last.
func (p *Player) pass() {
	now := p.now()
	gone := now.Sub(p.last)
	p.last = now
	if !p.playing {
		return
	}
	to := p.at + time.Duration(float64(gone)*speeds[p.speed])
	if p.loop && to >= p.loopTo {
		p.jump(p.loopFrom)
		return
	}
	p.feed(to)
}

// feed takes the pipeline forward to time to.
func (p *Player) feed(to time.Duration) {
	to = min(to, p.length)
	for {
		event := p.next < len(p.events) && p.events[p.next].At <= to
		asked := p.nextSaid < len(p.said) && p.said[p.nextSaid].at <= to && p.said[p.nextSaid].at < p.length
		if event && (!asked || p.events[p.next].At <= p.said[p.nextSaid].at) {
			p.pipe.Event(p.events[p.next])
			p.next++
		} else if asked {
			p.pipe.Advance(p.said[p.nextSaid].at)
			p.pipe.do(p.said[p.nextSaid].cmd)
			p.nextSaid++
		} else {
			break
		}
	}
	p.pipe.Advance(to)
	p.at = to
	if to >= p.length {
		p.pipe.End(p.length)
		for ; p.nextSaid < len(p.said); p.nextSaid++ { // said when all was over
			p.pipe.do(p.said[p.nextSaid].cmd)
		}
		p.playing = false
	}
}

func (p *Player) restart() {
	p.pipe, p.next, p.nextSaid, p.at = NewPipeline(p.setup), 0, 0, 0
}

// jump goes to time to, forward or back. The time that this takes is not played:
// what begins at to would lack its start.
func (p *Player) jump(to time.Duration) {
	to = min(max(to, 0), p.length)
	if to < p.at {
		p.restart()
	}
	p.feed(to)
	p.last = p.now()
}

// loopHere makes the passage that plays, or played last, the one that loops.
func (p *Player) loopHere() {
	p.loopFrom, p.loopTo = p.passages.around(p.at, p.length)
}

// jumpTo goes to the next of times, or answers that there is none.
func (p *Player) jumpTo(times []time.Duration, what string) {
	p.jumpOn(after(times, p.at, -1), len(times), what)
}

// jumpOn goes to time to, or answers where it is -1 that there is none after
// now, or none at all.
func (p *Player) jumpOn(to time.Duration, all int, what string) {
	switch {
	case all == 0:
		p.answer = "no " + what + " at all"
	case to < 0:
		p.answer = "no further " + what
	default:
		p.jump(to)
	}
}

func (p *Player) do(a Action) {
	p.answer = ""
	defer func() {
		if p.loop && (p.at < p.loopFrom || p.at >= p.loopTo) { // the loop goes along with a jump
			p.loopHere()
		}
	}()
	switch a.Kind {
	case Pause:
		if !p.playing && p.at >= p.length {
			from := time.Duration(0)
			if p.loop {
				from = p.loopFrom
			}
			p.jump(from)
		}
		p.playing = !p.playing
	case Faster:
		p.speed = min(p.speed+1, len(speeds)-1)
	case Slower:
		p.speed = max(p.speed-1, 0)
	case Back:
		// Within the first half second of a passage, back means the one before.
		p.jump(p.passages.stopBefore(p.at - 500*time.Millisecond))
	case Forward:
		p.jumpOn(p.passages.stopAfter(p.at, -1), len(p.passages), "passage")
	case NextShift:
		p.jumpTo(p.shifts, "shift")
	case NextAdvice:
		p.jumpTo(p.advice, "advice")
	case NextMark:
		if after(p.marks, p.at, -1) < 0 && len(p.marks) > 0 {
			p.jump(p.marks[0])
			break
		}
		p.jumpTo(p.marks, "mark")
	case Loop:
		p.loop = !p.loop
		p.loopHere()
	default:
		if c, ok := p.pipe.resolve(a); ok {
			p.said = slices.Insert(p.said, p.nextSaid, said{p.at, c})
			p.nextSaid++
			p.pipe.do(c)
		}
	}
}

// after is the first of times after t, or none.
func after(times []time.Duration, t, none time.Duration) time.Duration {
	i, found := slices.BinarySearch(times, t)
	for found && i < len(times) && times[i] == t {
		i++
	}
	if i == len(times) {
		return none
	}
	return times[i]
}

func (p *Player) publish() {
	s := p.pipe.Snapshot()
	s.Source, s.Warning = p.name, p.warning
	if gone := p.pipe.gone; gone != "" {
		s.Warning = "the input was lost here: " + gone
	}
	s.Replay = &Replay{
		Playing: p.playing, Speed: speeds[p.speed], At: p.at, Length: p.length,
		Shifts: p.shifts, Advice: p.advice, Marks: p.marks,
		Loop: p.loop, LoopFrom: p.loopFrom, LoopTo: p.loopTo, Answer: p.answer,
	}
	if p.bar != nil {
		if bar, beat, ok := p.bar(p.at); ok {
			s.Replay.Bar, s.Replay.Beat = bar, int(beat)
		}
	}
	p.latest.Store(s)
	select {
	case p.changed <- struct{}{}:
	default:
	}
}
