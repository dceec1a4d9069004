package session

import (
	"strconv"
	"strings"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
)

// Markers of a take that say when its input was gone and back; the input's
// name follows.
const (
	LostMarker  = "lost "
	FoundMarker = "found "
)

// UnsavedText begins the text of a take that says how many events are missing
// before it because they could not be kept; the number follows.
const UnsavedText = "unsaved="

// endedText stands in a take where the sitting ended while a note still sounded.
const endedText = "ended"

// OnHold is why a note played while counting was on hold is left out.
const OnHold midiin.DropReason = "on hold"

// earlyMost bounds what is kept to be read again once the strings are known.
const earlyMost = 4096

// Pipeline turns events into answers, one event at a time: clean, map to
// strings, track, count, advise.
//
// Feed it with Event in order of time, Advance whenever time passes without
// events, and End once. Its answers depend on the events alone, never on when
// or how often Advance is called, so that live, replay and review agree. One
// goroutine owns a Pipeline.
type Pipeline struct {
	setup    Setup
	cleaner  *midiin.Cleaner
	strings  midiin.StringMap
	channels string        // strings in words
	told     bool          // the input tells the string
	reread   time.Duration // up to when what was told was read again for it
	early    []step        // what the coach side was told from the start, to be read again
	full     bool          // nothing is kept: it was more than earlyMost, or no strings are looked for

	now      time.Duration
	owned    bool // the events are a take of our own
	ended    bool
	dropped  newest[midiin.Dropped]
	onHold   int // of them, played on hold
	marks    newest[mark]
	warnings newest[string]
	gone     string // what is unplugged now
	heardOn  uint16 // channels of the notes kept, a bit each
	signed   signed
	placed   Placed
	issued   []issued

	hand
}

// mark is one mark of the player, or one marker of a file.
type mark struct {
	at   time.Duration
	text string
}

// issued is a command that the pipeline gave itself.
type issued struct {
	at   time.Duration
	text string
}

// NewPipeline returns a pipeline at time 0.
func NewPipeline(s Setup) *Pipeline {
	p := &Pipeline{
		setup: s, told: s.Strings.Told(), hand: newHand(s),
		dropped: newestOf[midiin.Dropped](s.Keep), marks: newestOf[mark](s.Keep), warnings: newestOf[string](s.Keep),
	}
	p.cleaner = midiin.NewCleaner(midiin.CleanerOptions{
		Open: s.Neck.Open, Frets: s.Neck.Frets, Mode: s.Mode, Strings: s.Strings, Octave: s.Octave,
	}, (*listener)(p))
	p.full = !p.cleaner.Seeks() // nothing will be read again
	return p
}

// Event takes the next event. Its time may equal the last one's, never
// precede it.
func (p *Pipeline) Event(e midiin.Event) {
	p.Advance(e.At)
	switch e.Kind {
	case midiin.Message:
		p.cleaner.Event(e)
	case midiin.Text:
		p.owned = p.owned || e.Text == midiin.TakeMark // only then are markers the player's actions
		if n, ok := strings.CutPrefix(e.Text, UnsavedText); ok && p.owned {
			p.unsaved(n, e.At)
		}
	case midiin.Marker:
		p.marker(e)
	case midiin.Lost:
		p.cleaner.End(e.At) // what sounded when the cable came out has ended
		p.gone = e.Text
		p.practice.input(true, e.At)
		p.warn("input lost at " + ClockText(e.At) + ": " + e.Text)
	case midiin.Found:
		p.gone = ""
		p.practice.input(false, e.At)
	}
}

// marker reads a take's own markers as what happened in the sitting; any other
// file's are marks.
func (p *Pipeline) marker(e midiin.Event) {
	if p.owned {
		if c, ok := parseCommand(e.Text); ok {
			p.do(c)
			return
		}
		if name, ok := strings.CutPrefix(e.Text, LostMarker); ok {
			p.Event(midiin.Event{At: e.At, Kind: midiin.Lost, Text: name})
			return
		}
		if name, ok := strings.CutPrefix(e.Text, FoundMarker); ok {
			p.Event(midiin.Event{At: e.At, Kind: midiin.Found, Text: name})
			return
		}
	}
	p.marks.add(mark{e.At, e.Text})
}

// unsaved warns of a hole in a take.
func (p *Pipeline) unsaved(events string, at time.Duration) {
	if n, err := strconv.Atoi(events); err == nil {
		p.warn(coach.Many(n, "event") + " before " + ClockText(at) + " could not be saved: what was played there is missing")
	}
}

// Advance lets time pass up to now.
func (p *Pipeline) Advance(now time.Duration) {
	if now <= p.now || p.ended {
		return
	}
	p.now = now
	p.cleaner.Advance(now)
	p.hand.advance(p.cleaner.Safe(now))
	p.practice.tick(p.cleaner.Safe(now))
	p.practice.answer(p.cleaner.Safe(now))
}

// Deadline is the next time at which Advance would change an answer, if any.
func (p *Pipeline) Deadline() (time.Duration, bool) {
	at, ok := p.cleaner.Deadline()
	sooner := func(d time.Duration, any bool) {
		if any && (!ok || d < at) {
			at, ok = d, true
		}
	}
	// The hand waits for the cleaner: what is safe lags behind the clock.
	lag := p.now - p.cleaner.Safe(p.now)
	d, any := p.hand.deadline()
	sooner(d+lag, any)
	d, any = p.practice.deadline()
	sooner(d+lag, any)
	sooner(p.practice.pulse(p.now))
	sooner(p.signed.deadline(p.now))
	sooner(p.display().minute.deadline(p.now))
	return at, ok
}

