package coach

import (
	"math"
	"slices"
)

// span is where one string plays a note.
type span struct {
	str    int // counts from 0
	fret   int
	lo, hi int // positions from lo up to, not including, hi, from 0
	at     int // column of lo
}

// ringing is 1 for an open string, which sounds without the hand.
func (s *span) ringing() int {
	if s.fret == 0 {
		return 1
	}
	return 0
}

// cell is one state of one style: a string and a position.
type cell struct {
	pos, span int
	at        int     // column
	p         float64 // filtered probability
	beta      float64 // message from later notes, valid while settling
}

// link is how a note hangs together with the one before it.
type link int

const (
	first     link = iota // nothing before it
	struck                // an ordinary note
	gripped               // struck together with the one before
	slid                  // slid from the one before, or from the one before on its string
	placeless             // no string has its pitch: it says nothing
)

// frame is one note in flight: what was heard, where it can lie, and every
// style's belief about it.
type frame struct {
	note   Note
	index  int
	pitch  int // of the last note with a place, this one included
	spans  []span
	width  int // columns
	link   link
	gap    gap
	steady float64 // what a silence that is the one before again adds to the density of gap
	melody float64 // weight of the pitch in the melody
	all    float64 // weight of all pitches there, over the probability of a string that was told
	sure   bool    // no window holds this note and the last fretted one
	aside  bool    // it slid along its string while the one before, on another, was the newest

	tells []telling   // [style] what the gap says to it
	cells [][]cell    // [style], lent by cellPool
	ways  [][]float64 // [style][cell of from * width + column] weight of the way between them, lent by wayPool
	total []float64   // [style] what cells were divided by
	heard []bool      // [style] cells follow from those of from
	ears  []int       // styles that heard, in order

	crossings []int // [span of from * spans + span] how the one lies to the other
	cellPool  pool[cell]
	wayPool   pool[float64]

	from    *frame // where the belief came from; nil at the start
	after   *frame // the hand as the teacher put it after this note
	anchor  int    // its position there, or 0 if it was not put
	left    int    // position before, if the teacher put the hand where it cannot have been yet; else 0
	settled bool
}

// newFrame is one for a neck of ns strings.
func newFrame(ns int) *frame {
	n := len(styles)
	return &frame{spans: make([]span, 0, ns), tells: make([]telling, n), cells: make([][]cell, n), ways: make([][]float64, n),
		total: make([]float64, n), heard: make([]bool, n), ears: make([]int, 0, n), crossings: make([]int, 0, ns*ns)}
}

// slides reports whether a finger can have slid from b to f.
func slides(b, f *frame) bool {
	for _, x := range b.spans {
		for _, y := range f.spans {
			if x.str == y.str && x.fret > 0 && y.fret > 0 {
				return true
			}
		}
	}
	return false
}

// slidesAside reports whether a finger can have slid to f from the note before on
// its string, which is not the note before: one note of a double stop, or one under a
// string that rings. The finger was down all the time, so that the hand moves with it
// from wherever it is.
func (t *Tracker) slidesAside(f *frame) bool {
	s := t.known(f.note)
	if s == 0 || f.pitch-t.strung[s-1] != f.note.Slide {
		return false
	}
	fret, ok := t.neck.Fret(t.strung[s-1], s)
	return ok && fret > 0 && f.spans[0].fret > 0
}

// What a frame makes room for at first, a style: what all take together when they are
// awake at an unsure note of a bass with four strings (measured). They rarely are once
// a take goes on, and the memory of a long sitting is not to grow by it hours later.
const (
	reservedCells = 32
	reservedWays  = 512
)

// reserve makes that room.
func (f *frame) reserve() {
	f.cellPool = make(pool[cell], 0, len(styles)*reservedCells)
	f.wayPool = make(pool[float64], 0, len(styles)*reservedWays)
}

// pool is memory that is lent out piece by piece and taken back as a whole, so
// that styles which take turns to be awake need no memory each.
type pool[T any] []T

// lend lends room for n values, which are any.
func (p *pool[T]) lend(n int) []T {
	at := len(*p)
	*p = slices.Grow(*p, n)[:at+n]
	return (*p)[at:][:n:n]
}

// silence makes f heard by no style.
func (f *frame) silence() {
	clear(f.cells)
	clear(f.ways)
	clear(f.heard)
	f.ears, f.cellPool, f.wayPool = f.ears[:0], f.cellPool[:0], f.wayPool[:0]
}

// copyCells gives style k the belief in cells.
func (f *frame) copyCells(k int, cells []cell) {
	f.cells[k] = f.cellPool.lend(len(cells))
	copy(f.cells[k], cells)
}

// hears marks that style k has heard f.
func (f *frame) hears(k int) {
	f.heard[k] = true
	f.ears = append(f.ears, k)
}

