package coach

import "math"

// settle makes the oldest pending note final and learns from it.
func (t *Tracker) settle() {
	f := t.frame(t.done)
	e := &t.last
	into := t.estimate(e, t.done, true)
	e.Settled, f.settled = true, true
	t.queue = append(t.queue, *e)
	t.expect += e.Moved
	if len(f.spans) > 0 {
		t.owed = min(max(t.owed+runTarget-t.held, -1), 0)
	}
	t.done++
	t.learn(f, e, &into)
}

// estimate fills e with what can be said of note i from everything heard so
// far, and returns the change into it. Settling, the styles learn.
func (t *Tracker) estimate(e *Estimate, i int, settling bool) (into change) {
	f := t.frame(i)
	*e = Estimate{Note: i, At: f.note.At}
	still := change{moves: [moveClasses]float64{1}}
	if len(f.spans) == 0 {
		return still
	}
	pos, lo, hi := t.pos, t.np, -1 // what lies outside lo to hi is zero
	clear(pos)
	clear(t.strs)
	all, lead := 0.0, t.heaviest(f.ears)
	for _, k := range f.ears {
		t.share[k], t.changes[k] = 0, change{}
		asked := t.weights[k] >= t.idle || k == lead
		if !asked && (!settling || t.notes >= napEvery) { // by then it is known who plays
			continue
		}
		t.smooth(k, f)
		cells, z := f.cells[k], 0.0
		for i := range cells {
			z += cells[i].p * cells[i].beta
		}
		if !(z > 0) {
			continue
		}
		own := &t.changes[k]
		if *own = still; f.from != nil && f.link != placeless {
			*own = t.pairs(k, f, z, t.weights[k], settling)
		}
		if !asked { // it learns, and that is all (see learn)
			continue
		}
		share := t.weights[k] / z
		t.share[k] = share
		all += t.weights[k]
		for i := range cells {
			x := &cells[i]
			y := share * x.p * x.beta
			pos[x.pos] += y
			t.strs[x.span] += y
			lo, hi = min(lo, x.pos), max(hi, x.pos)
		}
		into.add(t.weights[k], own)
	}
	if all == 0 { // no style knows: nothing is said of the hand
		e.Low, e.High = 1, t.np
		e.Position, e.From = 1, 1
		t.held = 1
		return still
	}
	into.scale(1 / all)
	pos, strs := pos[lo:hi+1], t.strs[:len(f.spans)]
	move := [...]float64{into.moves[0], into.moves[1] + into.moves[2]} // stays, goes
	if t.tempers {
		told, lead := t.known(f.note) != 0, t.casts[lead].manner
		temper(pos, told, lead)
		temper(strs, told, lead)
		if told {
			temper(move[:], told, lead)
		}
	}
	normalise(pos)
	normalise(strs)
	normalise(move[:])
	best := lo
	for i, x := range pos {
		if x > t.pos[best] {
			best = lo + i
		}
	}
	e.Position, e.Probability = best+1, min(1, t.pos[best])
	e.Low, e.High = t.run(lo, best)
	e.From = e.Position
	if f.link == placeless {
		return into
	}
	at := t.played(f, best)
	s := &f.spans[at]
	e.Place, e.PlaceProbability = Place{s.str + 1, s.fret}, min(1, strs[at])
	if len(f.spans) == 1 {
		e.PlaceProbability = 1
	}
	e.Finger, e.Extended = t.finger(e.Place, e.Position)
	if f.from != nil {
		e.Moved = min(1, move[1])
		left := f.from.left
		if left != 0 {
			e.Moved = 1 - t.pos[left-1]
		}
		if e.Moved >= Likely { // or else it reached out of the window
			e.Sure, e.From = f.sure, left
			if left == 0 {
				e.From = t.origin(f, best) + 1
			}
		}
	}
	return into
}

// temper changes how sure p is, for no style is the player. Where the input tells
// the string it takes nine eighths of the logarithm of every probability: the
// mixture of styles is less sure than it is right. Where it does not, fifteen
// sixteenths, one half where a placed style leads: from pitch alone the mixture
// is too sure, the more so where it reads the window from the notes, but not of
// moves, which are not tempered there. So tempered, what is claimed about simulated
// players comes true about as often as it says.
func temper(p []float64, told bool, m manner) {
	for i, x := range p {
		if x == 0 {
			continue
		}
		half := math.Sqrt(x)
		eighth := math.Sqrt(math.Sqrt(half))
		switch {
		case told:
			p[i] = x * eighth
		case m == placed:
			p[i] = half
		default:
			p[i] = x / math.Sqrt(eighth)
		}
	}
}