// practise makes the sitting one of practice. Call it before the first event.
func (p *Pipeline) practise(plan Plan) {
	p.practice = newPractising(plan, func(c command) {
		p.do(c)
		p.issued = append(p.issued, issued{p.now, c.text()})
	})
}

// mind has care speak at rests; log is what was played on the days before day,
// and on day itself. Call it before the first event.
func (p *Pipeline) mind(log []coach.Load, day int) { p.care = newCare(log, day) }

// takeIssued hands over what the pipeline has commanded itself since, for the
// take: reading the take gives the same commands.
func (p *Pipeline) takeIssued() []issued {
	all := p.issued
	p.issued = nil
	return all
}

// End settles everything; the last events were at or before at.
func (p *Pipeline) End(at time.Duration) {
	if p.ended {
		return
	}
	p.Advance(at)
	p.cleaner.End(at)
	p.hand.end(at)
	p.practice.tick(at)
	p.practice.end()
	p.ended = true
}

// Do carries out an action at the current time and returns the marker that
// stands for it in a take; "" if there is nothing to do.
func (p *Pipeline) Do(a Action) string {
	switch a.Kind {
	case Again, Easy, NotEasy:
		if p.practice != nil {
			p.practice.do(a, p.now)
		}
		return ""
	}
	c, ok := p.resolve(a)
	if a.Kind == Anchor || a.Kind == Correct {
		p.placed = Placed{p.placed.Times + 1, c.position}
	}
	if !ok {
		return ""
	}
	p.do(c)
	return c.text()
}

// resolve makes an action independent of what is on the screen.
func (p *Pipeline) resolve(a Action) (command, bool) {
	if p.practice != nil && a.Kind.idle() {
		return command{}, false
	}
	switch a.Kind {
	case Mark:
		return command{verb: putMark}, true
	case Hold:
		if p.held {
			return command{verb: holdOff}, true
		}
		return command{verb: holdOn}, true
	case Swap:
		return command{verb: fingers, system: p.system.Other()}, true
	case Forget:
		return command{verb: forget}, true
	case Anchor, Correct:
		at := a.Value
		if a.Kind == Correct || at == 0 {
			shown := p.hand.shown().Position
			if shown == 0 {
				return command{}, false
			}
			at = shown
			if a.Kind == Correct {
				at += a.Value
			}
		}
		return command{verb: handAt, position: min(max(at, 1), p.hand.last())}, true
	}
	return command{}, false
}

func (p *Pipeline) do(c command) {
	if c.verb == putMark {
		p.marks.add(mark{p.now, "mark"})
	} else {
		p.remember(step{cmd: &c, at: p.hand.now})
		p.hand.do(c)
	}
	p.sign(c)
}

// warn keeps a warning once.
func (p *Pipeline) warn(text string) {
	for _, w := range p.warnings.kept {
		if w == text {
			return
		}
	}
	p.warnings.add(text)
}

// step is one thing that the coach side was told: a note, a release or a
// command.
type step struct {
	note    *midiin.Note
	cmd     *command
	release int // id of the note released
	at      time.Duration
}

func (p *Pipeline) remember(s step) {
	switch {
	case p.full:
	case len(p.early) == earlyMost:
		p.early, p.full = nil, true
	default:
		p.early = append(p.early, s)
	}
}

// rereadStays is how long a screen says that the notes so far were read again,
// since the hand it shows may have jumped (ours).
const rereadStays = 10 * time.Second

// listener is the Pipeline as the cleaner sees it.
type listener Pipeline

func (l *listener) Note(n midiin.Note) {
	p := (*Pipeline)(l)
	if !p.full {
		kept := n
		p.remember(step{note: &kept, at: n.At})
	}
	p.heardOn |= 1 << n.Channel
	index := p.record.len()
	if p.setup.unseen && p.apart == nil && index >= apartFrom {
		p.part()
	}
	p.care.note(n.At)
	if p.hand.note(n) {
		p.practice.note(index, translate(n))
	} else {
		p.onHold++
		p.dropped.add(midiin.Dropped{At: n.At, Channel: n.Channel, Pitch: n.Pitch, Reason: OnHold})
	}
}

func (l *listener) Release(id int, at time.Duration) {
	p := (*Pipeline)(l)
	p.remember(step{release: id, at: at})
	p.hand.release(id, at)
}

func (l *listener) Drop(d midiin.Dropped) { l.dropped.add(d) }

// StringsFound reads everything so far again, each note with its string; a
// later map may replace an earlier one. After too long a time the notes so far
// stay as they were read.
func (l *listener) StringsFound(m midiin.StringMap) {
	p := (*Pipeline)(l)
	p.strings, p.channels, p.told = m, p.setup.Strings.Describe(m), true
	if p.setup.Strings.Told() {
		return // every note came with its string
	}
	if p.full {
		return
	}
	practice, care, room := p.practice, p.care, p.record.notes[:0]
	p.hand = newHand(p.setup)
	p.practice, p.care, p.record.notes = practice, care, room
	for _, s := range p.early {
		p.reread = s.at
		switch {
		case s.cmd != nil:
			p.hand.advance(s.at)
			p.hand.do(*s.cmd)
		case s.note != nil:
			n := *s.note
			n.String = m.String(n.Channel, n.Pitch)
			p.hand.note(n)
		default:
			p.hand.release(s.release, s.at)
		}
	}
}

// Habits are what the tracker has learnt of the player so far.
func (p *Pipeline) Habits() coach.Habits { return p.tracker.Habits() }
