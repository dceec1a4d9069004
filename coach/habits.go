package coach

import "slices"

// Habits is what was learnt of a player. The zero value is nothing learnt.
// Every field is a plain number or a list of them, fit for a profile file.
type Habits struct {
	Notes  float64 // notes heard
	Shifts float64 // expected shifts among them
	Open   float64 // expected notes on open strings

	// Expected notes by their touch: bound ones by the gap before the next, in
	// bins that end at 0, 5, 10, 15, 20, 30 and 45 ms, and parted ones by the
	// silent share of the time between onsets, in twentieths. Expected moves of
	// one or two frets, and of more, by the time they took, in bins that end at
	// 10, 20, 30, 40, 55, 75, 100, 135, 180, 250, 400 and 1000 ms.
	Bound     [boundBins]float64
	Parted    [partBins]float64
	NearTimes [needBins]float64
	FarTimes  [needBins]float64

	// Expected moves that no gap showed, and all others, each as far as it was sure.
	Hidden, Shown float64

	// Expected bound notes that had ended when the next was struck, and that had not: of
	// two on one string, of two on different strings after a fretted note, and
	// after an open string.
	Ended [crossings]float64
	Held  [crossings]float64

	// By style (see styles): weight (they sum to one), notes that forced no move,
	// and moves among them.
	Weight [len(styles)]float64
	Free   [len(styles)]float64
	Moved  [len(styles)]float64
}

// mostHeard bounds the numbers of Habits: more notes than a life holds.
const mostHeard = 1e10

// Valid reports whether a player can have left h: numbers from 0 to mostHeard, no
// more shifts, open strings or moves than notes, weights of one at most together.
func (h Habits) Valid() bool {
	const rounding = 1e-6
	for _, counts := range [][]float64{
		{h.Notes, h.Shifts, h.Open, h.Hidden, h.Shown}, h.Bound[:], h.Parted[:], h.NearTimes[:], h.FarTimes[:],
		h.Ended[:], h.Held[:], h.Weight[:], h.Free[:], h.Moved[:],
	} {
		for _, n := range counts {
			if !(n >= 0 && n <= mostHeard) { // so that what is no number is not valid
				return false
			}
		}
	}
	for k := range h.Free {
		if h.Moved[k] > h.Free[k]+rounding {
			return false
		}
	}
	notes := h.Notes * (1 + rounding)
	return h.Shifts <= notes && h.Open <= notes && sum(h.Weight[:]) <= 1+rounding
}

// ShiftRate is the share of notes that came with a shift.
func (h Habits) ShiftRate() float64 { return h.Shifts / max(1, h.Notes) }

// OpenShare is the share of notes played on open strings.
func (h Habits) OpenShare() float64 { return h.Open / max(1, h.Notes) }

// Ahead is the weight of the styles that place the hand for notes to come,
// against those that react, from 0 to 1; 0 when nothing is learnt.
func (h Habits) Ahead() float64 {
	w := 0.0
	for k, st := range styles {
		if st.manner != reacting {
			w += h.Weight[k]
		}
	}
	return w
}

// Touch is the share of notes bound to the next, and the median of how much of
// the time to the next note the others leave silent, both from 0 to 1 and 0
// when nothing is learnt.
func (h Habits) Touch() (bound, silent float64) {
	b, p := sum(h.Bound[:]), sum(h.Parted[:])
	if b+p == 0 {
		return 0, 0
	}
	below := 0.0
	for i, x := range h.Parted {
		if below += x; p > 0 && below >= p/2 {
			return b / (b + p), (float64(i) + 1 - (below-p/2)/x) / partBins
		}
	}
	return b / (b + p), 0
}

// Unseen is the share of moves that no gap showed, from 0 to 1 and 0 when nothing
// is learnt. It comes out high: 0.07 of a hand that showed all its moves, 0.43 of
// one that hid a fourth of them, 0.64 of one that hid half, on simulated players.
func (h Habits) Unseen() float64 { return h.Hidden / max(1, h.Hidden+h.Shown) }

// Overlap is the share of bound notes that still sounded when the next was
// struck on another string, from 0 to 1 and 0 when nothing is learnt.
func (h Habits) Overlap() float64 {
	held := h.Held[otherString] + h.Held[offOpen]
	return held / max(1, held+h.Ended[otherString]+h.Ended[offOpen])
}

func sum(counts []float64) float64 {
	n := 0.0
	for _, x := range counts {
		n += x
	}
	return n
}

