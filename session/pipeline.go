package session

import (
	"strings"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
)

// takeMark is the text event that opens a take of our own: only then are
// markers read as the player's actions.
const takeMark = "stillhand-take 1"

// Markers of a take that say when its input was gone and back; the input's
// name follows.
const (
	LostMarker  = "lost "
	FoundMarker = "found "
)

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
	setup   Setup
	cleaner *midiin.Cleaner
	strings midiin.StringMap
	told    bool   // the input tells the string
	early   []step // what the coach side was told before that, to be read again

	now      time.Duration
	owned    bool // the events are a take of our own
	ended    bool
	dropped  []midiin.Dropped
	marks    []mark
	warnings []string
	gone     string // what is unplugged now

	hand
}

// mark is one mark of the player, or one marker of a file.
type mark struct {
	at   time.Duration
	text string
}

// NewPipeline returns a pipeline at time 0.
func NewPipeline(s Setup) *Pipeline {
	p := &Pipeline{setup: s, told: s.Strings.Told(), hand: newHand(s)}
	p.cleaner = midiin.NewCleaner(midiin.CleanerOptions{
		Open: s.Neck.Open, Frets: s.Neck.Frets, Mode: s.Mode, Strings: s.Strings, Octave: s.Octave,
	}, (*listener)(p))
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
		p.owned = p.owned || e.Text == takeMark
	case midiin.Marker:
		p.marker(e)
	case midiin.Lost:
		p.gone = e.Text
		p.warn("input lost at " + ClockText(e.At) + ": " + e.Text)
	case midiin.Found:
		p.gone = ""
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
	p.marks = append(p.marks, mark{e.At, e.Text})
}

// Advance lets time pass up to now.
func (p *Pipeline) Advance(now time.Duration) {
	if now <= p.now || p.ended {
		return
	}
	p.now = now
	p.cleaner.Advance(now)
	p.hand.advance(p.cleaner.Safe(now))
}

// Deadline is the next time at which Advance would change an answer, if any.
func (p *Pipeline) Deadline() (time.Duration, bool) {
	at, ok := p.cleaner.Deadline()
	if d, any := p.hand.deadline(); any {
		// The hand waits for the cleaner: what is safe lags behind the clock.
		d += p.now - p.cleaner.Safe(p.now)
		if !ok || d < at {
			at, ok = d, true
		}
	}
	return at, ok
}

// End settles everything; the last events were at or before at.
func (p *Pipeline) End(at time.Duration) {
	if p.ended {
		return
	}
	p.Advance(at)
	p.cleaner.End(at)
	p.hand.end(at)
	p.ended = true
}

// Do carries out an action at the current time and returns the marker that
// stands for it in a take; "" if there is nothing to do.
func (p *Pipeline) Do(a Action) string {
	c, ok := p.resolve(a)
	if !ok {
		return ""
	}
	p.do(c)
	return c.text()
}

// resolve makes an action independent of what is on the screen.
func (p *Pipeline) resolve(a Action) (command, bool) {
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
	case Anchor, Nudge:
		at := a.Value
		if a.Kind == Nudge || at == 0 {
			shown := p.tracker.Newest().Position
			if shown == 0 {
				return command{}, false
			}
			at = shown
			if a.Kind == Nudge {
				at += a.Value
			}
		}
		last := p.setup.Neck.Positions(p.system.Width())
		return command{verb: handAt, position: min(max(at, 1), last)}, true
	}
	return command{}, false
}

func (p *Pipeline) do(c command) {
	if c.verb == putMark {
		p.marks = append(p.marks, mark{p.now, "mark"})
		return
	}
	p.remember(step{cmd: &c})
	p.hand.do(c)
}

// warn keeps a warning once.
func (p *Pipeline) warn(text string) {
	for _, w := range p.warnings {
		if w == text {
			return
		}
	}
	p.warnings = append(p.warnings, text)
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
	if p.told || len(p.early) >= earlyMost {
		p.early = nil
		return
	}
	p.early = append(p.early, s)
}

// listener is the Pipeline as the cleaner sees it.
type listener Pipeline

func (l *listener) Note(n midiin.Note) {
	p := (*Pipeline)(l)
	if !p.told {
		kept := n
		p.remember(step{note: &kept, at: n.At})
	}
	if !p.hand.note(n) {
		p.dropped = append(p.dropped, midiin.Dropped{At: n.At, Channel: n.Channel, Pitch: n.Pitch, Reason: OnHold})
	}
}

func (l *listener) Release(id int, at time.Duration) {
	p := (*Pipeline)(l)
	if !p.told {
		p.remember(step{release: id, at: at})
	}
	p.hand.release(id, at)
}

func (l *listener) Drop(d midiin.Dropped) { l.dropped = append(l.dropped, d) }

// StringsFound reads everything so far again, each note with its string.
func (l *listener) StringsFound(m midiin.StringMap) {
	p := (*Pipeline)(l)
	steps := p.early
	p.strings, p.told, p.early = m, true, nil
	p.hand = newHand(p.setup)
	for _, s := range steps {
		switch {
		case s.cmd != nil:
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
