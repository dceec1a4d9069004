package coach

import (
	"math"
	"time"
)

// Lag of the settled answers: a note settles when two further notes have come
// or when settleAfter has passed, whichever is first.
const (
	settleNotes = 2
	settleAfter = 400 * time.Millisecond
)

// Tracker infers where the fretting hand is from the notes it played.
type Tracker struct {
	neck   Neck
	system System
	trellis
	prior   Habits
	habits  Habits
	weights []float64
	frames  [settleNotes + 2]*frame
	count   int // notes heard
	done    int // notes settled
	queue   []Estimate
	last    Estimate  // the last settled
	lastPos []float64 // its position's distribution
	expect  float64
	log     float64
	now     time.Duration

	lastFretted Note
	hasFretted  bool

	pos, run []float64 // scratch
	strs     []float64
}

// NewTracker returns a tracker for a player with habits h. It panics if the
// neck is not valid.
func NewTracker(n Neck, s System, h Habits) *Tracker {
	if err := n.Validate(); err != nil {
		panic("coach: " + err.Error())
	}
	t := &Tracker{neck: n, prior: h, habits: h}
	t.SetSystem(s)
	return t
}

// SetSystem tells the tracker that the hand plays with s from the next note
// on. Notes still pending are settled first.
func (t *Tracker) SetSystem(s System) {
	t.End()
	t.system = s
	np, ns := t.neck.Positions(s.Width()), t.neck.Strings()
	t.trellis = trellis{np: np, ns: ns, open: t.neck.Open,
		gap: [2][]float64{make([]float64, np+1), make([]float64, np+1)}}
	t.melody = newMelody(t.neck)
	for _, st := range styles {
		t.casts = append(t.casts, newCast(st, t.neck, s, t.melody))
	}
	if t.weights == nil {
		t.resetWeights()
	}
	for i := range t.frames {
		t.frames[i] = t.newFrame()
		t.frames[i].after = t.newFrame()
	}
	t.pos, t.run, t.lastPos = make([]float64, np), make([]float64, np), make([]float64, np)
	t.strs = make([]float64, ns)
	t.done = t.count
	t.hasFretted = false
}

func (t *Tracker) resetWeights() {
	t.weights = make([]float64, len(styles))
	sum := 0.0
	for k, st := range styles {
		t.weights[k] = st.prior + t.habits.Styles[k]
		sum += t.weights[k]
	}
	for k := range t.weights {
		t.weights[k] /= sum
	}
}

func (t *trellis) newFrame() *frame {
	k, cells := len(t.casts), t.np*t.ns
	return &frame{spans: make([]span, 0, t.ns), alpha: grid(k, cells),
		scale: grid(k, cells), beta: grid(k, cells)}
}

func (t *Tracker) frame(i int) *frame { return t.frames[i%len(t.frames)] }

// Note hears the next note.
func (t *Tracker) Note(n Note) {
	t.Advance(n.At)
	f := t.frame(t.count)
	f.note, f.index, f.anchor, f.settled, f.sure = n, t.count, 0, false, false
	var before *frame
	if t.count > 0 {
		before = t.frame(t.count - 1)
		if before.anchor != 0 {
			before = before.after
		}
		if len(before.spans) == 0 {
			before = nil
		}
	}
	t.place(f, n, before)
	t.join(f, before)
	t.count++
	t.now = max(t.now, n.At)
	t.hear(f)
	if i := t.count - 1 - settleNotes; i >= t.done && i >= 0 {
		t.settle()
	}
}

// place fills the spans of f.
func (t *Tracker) place(f *frame, n Note, before *frame) {
	f.spans = f.spans[:0]
	for pass := range 2 {
		for s := range t.ns {
			if pass == 0 && n.String != s+1 {
				continue
			}
			fret := n.Pitch - t.open[s]
			if fret < 0 || fret > t.neck.Frets {
				continue
			}
			lo, hi := t.np, 0
			cover := t.casts[0].cover[fret]
			for p := range cover {
				if cover[p] > 0 {
					lo, hi = min(lo, p), p+1
				}
			}
			f.spans = append(f.spans, span{s, fret, lo, hi})
		}
		if len(f.spans) > 0 {
			break
		}
	}
	f.link, f.pitch = struck, n.Pitch
	if len(f.spans) == 0 {
		f.link = placeless
		if before != nil {
			f.spans = append(f.spans, before.spans...)
			f.pitch = before.pitch
		}
	}
}

