package coach

import (
	"math"
	"slices"
	"time"
)

// Lag of the settled answers: a note settles when two further notes have come,
// at a rest (see End), or when settleAfter has passed since its onset, whichever
// is first. Two notes is what the design asks for; settleAfter is ours, so that
// the answer to a note held on does come.
const (
	settleNotes = 2
	settleAfter = 2 * time.Second
)

// Tracker infers where the fretting hand is from the notes it played.
//
// Give it every note with Note, let time pass with Advance, say with End that
// there is a rest, and take what has become final with Settled. What it says
// depends on the notes and on what else it was told between them, never on when
// Advance was called. Not for use by several goroutines.
//
// # The model
//
// A bank of hidden Markov models over strings and positions, each a way of
// playing (see manner): hands that react, led by one finger or another, hands
// that plan, hands placed in a window. Each runs forward over the notes and
// backward over at most two later ones. Their answers are mixed by how well
// each has foretold the gaps between notes, and the notes themselves where a
// style says anything about them; the mixture is the posterior that Estimate
// reports and Expected sums. While it listens, each style learns how the player
// parts notes and moves, as it would be if that style were right (see touch and
// recent), and the common ones the rate of moves and which finger the hand lands
// on; all share what is learnt of silences that repeat and of notes that ring on
// (see steady and sustain), and of the tune's intervals and pitches, which is the
// measure that placed hands have to beat.
// Styles that explain little are heard only now and then.
//
// What was taken from where, and what was found better, stands in the package's
// doc.
type Tracker struct {
	neck   Neck
	system System
	trellis
	melody *melody

	habits   Habits
	touches  []touch // [style]
	steady   steady
	sustain  sustain
	weights  []float64 // [style] posterior
	prior    []float64 // [style] where weights return to
	awake    []int     // styles that hear, in order
	everyone []int     // all that the system has, in order
	absent   float64   // weight of the others in Habits
	tastes   []float64 // [style] posterior as a teller of strings
	idle     float64   // weight up to which a style is heard but not asked
	tempers  bool      // what it claims
	like     []float64 // scratch, [style] likelihood of the newest note
	changes  []change  // scratch, [style] into the note that settles
	heard    int       // notes settled
	relay    int       // heard at which to lay again

	frames [settleNotes + 2]*frame
	count  int // notes heard
	notes  int // of these, those that are no noise
	done   int // notes settled
	said   int // where the teacher put the hand since the newest note; 0 if nowhere
	queue  []Estimate
	last   Estimate // the last settled
	expect float64
	log    float64 // log-likelihood of the notes before those in odds
	odds   float64 // likelihood of some notes
	newest float64 // likelihood of the newest note
	owed   float64 // what settled runs hold short of runTarget, in notes

	grip    Note            // first note of the grip
	strung  [MaxStrings]int // pitch of the last note on each string that the input told; 0 for none
	fretted []span          // where the last note lay that cannot be an open string
	framed  bool            // there was one

	pos, before, strs, there, share []float64 // scratch
	held                            float64   // by the last run
	rivals                          []*rival
}

// NewTracker returns a tracker for a player with habits h. It panics if n is
// not valid or s has no finger.
func NewTracker(n Neck, s System, h Habits) *Tracker {
	t := newTracker(n, s, h, newMelody(n))
	t.invite(h)
	return t
}

func newTracker(n Neck, s System, h Habits, m *melody) *Tracker {
	if err := n.Validate(); err != nil {
		panic("coach: " + err.Error())
	}
	if len(s.Fingers) == 0 {
		panic("coach: a system needs fingers")
	}
	t := &Tracker{neck: n, melody: m, weights: make([]float64, len(styles)), prior: make([]float64, len(styles)), tastes: make([]float64, len(styles)),
		touches: make([]touch, len(styles)), like: make([]float64, len(styles)), changes: make([]change, len(styles)),
		share: make([]float64, len(styles)), idle: idle, tempers: true, odds: 1}
	t.set(s)
	t.adopt(h)
	return t
}

// SetSystem tells the tracker that the hand plays with s from the next note
// on. Notes still pending settle first, and where the hand is must be found
// anew, but for what the teacher said since the newest note. What was learnt of
// the player stays, but for which finger the hand lands on and which style best
// foretells the strings.
func (t *Tracker) SetSystem(s System) {
	if len(s.Fingers) == 0 {
		panic("coach: a system needs fingers")
	}
	t.End()
	h, touch, sustain := t.Habits(), t.touches[t.leading()], t.sustain
	t.set(s)
	t.said = min(t.said, t.np)
	t.adopt(h)
	for k := range t.touches {
		t.touches[k] = touch
	}
	t.sustain = sustain
	t.invite(h)
}

