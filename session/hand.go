package session

import (
	"slices"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
)

// lineEvery is the least time between two things the coach says, keptLines
// how many stay on screen (the model: one new line in four seconds; the
// screen: the latest and the two before it).
const (
	lineEvery = 4 * time.Second
	keptLines = 3
)

// hand is the coach's side of the pipeline: everything that is computed from
// cleaned notes. It can be made anew and told the same things again.
type hand struct {
	setup   Setup
	system  coach.System   // declared now
	tracker *coach.Tracker // not to be touched while apart
	apart   *apart         // nil, or where the tracker works
	counter *counter       // of the whole take
	since   *counter       // since the player restarted the counts; nil before
	adviser *coach.Adviser
	regions *coach.Regions

	record  record
	trail   trail
	words   []told       // newest last, for the trail
	waiting []coach.Note // notes told to the tracker and not settled,
	taken   int          // but for so many
	settled []coach.Estimate
	now     time.Duration // until which time has passed
	playing []playing
	held    bool
	missed  bool          // the note before was played on hold
	stale   bool          // nothing was told of the hand since a hold
	placed  int           // where the player put the hand after the newest note; 0 if nowhere
	expect  command       // handIn; position 0 for none
	crowd   together      // notes struck together on one string
	slid    int           // notes that a bend of the one before was read as
	anchors int           // times that the hand's place was told: by the player, or by a rung that asked for it
	played  time.Duration // in the passages before the last
	stretch *stretches

	practice *practising // nil unless the sitting is one of practice
	care     *care       // nil where nobody plays

	rest  rest
	lines []CoachLine // newest first, since the counts were restarted
	said  CoachLine   // newest of all
	spoke time.Duration
	next  *coach.Advice // waits to be said: for the rest, or in it for its turn
}

// playing is a note that sounds.
type playing struct {
	id    int // the cleaner's
	index int // in the record; -1 when played on hold
	pitch int
}

// rest watches for the gap that ends a passage: from the release of its newest
// note, whatever rings on.
type rest struct {
	since  time.Duration // release of the newest note
	newest bool          // that note sounds
	closed bool          // the passage has ended already, or none has begun
	begun  time.Duration // first onset of the passage
	first  int           // its first note
	until  time.Duration // last release of a note of it
}

func newHand(s Setup) hand {
	return hand{
		setup: s, system: s.System,
		tracker: coach.NewTracker(s.Neck, s.System, s.Habits),
		counter: newCounter(s),
		adviser: coach.NewAdviser(s.Neck, s.System, s.ReachMM),
		regions: coach.NewRegions(s.Neck),
		record:  newRecord(s.Keep),
		rest:    rest{closed: true},
		spoke:   -lineEvery,
		stretch: newStretches(s),
	}
}

// note takes the next kept note; false if it is on hold and left out.
func (h *hand) note(n midiin.Note) bool {
	h.advance(n.At)
	if h.held {
		h.playing = append(h.playing, playing{id: n.ID, index: -1, pitch: n.Pitch})
		h.missed = true
		return false
	}
	count := h.display()
	count.minute.keep(n.At, func() Counts { return count.counts(h.tracker) })
	c := translate(n)
	if h.missed {
		h.follow(&c)
	}
	if h.rest.closed {
		h.played = h.playedBy(n.At)
		h.rest = rest{begun: n.At, first: h.record.len(), until: n.At}
		h.next = nil // advice is of what was played last
	}
	h.rest.newest = true
	h.waiting = append(h.waiting, c)
	h.playing = append(h.playing, playing{id: n.ID, index: h.record.len(), pitch: n.Pitch})
	h.record.note(n)
	h.crowd.note(n)
	if n.Slide != 0 {
		h.slid++
	}
	index := h.record.len() - 1
	h.counter.note(index, c)
	if h.since != nil {
		h.since.note(index, c)
	}
	h.tell(telling{kind: toldNote, at: n.At, note: c})
	h.placed, h.stale = 0, false
	h.anchor(c)
	return true
}

// follow makes n, after notes on hold, follow the newest note that was not.
func (h *hand) follow(n *coach.Note) {
	h.missed = false
	n.Slide, n.Gap, n.Sounding = 0, max(0, n.At-h.rest.since), h.rest.newest
	switch {
	case h.record.len() == 0:
		n.Gap = coach.Rest
	case n.Sounding:
		n.Gap = 0
	}
}

