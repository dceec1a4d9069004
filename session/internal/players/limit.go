package players

import (
	"math/rand/v2"
	"slices"
)

// Limit is what one take lets anybody know: the true generating model with all
// its private habits, smoothed over the whole take. No answer is right more
// often, but by luck. It knows more than any listener can: the player's habits,
// and what is still to come.
type Limit struct {
	take   Take
	timing timing
	model  model
	// Escapes counts decisions of the take that no draw came upon.
	Escapes int
}

// model is how a family decides, note by note or a few notes at a time.
type model interface {
	// starts lists where the hand may be before the first note, all alike.
	starts() []state
	// block is the number of notes decided together from note i on.
	block(i int) int
	// steps lists what may be done with the notes of the block at i, given
	// the pitches of the take.
	steps(i int, from state) []step
}

// state is all that a player carries from note to note.
type state struct {
	cell
	at, since int // window: which of its notes is in hand, and the note it began at
}

// step is one thing that a player may do: cells to play, and where that leads.
type step struct {
	cells []cell
	to    state
	p     float64
}

// models of the families whose limit is known.
var models = map[string]func(h *habits, take Take, draws int) model{
	"improviser": newImproviserModel,
	"along":      newAlongModel,
	"walking":    newWalkingModel,
	"reader":     newReaderModel,
	"window":     newWindowModel,
}

// NewLimit prepares the limit of the take f.Play(seed, n). Chances that the
// player's rules leave implicit are counted from so many draws of each decision.
func (f Family) NewLimit(seed uint64, n, draws int) *Limit {
	take, played := f.perform(seed, n)
	h := newHabits(rand.New(rand.NewPCG(seed, habitStream)), take.Neck)
	m := models[f.Name](h, take, draws)
	h.rests = played.rests
	return &Limit{take: take, timing: timing{h, take}, model: m}
}

// Answer is how good the answers to one take were: the shares of notes whose
// position and whose string were right, and the mean probability of the
// positions given.
type Answer struct{ Exact, String, Claimed float64 }

// soonBlocks is the number of later decisions that an answer in time may hear.
const soonBlocks = 2

// Answers is how good the best answers are, told the strings or the pitches
// only, with the gaps and the slides heard or not: what can be said when the
// whole take is over, and what when two more decisions were heard. The tune
// itself counts as known to its end.
func (l *Limit) Answers(strings, gaps bool) (whole, soon Answer) {
	all, near := l.posteriors(strings, gaps)
	for i, hit := range l.take.Hits {
		whole.Add(all[i].judge(hit), 1/float64(len(all)))
		soon.Add(near[i].judge(hit), 1/float64(len(all)))
	}
	return whole, soon
}

// posteriors is what is known about each note from the whole take, and in time.
func (l *Limit) posteriors(strings, gaps bool) (whole, soon []marginal) {
	layers := l.forward(strings, gaps)
	last := len(layers) - 1
	whole, soon = make([]marginal, len(l.take.Hits)), make([]marginal, len(l.take.Hits))
	after := even(len(layers[last].states))
	for k := last; k > 0; k-- {
		now, before := &layers[k], &layers[k-1]
		to := min(last, k+soonBlocks)
		near := even(len(layers[to].states))
		for ; to > k; to-- {
			near = layers[to].back(near, len(layers[to-1].states))
		}
		size := l.model.block(now.note)
		copy(soon[now.note:], now.posterior(before.p, near, size))
		copy(whole[now.note:], now.posterior(before.p, after, size))
		after = now.back(after, len(before.states))
	}
	return whole, soon
}

// Add adds share of b to a.
func (a *Answer) Add(b Answer, share float64) {
	*a = Answer{a.Exact + share*b.Exact, a.String + share*b.String, a.Claimed + share*b.Claimed}
}

// marginal is what is known about one note.
type marginal struct{ position, str map[int]float64 }

// judge holds the likeliest position and string against the truth.
func (m marginal) judge(hit Hit) Answer {
	q := most(m.position)
	a := Answer{Claimed: m.position[q]}
	if q == hit.Position {
		a.Exact = 1
	}
	if most(m.str) == hit.Place.String {
		a.String = 1
	}
	return a
}

func even(n int) []float64 { return slices.Repeat([]float64{1}, n) }

// layer is the states between two blocks, their probabilities given the notes
// up to there, and the arcs that led there.
type layer struct {
	note   int // first of the block before
	states []state
	p      []float64
	arcs   []arc
}