// invite sets up the systems that t's is compared with, for the same player and
// the same tune.
func (t *Tracker) invite(h Habits) {
	t.rivals = t.rivals[:0]
	for _, o := range Systems {
		if o.Name != t.system.Name {
			known := *t.melody
			r := &rival{tracker: newTracker(t.neck, o, h, &known), from: t.count}
			r.tracker.heard, r.tracker.relay = t.heard, t.relay
			t.rivals = append(t.rivals, r)
		}
	}
}

func (t *Tracker) set(s System) {
	t.system = s
	np, ns := t.neck.Positions(s.Width()), t.neck.Strings()
	t.trellis = trellis{np: np, ns: ns, acc: make([]float64, np*ns), kept: make([]int, np*ns), leave: make([]float64, np*ns), mass: make([]float64, np*ns),
		over: make([]float64, ns*ns), far: make([]float64, ns*ns), negligible: negligible}
	for i := range t.trellis.gaps {
		t.trellis.gaps[i] = slices.Repeat([]float64{1}, 2*(np+nearFrets)+1)
	}
	var last *cast
	for _, st := range styles {
		last = newCast(st, t.neck, s, last)
		t.casts = append(t.casts, last)
	}
	for i := range t.frames {
		t.frames[i] = newFrame(ns)
		t.frames[i].reserve()
		t.frames[i].after = newFrame(ns)
	}
	t.pos, t.before, t.strs, t.there = make([]float64, np), make([]float64, np), make([]float64, ns), make([]float64, ns)
	t.framed = false
}

func (t *Tracker) frame(i int) *frame { return t.frames[i%len(t.frames)] }

// Note hears the next note. Notes come in order of onset.
func (t *Tracker) Note(n Note) {
	t.note(n)
	for _, r := range t.rivals {
		r.hear(t, n)
	}
}

func (t *Tracker) note(n Note) {
	t.newest = 1
	t.Advance(n.At)
	f := t.frame(t.count)
	f.note, f.index, f.anchor, f.left, f.settled = n, t.count, 0, 0, false
	f.from = nil
	if t.count > 0 {
		b := t.frame(t.count - 1)
		if b.anchor != 0 {
			b = b.after
		}
		if len(b.spans) > 0 {
			f.from = b
		}
	}
	t.place(f)
	t.join(f)
	if s := t.known(n); s > 0 {
		t.strung[s-1] = n.Pitch
	}
	t.count++
	t.hear(f)
	if !f.noise() {
		t.notes++
	}
	if len(f.spans) > 0 {
		t.said = 0
	}
	if t.count-settleNotes > t.done {
		t.settle()
	}
}

// place finds where f's note can lie. A string that the input tells but that
// does not have the pitch is no string told.
func (t *Tracker) place(f *frame) {
	n := f.note
	f.spans, f.width, f.pitch, f.link = f.spans[:0], 0, n.Pitch, struck
	known := t.known(n)
	for s := range t.ns {
		if fret, ok := t.neck.Fret(n.Pitch, s+1); ok && (known == 0 || known == s+1) {
			c := t.casts[0]
			lo, hi := c.from[fret], c.to[fret]
			f.spans = append(f.spans, span{s, fret, lo, hi, f.width})
			f.width += hi - lo
		}
	}
	if len(f.spans) == 0 {
		f.link = placeless
		if f.from != nil {
			f.spans, f.pitch, f.left = append(f.spans, f.from.spans...), f.from.pitch, f.from.left
		}
	}
}

// known is the string that the input tells for n, 0 if none that can be.
func (t *Tracker) known(n Note) int {
	if n.String >= 1 && n.String <= t.ns {
		if _, ok := t.neck.Fret(n.Pitch, n.String); ok {
			return n.String
		}
	}
	return 0
}