// join decides how f hangs together with before.
func (t *Tracker) join(f, before *frame) {
	f.from = before
	n := f.note
	f.gap = [moveClasses]float64{1, 1, 1}
	f.bin = -1
	f.weight = 1
	switch {
	case f.link == placeless:
		return
	case before == nil:
		f.link = first
	case n.Slide != 0 && f.pitch-before.pitch == n.Slide && t.slides(f, before):
		f.link = slid
		f.sure = true
	case t.together(f):
		f.link = grip
	default:
		ms := float64(n.Gap) / float64(time.Millisecond)
		if n.Sounding {
			ms = 0
		}
		f.bin = gapBin(ms)
		f.gap = t.habits.gap(f.bin)
		f.weight = t.melody.weight(before.pitch, f.pitch)
		t.melody.hear(before.pitch, f.pitch)
	}
	fretted := t.fretted(n)
	if fretted && t.hasFretted && f.link != grip && !f.sure {
		f.sure = !t.oneWindow(t.lastFretted, n)
	}
	if fretted {
		t.lastFretted, t.hasFretted = n, true
	}
}

// fretted reports whether n cannot be an open string.
func (t *Tracker) fretted(n Note) bool {
	for s, open := range t.open {
		if n.Pitch == open && (n.String == 0 || n.String == s+1) {
			return false
		}
	}
	return true
}

// oneWindow reports whether some window holds a place of a and a place of b.
func (t *Tracker) oneWindow(a, b Note) bool {
	for s, open := range t.open {
		fa := a.Pitch - open
		if fa < 0 || fa > t.neck.Frets || t.knownElsewhere(a, s) {
			continue
		}
		for r, other := range t.open {
			fb := b.Pitch - other
			if fb < 0 || fb > t.neck.Frets || t.knownElsewhere(b, r) {
				continue
			}
			if abs(fa-fb) < t.system.Width() {
				return true
			}
		}
	}
	return false
}

// knownElsewhere reports whether n is known to lie on another string than s.
func (t *Tracker) knownElsewhere(n Note, s int) bool {
	if n.String < 1 || n.String > t.ns || n.String == s+1 {
		return false
	}
	_, ok := t.neck.Fret(n.Pitch, n.String)
	return ok
}

// slides reports whether a finger can have slid from before to f.
func (t *Tracker) slides(f, before *frame) bool {
	for _, a := range before.spans {
		for _, b := range f.spans {
			if a.str == b.str && a.fret > 0 && b.fret > 0 {
				return true
			}
		}
	}
	return false
}

// together reports whether f's note is one grip with the note before it.
func (t *Tracker) together(f *frame) bool {
	i := f.index - 1
	for i > t.done && i > f.index-settleNotes && t.frame(i).link == grip {
		i--
	}
	return f.note.Together(t.frame(i).note)
}

// hear runs every style over f and weighs them anew.
func (t *Tracker) hear(f *frame) {
	switch {
	case f.link == placeless && f.from == nil:
		return
	case f.link == placeless:
		for k := range t.casts {
			copy(f.alpha[k], f.from.alpha[k])
		}
		return
	case f.link == first:
		for k := range t.casts {
			t.start(k, f)
		}
		return
	}
	total := 0.0
	for k := range t.casts {
		w := t.forward(k, f.from, f)
		if w == 0 {
			t.start(k, f)
			w = math.SmallestNonzeroFloat32
		}
		wk := t.weights[k]
		t.weights[k] = wk * math.Pow(w, temper)
		total += t.weights[k]
	}
	t.log += math.Log(total)
	for k := range t.weights {
		t.weights[k] = (1-share)*t.weights[k]/total + share*t.casts[k].prior
	}
}

// share is the part of the styles' weights that returns to the prior with
// each note: players change their way of playing within a take.
var share = 0.002
var temper = 1.0

// start is style k's belief at f with nothing known before.
func (t *trellis) start(k int, f *frame) {
	total := 0.0
	for _, s := range f.spans {
		for q := s.lo; q < s.hi; q++ {
			i := s.str*t.np + q
			f.alpha[k][i] = t.casts[k].cover[s.fret][q] * math.Exp(-float64(q)/startScale)
			total += f.alpha[k][i]
		}
	}
	t.scaleBy(k, f, 1/total)
}