// arc is a step from one state of a layer to one of the next.
type arc struct {
	from, to int
	cells    []cell
	p        float64
}

// back is how likely what comes after is from each of the n states before, up
// to a common factor.
func (l *layer) back(after []float64, n int) []float64 {
	earlier := make([]float64, n)
	for _, a := range l.arcs {
		earlier[a.from] += a.p * after[a.to]
	}
	top := slices.Max(earlier)
	for i := range earlier {
		earlier[i] /= top
	}
	return earlier
}

// posterior is what is known about the n notes of the block.
func (l *layer) posterior(before, after []float64, n int) []marginal {
	known := make([]marginal, n)
	for j := range known {
		known[j] = marginal{map[int]float64{}, map[int]float64{}}
	}
	sum := 0.0
	for _, a := range l.arcs {
		sum += before[a.from] * a.p * after[a.to]
	}
	for _, a := range l.arcs {
		p := before[a.from] * a.p * after[a.to] / sum
		for j, c := range a.cells {
			known[j].position[c.position] += p
			known[j].str[c.place.String] += p
		}
	}
	return known
}

func (l *Limit) forward(strings, gaps bool) []layer {
	before := layer{states: l.model.starts()}
	before.p = even(len(before.states))
	layers := []layer{before}
	for i := 0; i < len(l.take.Hits); i += l.model.block(i) {
		now := l.layer(i, before, strings, gaps, l.model.steps)
		if len(now.arcs) == 0 {
			l.Escapes++
			now = l.layer(i, before, strings, gaps, l.anything)
		}
		now.prune()
		layers = append(layers, now)
		before = now
	}
	return layers
}

// layer follows every step from the states before it that fits the notes.
func (l *Limit) layer(i int, before layer, strings, gaps bool, steps func(i int, from state) []step) layer {
	now, index := layer{note: i}, map[state]int{}
	for from, s := range before.states {
		for _, st := range steps(i, s) {
			p, last := st.p, s.cell
			for j, c := range st.cells {
				if strings && c.place != l.take.Hits[i+j].Place {
					p = 0
				} else if gaps && i+j > 0 {
					p *= l.timing.heard(i+j, last, c)
				}
				last = c
			}
			if p == 0 {
				continue
			}
			to, ok := index[st.to]
			if !ok {
				to = len(now.states)
				index[st.to] = to
				now.states, now.p = append(now.states, st.to), append(now.p, 0)
			}
			now.p[to] += before.p[from] * p
			now.arcs = append(now.arcs, arc{from, to, st.cells, p})
		}
	}
	return now
}

// negligible is the probability under which a state is let go of.
const negligible = 1e-5

// prune makes the probabilities sum to 1 and drops what is negligible.
func (l *layer) prune() {
	sum, kept := 0.0, 0
	for _, p := range l.p {
		sum += p
	}
	index := make([]int, len(l.states))
	for i, p := range l.p {
		index[i] = -1
		if p /= sum; p > negligible {
			index[i] = kept
			l.states[kept], l.p[kept] = l.states[i], p
			kept++
		}
	}
	l.states, l.p = l.states[:kept], l.p[:kept]
	arcs := l.arcs[:0]
	for _, a := range l.arcs {
		if a.to = index[a.to]; a.to >= 0 {
			a.p /= sum
			arcs = append(arcs, a)
		}
	}
	l.arcs = arcs
}

// anything lists every way to play the block, for what no draw came upon.
func (l *Limit) anything(i int, from state) []step {
	all := []step{{nil, from, 1}}
	for j := range l.model.block(i) {
		var longer []step
		for _, c := range l.timing.cells(l.take.Neck.Pitch(l.take.Hits[i+j].Place)) {
			for _, s := range all {
				longer = append(longer, step{append(s.cells[:j:j], c), state{cell: c}, 1})
			}
		}
		all = longer
	}
	return all
}

// cells lists every place and position that plays pitch.
func (h *habits) cells(pitch int) []cell {
	var all []cell
	for _, p := range h.places(pitch) {
		for q := 1; q <= h.top; q++ {
			if h.covers(q, p) {
				all = append(all, cell{p, q})
			}
		}
	}
	return all
}

// most is the key of the largest value, the lowest of equals.
func most(m map[int]float64) int {
	best := -1
	for k, p := range m {
		if best < 0 || p > m[best] || p == m[best] && k < best {
			best = k
		}
	}
	return best
}
