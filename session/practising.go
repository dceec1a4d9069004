package session

import (
	"time"

	"stillhand/coach"
)

// Plan makes the next practice of a sitting with its count-in at start. before
// are those that are over, oldest first. It must return the same practice for
// the same arguments.
type Plan func(start time.Duration, before []Practice) Practice

// Awaited is what a sitting at practice waits for.
type Awaited uint8

const (
	AwaitsNothing Awaited = iota
	AwaitsNote            // a note, or Again, begins the count-in
	AwaitsAnswer          // Easy or NotEasy, of a window
	AwaitsKeep            // Easy to keep what was found, NotEasy to ask again
)

const (
	// sometime is a start that has not been fixed.
	sometime = time.Duration(1 << 61)
	// againAfter is the silence after a result from which on the next note
	// begins again. Long enough to read the result, and to go on playing
	// without setting the beat off (ours).
	againAfter = 5 * time.Second
	// answerWait is how long after the last note that a practice asks for its
	// notes are settled: a last note may ring for long, and the player wants to
	// see the result (ours: a rest's length).
	answerWait = coach.PassageGap
)

// practising runs the practices of one sitting, one after another. With both
// hands on the instrument a player has no hand for a key: where there is a
// beat, a note begins the count-in, and after a result a note that follows a
// silence of againAfter. That note is the first beat: a player who counts it and
// one who follows the screen then begin together.
type practising struct {
	plan     Plan
	command  func(command) // carries out and records
	on       Practice      // nil before the first note
	results  []Practice    // those that came to their end
	overAt   time.Duration // of on, once Done
	over     bool
	answered bool          // everything was settled for on
	judged   int           // estimates told
	quiet    time.Duration // last release
	sounding bool
	gone     bool // the input is
}

func newPractising(plan Plan, do func(command)) *practising {
	p := &practising{plan: plan, command: do}
	if plan(0, nil).Clock().Beats == 0 { // nothing to count in
		p.begin(0)
	}
	return p
}

// note takes note number index.
func (p *practising) note(index int, n coach.Note) {
	if p == nil {
		return
	}
	p.tick(n.At)
	switch {
	case p.on == nil, p.over && p.ready(n.At):
		p.begin(n.At)
	default:
		p.on.Note(index, n)
		p.check(n.At)
	}
	p.sounding = true
}

// sounds notes whether anything sounds, and since when not.
func (p *practising) sounds(any bool, quiet time.Duration) {
	if p != nil {
		p.sounding, p.quiet = any, quiet
	}
}

// input notes that the input went or came back.
func (p *practising) input(gone bool, at time.Duration) {
	if p == nil || p.gone == gone {
		return
	}
	p.gone = gone
	switch o, ok := p.on.(outage); {
	case !ok || p.over:
	case gone:
		o.Lost(at)
	default:
		o.Found(at)
	}
}

// outage is a practice that must know when the input went and came back.
type outage interface {
	Lost(at time.Duration)
	Found(at time.Duration)
}

// settled takes an estimate. When strings are found, earlier notes settle
// again: their first estimates stand.
func (p *practising) settled(n coach.Note, e coach.Estimate) {
	if p == nil || e.Note < p.judged {
		return
	}
	p.judged = e.Note + 1
	if p.on != nil {
		p.on.Settled(n, e)
		p.check(e.At)
	}
}

func (p *practising) tick(now time.Duration) {
	if p != nil && p.on != nil {
		p.on.Tick(now)
		p.check(now)
	}
}

// due is when the notes of a practice that asks for no more are settled.
func (p *practising) due() (time.Duration, bool) {
	if p == nil || p.on == nil || p.over || p.answered {
		return 0, false
	}
	at, ok := p.on.Complete()
	return at + answerWait, ok
}

// answer has them settled once that is due. The take must hold the command where
// it takes effect, so no note may come between now and what is told next.
func (p *practising) answer(now time.Duration) {
	if at, ok := p.due(); ok && now >= at {
		p.answered = true
		p.command(command{verb: settle})
	}
}

// check notices that the practice has come to its end.
func (p *practising) check(now time.Duration) {
	if !p.over && p.on.Done() {
		p.over, p.overAt = true, max(p.overAt, now)
		p.results = append(p.results, p.on)
	}
}

// ready reports whether a note at this time would begin again.
func (p *practising) ready(at time.Duration) bool {
	return p.on.Clock().Beats > 0 && !p.sounding && at >= max(p.overAt, p.quiet)+againAfter
}

func (p *practising) begin(start time.Duration) {
	p.on, p.over, p.answered, p.overAt = p.plan(start, p.results), false, false, start
	if o, ok := p.on.(outage); ok && p.gone {
		o.Lost(start)
	}
	if position, from, to := p.on.Hand(); position > 0 {
		p.command(command{verb: handIn, position: position, from: from, to: to})
	}
}

// do carries out an action that is practice's own.
func (p *practising) do(a Action, now time.Duration) {
	switch a.Kind {
	case Again:
		p.begin(now)
	case Easy, NotEasy:
		if r, ok := p.on.(*ReachPractice); ok {
			r.Answer(a.Kind == Easy)
			p.check(now)
		}
	}
}

// end leaves a practice that has not come to its end; it is no result.
func (p *practising) end() {
	if p != nil && p.on != nil && !p.over {
		p.on.End()
		p.over = true
	}
}

// deadline is the next time at which a Tick is due, in notes' time.
func (p *practising) deadline() (time.Duration, bool) {
	if p == nil || p.on == nil {
		return 0, false
	}
	at, ok := p.on.Next()
	if due, any := p.due(); any && (!ok || due < at) {
		at, ok = due, true
	}
	return at, ok
}

// pulse is the next time at which the picture changes by itself.
func (p *practising) pulse(now time.Duration) (time.Duration, bool) {
	if p == nil || p.on == nil {
		return 0, false
	}
	if !p.over {
		if m := p.on.Clock(); m.Beats > 0 {
			return m.Next(now)
		}
		return 0, false
	}
	at := max(p.overAt, p.quiet) + againAfter
	return at, !p.sounding && at > now
}

// beat is the beat that holds at now; Beat is 0 when none does.
func (p *practising) beat(now time.Duration) Pulse {
	if p == nil || p.on == nil || p.over {
		return Pulse{}
	}
	if m := p.on.Clock(); m.Beats > 0 && now < m.End() {
		return m.Pulse(now)
	}
	return Pulse{}
}

func (p *practising) view(now time.Duration) *Round {
	switch {
	case p == nil:
		return nil
	case p.on == nil:
		v := p.plan(sometime, p.results).View(now)
		v.Awaits = AwaitsNote
		return v
	}
	v := p.on.View(now)
	if p.over && p.ready(now) {
		v.Awaits = AwaitsNote
	}
	return v
}