// join decides how f hangs together with the note before it.
func (t *Tracker) join(f *frame) {
	n, b := f.note, f.from
	f.sure, f.aside, f.melody, f.all = false, false, 1, 1
	switch {
	case f.link == placeless:
		return
	case b == nil:
		f.link = first
	case n.Slide != 0 && f.pitch-b.pitch == n.Slide && slides(b, f):
		f.link, f.sure = slid, true
	case n.Slide != 0 && t.slidesAside(f):
		f.link, f.sure, f.aside = slid, true, true
	case n.together(t.grip):
		f.link = gripped
	default:
		f.gap = gapTo(n, b.note.At)
		f.steady = t.steady.read(f.gap)
		if !f.noise() {
			t.steady.hear(f.gap)
		}
		f.melody, f.all = t.melody.weight(b.pitch, f.pitch), t.melody.total[b.pitch]
		if !f.noise() {
			t.melody.hear(b.pitch, f.pitch)
		}
	}
	if f.link != gripped {
		t.grip = n
	}
	for _, s := range f.spans {
		if s.fret == 0 {
			return
		}
	}
	f.sure = f.sure || t.framed && !t.oneWindow(t.fretted, f.spans)
	t.fretted, t.framed = append(t.fretted[:0], f.spans...), true
}

// oneWindow reports whether some window holds a place of a and a place of b.
func (t *Tracker) oneWindow(a, b []span) bool {
	for i := range a {
		for j := range b {
			if abs(a[i].fret-b[j].fret) < t.system.Width() {
				return true
			}
		}
	}
	return false
}

// Advance lets time pass: notes whose onset lies two seconds back settle.
func (t *Tracker) Advance(now time.Duration) {
	for t.done < t.count && t.frame(t.done).note.At+settleAfter <= now {
		t.settle()
	}
}

// Deadline returns the time at which Advance will next settle a note, and
// false if none is pending.
func (t *Tracker) Deadline() (time.Duration, bool) {
	if t.done == t.count {
		return 0, false
	}
	return t.frame(t.done).note.At + settleAfter, true
}

// End settles every note: at a rest, after which the hand may be anywhere, and
// when the take is over.
func (t *Tracker) End() {
	for t.done < t.count {
		t.settle()
	}
}

// Settled appends the estimates settled since the last call to dst, in order.
func (t *Tracker) Settled(dst []Estimate) []Estimate {
	dst = append(dst, t.queue...)
	t.queue = t.queue[:0]
	return dst
}

// Pending appends provisional estimates of the notes not settled to dst,
// oldest first.
func (t *Tracker) Pending(dst []Estimate) []Estimate {
	for i := t.done; i < t.count; i++ {
		var e Estimate
		t.estimate(&e, i, false)
		dst = append(dst, e)
	}
	return dst
}

// Newest is the estimate of the newest note, provisional or settled, with the
// hand where the teacher put it since. Before the first note its Position is 0.
func (t *Tracker) Newest() Estimate {
	if t.count == 0 {
		return Estimate{}
	}
	e := t.last
	if t.done < t.count {
		t.estimate(&e, t.count-1, false)
	}
	if a := t.frame(t.count - 1).anchor; a != 0 {
		e.Position, e.Probability, e.Low, e.High = a, 1, a, a
		e.Finger, e.Extended = t.finger(e.Place, a)
	}
	return e
}

// Expected is the expected number of shifts over all notes so far.
func (t *Tracker) Expected() float64 {
	sum := t.expect
	for i := t.done; i < t.count; i++ {
		var e Estimate
		t.estimate(&e, i, false)
		sum += e.Moved
	}
	return sum
}

// LogLikelihood is the natural logarithm of the likelihood of every note and
// gap after the first note.
func (t *Tracker) LogLikelihood() float64 { return t.log + math.Log(t.odds) }

// Anchor says that the hand is at position at this moment: evidence with
// probability one. If the newest note can be played there and has not settled
// it was played there; if not, the hand has gone there since. While no note
// tells of the hand, as before the first and after SetSystem, the next is played
// there if it can be. Positions off the neck are ignored.
func (t *Tracker) Anchor(position int) {
	if position < 1 || position > t.np {
		return
	}
	t.said = position
	if t.count == 0 {
		return
	}
	f := t.frame(t.count - 1)
	if !f.settled && f.anchor == 0 && t.mask(f, position-1) {
		return
	}
	if len(f.spans) == 0 {
		return
	}
	var e Estimate
	t.estimate(&e, t.count-1, false)
	f.put(position - 1)
	if f.after.left = 0; t.pos[position-1] == 0 {
		f.after.left = e.Position
	}
}