// startScale is how fast the first position becomes unlikely up the neck, in frets.
var startScale = 12.0

func (t *trellis) scaleBy(k int, f *frame, x float64) {
	for _, s := range f.spans {
		for i := s.str*t.np + s.lo; i < s.str*t.np+s.hi; i++ {
			f.alpha[k][i] *= x
		}
	}
}

// Advance lets time pass: notes older than 400 ms settle.
func (t *Tracker) Advance(now time.Duration) {
	for t.done < t.count && t.frame(t.done).note.At+settleAfter <= now {
		t.settle()
	}
}

// Deadline returns the time at which Advance will next settle a note.
func (t *Tracker) Deadline() (time.Duration, bool) {
	if t.done == t.count {
		return 0, false
	}
	return t.frame(t.done).note.At + settleAfter, true
}

// End settles every note.
func (t *Tracker) End() {
	for t.done < t.count {
		t.settle()
	}
}

// Settled appends the estimates settled since the last call to dst.
func (t *Tracker) Settled(dst []Estimate) []Estimate {
	dst = append(dst, t.queue...)
	t.queue = t.queue[:0]
	return dst
}

// Pending appends provisional estimates of the notes not settled to dst.
func (t *Tracker) Pending(dst []Estimate) []Estimate {
	for i := t.done; i < t.count; i++ {
		e, _ := t.estimate(i, false)
		dst = append(dst, e)
	}
	return dst
}

// Newest is the estimate of the newest note.
func (t *Tracker) Newest() Estimate {
	if t.count == 0 {
		return Estimate{}
	}
	e := t.last
	if t.done < t.count {
		e, _ = t.estimate(t.count-1, false)
	}
	if a := t.frame(t.count - 1).anchor; a != 0 {
		e.Position, e.Probability, e.Low, e.High = a, 1, a, a
		e.Finger, e.Extended = t.finger(e.Place, a)
	}
	return e
}

// Expected is the expected number of shifts over all notes.
func (t *Tracker) Expected() float64 {
	sum := t.expect
	for i := t.done; i < t.count; i++ {
		e, _ := t.estimate(i, false)
		sum += e.Moved
	}
	return sum
}

// LogLikelihood is the natural logarithm of the likelihood of all notes and
// gaps after the first.
func (t *Tracker) LogLikelihood() float64 { return t.log }

// Habits is what is known of the player: what was known before and this take.
func (t *Tracker) Habits() Habits { return t.habits }

// Forget goes back to nothing learnt.
func (t *Tracker) Forget() {
	t.habits = Habits{}
	t.resetWeights()
}

// Looks reports that another system explains the playing clearly better.
func (t *Tracker) Looks() (System, bool) { return System{}, false }

// Anchor says that the hand is at position at this moment.
func (t *Tracker) Anchor(position int) {
	if position < 1 || position > t.np || t.count == 0 {
		return
	}
	f := t.frame(t.count - 1)
	if !f.settled && t.mask(f, position-1) {
		return
	}
	f.anchor = position
	a := f.after
	a.spans = a.spans[:0]
	a.pitch = f.pitch
	for _, s := range f.spans {
		a.spans = append(a.spans, span{s.str, s.fret, position - 1, position})
	}
	if len(a.spans) == 0 {
		return
	}
	for k := range t.casts {
		for _, s := range f.spans {
			sum := 0.0
			for p := s.lo; p < s.hi; p++ {
				sum += f.alpha[k][s.str*t.np+p]
			}
			a.alpha[k][s.str*t.np+position-1] = sum
		}
	}
}

// mask leaves only position p in f, if some style can play f there.
func (t *Tracker) mask(f *frame, p int) bool {
	can := false
	for _, s := range f.spans {
		can = can || p >= s.lo && p < s.hi
	}
	if !can {
		return false
	}
	for k := range t.casts {
		sum := 0.0
		for _, s := range f.spans {
			for q := s.lo; q < s.hi; q++ {
				i := s.str*t.np + q
				if q != p {
					f.alpha[k][i] = 0
				}
				sum += f.alpha[k][i]
			}
		}
		t.scaleBy(k, f, 1/sum)
	}
	return true
}
