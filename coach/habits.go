package coach

import "time"

// Habits is what was learnt of a player. The zero value is nothing learnt.
// Every field is a plain number or a list of them, fit for a profile file.
type Habits struct {
	Notes  float64 // notes heard
	Shifts float64 // expected shifts among them
	Open   float64 // expected notes on open strings

	// Expected notes by their gap, in bins that end at 0 (bound notes), 10, 20,
	// 35, 60, 100, 160, 250, 400, 800 ms and beyond, for a hand that stayed, a
	// move of one or two frets, and a longer one.
	StayGaps [gapBins]float64
	NearGaps [gapBins]float64
	FarGaps  [gapBins]float64

	// By style: reacting with the least moves, reacting freely, keeping to a
	// string, planning, placed. Weight (they sum to one), notes that forced no
	// move, and moves among them.
	Weight [len(styles)]float64
	Free   [len(styles)]float64
	Moved  [len(styles)]float64
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

// UsualGap is the median gap before notes for which the hand stayed, to the
// upper edge of its bin; 0 when nothing is learnt.
func (h Habits) UsualGap() time.Duration {
	n := 0.0
	for _, x := range h.StayGaps {
		n += x
	}
	sum := 0.0
	for i, x := range h.StayGaps[:gapBins-1] {
		if sum += x; n > 0 && sum >= n/2 {
			return time.Duration(gapEdges[i] * float64(time.Millisecond))
		}
	}
	if n == 0 {
		return 0
	}
	return time.Duration(gapEdges[gapBins-2] * float64(time.Millisecond))
}

// keptNotes bounds what earlier takes count for, in notes, so that a player
// who changes is followed.
const keptNotes = 300.0

// adopt starts the tracker from h.
func (t *Tracker) adopt(h Habits) {
	t.habits = h
	t.gaps = gaps{h.StayGaps, h.NearGaps, h.FarGaps}
	keep := min(1, keptNotes/max(1, h.Notes))
	for c := range t.gaps {
		for i := range t.gaps[c] {
			t.gaps[c][i] *= keep
		}
	}
	known := h.Notes / (h.Notes + habitNotes)
	for k, st := range styles {
		t.weights[k] = (1-known)*st.prior + known*h.Weight[k]
		t.prior[k] = t.weights[k]
	}
}

// habitNotes is how many notes it takes until the weights of a player's styles
// count for as much as the bank's own.
const habitNotes = 200.0

// learn takes a settled note into the player's habits.
func (t *Tracker) learn(f *frame, e Estimate, moves [moveClasses]float64) {
	h := &t.habits
	h.Notes++
	h.Shifts += e.Moved
	if e.Place.String != 0 && e.Place.Fret == 0 {
		h.Open += e.PlaceProbability
	}
	if f.bin >= 0 {
		for c, x := range moves {
			t.gaps[c][f.bin] += x
		}
	}
	t.heard++
	if t.heard >= t.relay {
		t.lays()
	}
}

// lays puts what was learnt in force. Notes in flight keep the layout they
// were heard with, so the other one is filled; it was last used 16 notes ago
// or more.
func (t *Tracker) lays() {
	t.lay = 1 - t.lay
	t.melody.lay()
	for _, c := range t.casts {
		c.lay(t.lay, t.melody)
	}
	t.relay = t.heard + min(max(layLeast, t.heard/3), layMost)
}

// How many notes lie between two layouts: few while there is much to learn.
const (
	layLeast = 16
	layMost  = 2048
)

// Habits is what is known of the player: from before, and from this take.
func (t *Tracker) Habits() Habits {
	h := t.habits
	h.StayGaps, h.NearGaps, h.FarGaps = t.gaps[0], t.gaps[1], t.gaps[2]
	copy(h.Weight[:], t.weights)
	for k, c := range t.casts {
		h.Free[k], h.Moved[k] = c.learnt.free, c.learnt.moved
	}
	return h
}

// Forget goes back to nothing learnt. The notes in flight and what was counted
// so far stay.
func (t *Tracker) Forget() {
	t.adopt(Habits{})
	t.heard, t.relay = 0, settleNotes+2
	for _, c := range t.casts {
		c.forget()
	}
}