// normalise makes p sum to one.
func normalise(p []float64) {
	norm := 1 / sum(p)
	for i := range p {
		p[i] *= norm
	}
}

// played is the span of f that was played, told with the hand at position p:
// the likeliest of all, or if the hand does not reach that, the likeliest that
// it does.
func (t *Tracker) played(f *frame, p int) int {
	if len(f.spans) == 1 {
		return 0
	}
	clear(t.there)
	for _, k := range f.ears {
		if t.share[k] == 0 {
			continue
		}
		for _, x := range f.cells[k] {
			if x.pos == p {
				t.there[x.span] += t.share[k] * x.p * x.beta
			}
		}
	}
	best := 0
	for i := range f.spans {
		if (t.there[i] > 0) == (t.there[best] > 0) && t.strs[i] > t.strs[best] || t.there[best] == 0 && t.there[i] > 0 {
			best = i
		}
	}
	return best
}

// idle is the weight under which a style is heard but not asked.
const idle = 0.069

// smooth fills the messages of style k at f from all later notes.
func (t *Tracker) smooth(k int, f *frame) {
	last := f.index
	for last+1 < t.count && t.frame(last+1).from == t.frame(last) {
		last++
	}
	end := t.frame(last)
	for i := range end.cells[k] {
		end.cells[k][i].beta = 1
	}
	for i := last; i > f.index; i-- {
		if b := t.frame(i - 1); t.frame(i).heard[k] {
			t.backward(k, b, t.frame(i))
		} else {
			for j := range b.cells[k] {
				b.cells[k][j].beta = 1
			}
		}
	}
}

// origin is the likeliest position before f given that the hand moved to q.
func (t *Tracker) origin(f *frame, q int) int {
	clear(t.before)
	for _, k := range f.ears {
		if t.share[k] == 0 {
			continue
		}
		ahead, ways := f.cells[k], f.ways[k]
		for i := range f.from.cells[k] {
			x := &f.from.cells[k][i]
			for j := range ahead {
				if y := &ahead[j]; y.pos == q && x.pos != q {
					t.before[x.pos] += t.share[k] * x.p * ways[i*f.width+y.at] * y.beta
				}
			}
		}
	}
	best, at := 0.0, q
	for p, x := range t.before {
		if x > best {
			best, at = x, p
		}
	}
	return at
}

// A run of positions can rarely hold exactly 90 per cent: the narrowest that
// holds at least so much holds more, and where one position holds nearly all,
// far more. Runs of settled notes therefore hold runTarget on average: what
// sure notes hold too much, unsure ones may hold less, down to runLeast.
const (
	runTarget = 0.90
	runLeast  = 0.50
)

// run returns the narrowest run of positions around best that holds enough,
// and leaves what it holds in t.held. No position below lo holds anything.
func (t *Tracker) run(lo, best int) (low, high int) {
	enough := max(runLeast, runTarget+t.owed)
	low, high = 1, t.np
	t.held = 0
	hi, sum := lo-1, 0.0 // sum of positions lo to hi
	for ; lo <= best; lo++ {
		for hi < t.np-1 && (hi < best || sum < enough) {
			hi++
			sum += t.pos[hi]
		}
		if sum < enough {
			break
		}
		if hi-lo < high-low || sum > t.held && hi-lo == high-low {
			low, high, t.held = lo+1, hi+1, sum
		}
		sum -= t.pos[lo]
	}
	return low, high
}

// finger returns the finger on place with the hand at position, and whether it
// reaches out of the window.
func (t *Tracker) finger(p Place, position int) (finger int, extended bool) {
	if p.Fret == 0 {
		return 0, false
	}
	off := p.Fret - position
	for _, d := range [...]int{0, -1, 1} {
		if n := t.system.FingerAt(off + d); n != 0 {
			return n, d != 0
		}
	}
	return 0, false
}