// start is style k's belief at f with nothing known before.
func (f *frame) start(k int, c *cast) {
	cells := f.cellPool.lend(f.width)[:0]
	total := 0.0
	for i, s := range f.spans {
		for q := s.lo; q < s.hi; q++ {
			x := c.starting(&s, q)
			cells = append(cells, cell{pos: q, span: i, at: s.at + q - s.lo, p: x})
			total += x
		}
	}
	f.cells[k], f.total[k] = cells, total
	f.scale(k, 1/total)
}

// starting is the weight of playing on span s at position p with nothing known
// before.
func (c *cast) starting(s *span, p int) float64 {
	return c.cover[s.fret][p] * math.Exp(-float64(p)/startScale)
}

// startScale is how fast a first position becomes unlikely up the neck, in
// frets.
const startScale = 3.1

func (f *frame) scale(k int, x float64) {
	for i := range f.cells[k] {
		f.cells[k][i].p *= x
	}
}

// quickest is the least time between two notes that fingers play one after the
// other, in ms: trills are about 12 a second, and few hands pluck 20 (from memory).
// What comes faster, and is no grip, is the noise of a bad contact or cable.
const quickest = 45.0

// noise reports whether no hand can have struck f so soon after the note before.
func (f *frame) noise() bool { return f.link == struck && f.gap.between < quickest }

// telling is what the gap before a note says to one style, by what that style has
// learnt of the player's touch. Nothing is said unless the note was struck.
type telling struct {
	reading reading
	moves   movesHeard         // likelihood of the gap by the move
	strings [crossings]float64 // likelihood that the note before sounds on, or not, by how the strings lie
}

// nothing is a telling that speaks for no hand and against none.
var nothing = func() (t telling) {
	t.moves.read([moveClasses]float64{1, 1, 1})
	t.strings = [crossings]float64{1, 1, 1}
	return t
}()

// movesHeard is the likelihood of a note's gap by the class of move, after a
// fretted note and after an open string.
type movesHeard [2][moveClasses]float64

// read fills m from the likelihood of each class of move.
func (m *movesHeard) read(l [moveClasses]float64) {
	for c, x := range l {
		m[0][c] = x
		m[1][c] = openGap*x + (1-openGap)*l[0]
	}
}

// class is that of a move by d frets.
func class(d int) int {
	switch {
	case d == 0:
		return 0
	case abs(d) <= nearFrets:
		return 1
	}
	return 2
}

// classes is one for the class of a move by so many frets, counted from
// -MaxFrets, and zero for the others.
var classes = func() (is [2*MaxFrets + 1][moveClasses]float64) {
	for i := range is {
		is[i][class(i-MaxFrets)] = 1
	}
	return is
}()

// mask leaves only position p in f, for a teacher says the hand is there. It
// reports whether f can be played there, and weighs the styles that heard f by
// how likely each found it: those asleep neither win nor lose by it.
func (t *Tracker) mask(f *frame, p int) bool {
	can := false
	for _, s := range f.spans {
		can = can || t.casts[0].cover[s.fret][p] > 0
	}
	if !can || f.link == placeless {
		return false
	}
	before, after := 0.0, 0.0
	for _, k := range f.ears {
		was := f.total[k]
		f.cells[k], f.total[k] = f.cells[k][:0], 0
		for i, s := range f.spans {
			if x := t.arrival(k, f, &s, p); x > 0 {
				f.cells[k] = append(f.cells[k], cell{pos: p, span: i, at: s.at + p - s.lo, p: x})
				f.total[k] += x
			}
		}
		f.scale(k, 1/f.total[k])
		before += t.weights[k]
		t.weights[k] *= f.total[k] / was
		after += t.weights[k]
	}
	for _, k := range f.ears {
		t.weights[k] *= before / after
	}
	return true
}

// arrival is what style k gives position p on span s of f, before it is divided
// by f.total, be it ever so little.
func (t *trellis) arrival(k int, f *frame, s *span, p int) float64 {
	switch {
	case p < s.lo || p >= s.hi:
		return 0
	case f.from == nil:
		return t.casts[k].starting(s, p)
	}
	sum := 0.0
	for i := range f.from.cells[k] {
		sum += f.from.cells[k][i].p * f.ways[k][i*f.width+s.at+p-s.lo]
	}
	return sum
}

// put places the hand at p after f: what follows starts from there.
func (f *frame) put(p int) {
	a := f.after
	a.note, a.pitch, a.link, a.spans = f.note, f.pitch, f.link, a.spans[:0]
	for _, s := range f.spans {
		a.spans = append(a.spans, span{str: s.str, fret: s.fret, lo: p, hi: p + 1})
	}
	a.silence()
	for k := range f.cells {
		a.cells[k] = a.cellPool.lend(len(f.spans))[:0]
		for i := range f.spans {
			x := 0.0
			for _, c := range f.cells[k] {
				if c.span == i {
					x += c.p
				}
			}
			if x > 0 {
				a.cells[k] = append(a.cells[k], cell{pos: p, span: i, p: x})
			}
		}
	}
	f.anchor = p + 1
}