// shown is where the hand is: at the newest note, or where the player said
// that it has gone since. A swap may have taken the last positions away.
func (h *hand) shown() coach.Estimate {
	e := h.tracker.Newest()
	if h.placed > 0 && e.Position != h.placed {
		e.Position, e.Low, e.High, e.Probability = h.placed, h.placed, h.placed, 1
	}
	last := h.last()
	e.Position, e.Low, e.High = min(e.Position, last), min(e.Low, last), min(e.High, last)
	return e
}

// last is the highest position of the declared system.
func (h *hand) last() int { return h.setup.Neck.Positions(h.system.Width()) }

// anchor takes it that the newest note was played where it was asked for, if it can
// have been.
func (h *hand) anchor(n coach.Note) {
	if h.expect.position == 0 || n.At < h.expect.from {
		return
	}
	position := min(h.expect.position, h.last()) // it may have been said of other fingers
	if n.At < h.expect.to && h.holds(position, n) {
		h.tell(telling{kind: toldHand, at: n.At, position: position})
		h.anchors++
	}
	h.expect = command{}
}

// holds reports whether some string has n in the window at position.
func (h *hand) holds(position int, n coach.Note) bool {
	for s := 1; s <= h.setup.Neck.Strings(); s++ {
		fret, ok := h.setup.Neck.Fret(n.Pitch, s)
		if ok && (n.String == 0 || n.String == s) && h.system.Covers(position, coach.Place{String: s, Fret: fret}) {
			return true
		}
	}
	return false
}

func (h *hand) release(id int, at time.Duration) {
	i := slices.IndexFunc(h.playing, func(p playing) bool { return p.id == id })
	if i < 0 {
		return
	}
	index := h.playing[i].index
	h.playing = slices.Delete(h.playing, i, i+1)
	h.practice.sounds(len(h.playing) > 0, at)
	if index < 0 {
		return
	}
	h.record.off(index, at)
	if index >= h.rest.first {
		h.rest.until = max(h.rest.until, at)
	}
	if index == h.record.len()-1 {
		h.rest.since, h.rest.newest = at, false
	}
}

// advance lets time pass; every note before now has been told.
func (h *hand) advance(now time.Duration) {
	h.now = max(h.now, now)
	if h.apart == nil { // a tracker apart is told the time with what comes next
		h.tracker.Advance(now)
		h.settle(&telling{})
	}
	if at, ok := h.restAt(); ok && now >= at {
		h.closePassage(at)
	}
	for at, ok := h.turnAt(); ok && now >= at; at, ok = h.turnAt() {
		h.speak(at)
	}
}

// turnAt is when the advice that waits in a rest may be said.
func (h *hand) turnAt() (time.Duration, bool) {
	return h.spoke + lineEvery, h.rest.closed && h.next != nil
}

// restAt is when the silence that goes on now ends the passage. One
// nanosecond past the rest, since a passage goes on after a gap of just that.
func (h *hand) restAt() (time.Duration, bool) {
	return h.rest.since + coach.PassageGap + 1, !h.rest.closed && !h.rest.newest
}

func (h *hand) deadline() (time.Duration, bool) {
	at, ok := h.tracker.Deadline()
	for _, due := range []func() (time.Duration, bool){h.restAt, h.turnAt} {
		if d, any := due(); any && (!ok || d < at) {
			at, ok = d, true
		}
	}
	return at, ok
}

// settle takes what the tracker has settled, x being what it was told.
func (h *hand) settle(x *telling) {
	h.settled = h.tracker.Settled(h.settled[:0])
	h.take(x, h.settled)
	h.drop()
}

// take takes what the tracker settled when it was told x to the record and the
// adviser.
func (h *hand) take(x *telling, settled []coach.Estimate) {
	for i := range settled {
		e := &settled[i]
		h.record.settle(e, &h.setup.Neck)
		h.counter.settle(e)
		if h.since != nil {
			h.since.settle(e)
		}
		h.trail.add(trailPoint(e))
		h.regions.Note(h.waiting[h.taken], e.Position)
		h.stretch.take(e)
		h.practice.settled(h.waiting[h.taken], *e)
		if a, ok := h.adviser.Add(h.waiting[h.taken], *e); ok {
			h.advise(a)
		}
		h.taken++
	}
	switch x.kind {
	case toldFingers:
		h.adviser.SetSystem(*x.system)
		h.stretch.use(*x.system)
	case toldRest:
		if a, ok := h.adviser.Close(); ok {
			h.advise(a)
		}
		h.speak(x.rest)
	}
}