// keptNotes bounds what earlier takes count for, in notes, so that a player who
// changes is followed, keptTouch what their touch does: it changes with the tune.
const (
	keptNotes = 300.0
	keptTouch = 40.0
)

// adopt starts the styles of the system in force from h. A style whose leading
// fingers the system does not have is left out, and keeps its weight in Habits
// for a system that has them.
func (t *Tracker) adopt(h Habits) {
	t.habits = h
	before := touch{bound: h.Bound, parted: h.Parted, need: [...][needBins]float64{h.NearTimes, h.FarTimes},
		hidden: h.Hidden, shown: h.Shown}
	before.scale(min(1, keptTouch/max(1, sum(h.Bound[:])+sum(h.Parted[:]))))
	for k := range t.touches {
		t.touches[k] = before
	}
	t.sustain = sustain{h.Ended, h.Held}
	t.sustain.scale(min(1, keptTouch/max(1, t.sustain.notes())))
	known := h.Notes / (h.Notes + habitNotes)
	t.everyone, t.absent = t.everyone[:0], 0
	total := 0.0
	for k, st := range styles {
		w := (1-known)*st.prior + known*h.Weight[k]
		t.weights[k], t.tastes[k], t.habits.Weight[k] = 0, 0, w
		if max(st.up, st.down) > t.system.Width() {
			t.absent += w
			continue
		}
		t.everyone = append(t.everyone, k)
		t.weights[k] = w
		total += w
	}
	for _, k := range t.everyone {
		t.weights[k] /= total
		t.tastes[k] = t.taste(k)
		c := t.casts[k]
		keep := min(1, keptNotes/max(1, h.Free[k]))
		c.learnt.free, c.learnt.moved = keep*h.Free[k], keep*h.Moved[k]
		c.lay(t.melody)
	}
	copy(t.prior, t.weights)
	t.awake = append(t.awake[:0], t.everyone...)
	t.relay = t.heard + layLeast
}

// habitNotes is how many notes it takes until the weights of a player's styles
// count for as much as the bank's own.
const habitNotes = 200.0

// learn takes a settled note into the player's habits. Noise has none.
func (t *Tracker) learn(f *frame, e *Estimate, into *change) {
	if f.noise() {
		return
	}
	h := &t.habits
	h.Notes++
	h.Shifts += e.Moved
	if e.Place.String != 0 && e.Place.Fret == 0 {
		h.Open += e.PlaceProbability
	}
	if f.link == struck {
		for _, k := range f.ears {
			moves := t.changes[k].moves
			if moves == [moveClasses]float64{} { // it was not asked: it takes the others' word
				moves = into.moves
			}
			t.touches[k].learn(&f.tells[k].reading, moves)
		}
		if f.from.link != placeless { // or it is not known what sounded where
			t.sustain.learn(f.note.Sounding, f.tells[t.heaviest(f.ears)].reading.share(), into.strings)
		}
	}
	if t.heard < touchOften || t.heard%touchOften == 0 {
		for _, k := range f.ears {
			t.touches[k].lay()
		}
	}
	t.heard++
	if t.heard >= t.relay { // what was learnt is put in force for the notes to come
		t.melody.lay()
		t.layCasts()
	}
}

// layCasts lays the styles that learn anew, with the melody in force.
func (t *Tracker) layCasts() {
	for k, c := range t.casts[:commonStyles] {
		if c.stale = !slices.Contains(t.awake, k); !c.stale {
			c.lay(t.melody)
		}
	}
	t.relay = t.heard + min(max(layLeast, t.heard/3), layMost)
}

// How many notes lie between two layouts: few while there is much to learn.
const (
	layLeast = 32
	layMost  = 8192
)

// Habits is what is known of the player: from before, and from this take.
func (t *Tracker) Habits() Habits {
	h := t.habits
	touch := &t.touches[t.leading()]
	h.Bound, h.Parted, h.NearTimes, h.FarTimes = touch.bound, touch.parted, touch.need[0], touch.need[1]
	h.Hidden, h.Shown = touch.hidden, touch.shown
	h.Ended, h.Held = t.sustain.ended, t.sustain.held
	for _, k := range t.everyone {
		h.Weight[k] = max(0, 1-t.absent) * t.weights[k]
	}
	for k, c := range t.casts {
		h.Free[k], h.Moved[k] = c.learnt.free, c.learnt.moved
	}
	return h
}