// drop makes room in waiting.
func (h *hand) drop() {
	h.waiting, h.taken = append(h.waiting[:0], h.waiting[h.taken:]...), 0
}

func (h *hand) closePassage(at time.Duration) {
	h.rest.closed = true
	h.tell(telling{kind: toldRest, at: h.now, rest: at})
}

// playedBy is how long was played until now: in each passage from its first
// onset to its last release. What sounds of the last one goes on to now.
func (h *hand) playedBy(now time.Duration) time.Duration {
	until := h.rest.until
	for _, p := range h.playing {
		if p.index >= h.rest.first {
			until = now
		}
	}
	return h.played + min(until, now) - h.rest.begun
}

// speak says what there is to say in a rest. Advice whose turn has not come waits.
func (h *hand) speak(at time.Duration) {
	if h.setup.unseen || at-h.spoke < lineEvery {
		return
	}
	if text := h.care.remark(at, h.load(at)); text != "" {
		h.say(CoachLine{At: at, Text: text})
	} else if h.next != nil {
		h.say(CoachLine{At: at, Text: h.next.Text, Kind: h.next.Kind})
		h.next = nil
	}
}

// load is what the sitting has asked of the hand until at, in the newest passage
// or after it.
func (h *hand) load(at time.Duration) coach.Load {
	return coach.Load{Minutes: h.playedBy(at).Minutes(), Shifts: h.tracker.Expected(), Wide: h.stretch.wide}
}

func (h *hand) advise(a coach.Advice) {
	if n := h.cut(a.Path); n > 0 {
		a.Pay(cutText(n))
	}
	h.record.advise(&a, h.setup.ReachMM > 0)
	if !h.setup.unseen {
		h.next = &a
	}
}

func (h *hand) say(l CoachLine) {
	h.spoke, h.said = l.At, l
	h.lines = append([]CoachLine{l}, h.lines[:min(len(h.lines), keptLines-1)]...)
}

// display is the count that a screen shows: restarting it leaves the take's
// own figures as they are.
func (h *hand) display() *counter {
	if h.since != nil {
		return h.since
	}
	return h.counter
}

// settleAll makes final what has been played.
func (h *hand) settleAll() { h.tell(telling{kind: toldEnd, at: h.now}) }

func (h *hand) end(at time.Duration) {
	h.tell(telling{kind: toldEnd, at: at})
	h.closePassage(at)
	h.join()
}

func (h *hand) do(c command) {
	switch c.verb {
	case holdOn:
		h.closePassage(h.now) // what is played on hold says nothing of the notes before
		h.held, h.stale = true, h.record.len() > 0
	case holdOff:
		h.held = false
	case fingers:
		h.system = c.system
		h.counter.use(c.system)
		if h.since != nil {
			h.since.use(c.system)
		}
		h.tell(telling{kind: toldFingers, at: h.now, system: &c.system})
		h.next = nil // it is for other fingers
	case handAt, handIn:
		if c.position <= h.last() { // or it was said of a longer neck
			h.told(c)
		}
	case settle:
		h.settleAll()
	case forget:
		h.settleAll()
		if h.setup.unseen {
			return // the counts on a screen start again
		}
		now := h.setup
		now.System = h.system
		h.since, h.lines, h.next = newCounter(now), nil, nil
		h.since.restart(h.tracker)
	}
}

// told takes the player's word on where the hand is, or will be at the note that
// comes at a time.
func (h *hand) told(c command) {
	if c.verb == handIn {
		h.expect = c
		return
	}
	if !h.setup.unseen && h.shown().Position != c.position {
		h.words = append(h.words[max(0, len(h.words)-mostTold+1):], told{h.now, c.position})
	}
	h.tell(telling{kind: toldHand, at: h.now, position: c.position})
	if h.placed == 0 { // correcting what was just said is no second word
		h.anchors++
	}
	h.placed, h.stale = c.position, false
}
