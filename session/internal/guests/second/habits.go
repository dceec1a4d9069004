package second

import (
	"math"
	"math/rand/v2"

	"stillhand/coach"
)

// openHabit is what a player does when an open string would serve.
type openHabit int

const (
	openNever  openHabit = iota // for tone or damping, next to never
	openLow                     // whenever the hand is near the nut
	openRescue                  // only to spare a move
	openLoved                   // nearly always
)

// articulation is how notes end.
type articulation int

const (
	legato   articulation = iota // one into the next
	detached                     // a little air
	staccato                     // half of it silent
	mixed                        // phrase by phrase
)

// habits are private to a player, whatever the family.
type habits struct {
	system coach.System
	width  int
	top    int // highest position
	home   int
	open   openHabit
	// crossing: frets of travel that the player would rather make than cross
	// one more string. Negative: likes to cross.
	crossing float64
	// landing is the finger offset under which a note is taken after a move:
	// going up, going down. -1: whatever is nearest.
	landUp, landDown int
	extend           float64 // chance to stretch one fret instead of moving

	bpm, swing, jitter, drift float64
	touch                     articulation
	ring                      bool    // open strings ring over
	shiftBase, shiftMM        float64 // ms, ms per mm to the power shiftPow
	shiftPow                  float64
	late                      float64 // share of missing shift time that delays the next note
	slide                     float64 // chance that a move along one string is a slide
	loud, accent, loose       float64 // velocity
	weak                      int     // finger offset that plays softer
	cells                     [][]float64
	phrase                    int     // notes in a phrase, about
	breathe                   float64 // chance of a rest after a phrase
}

// drawHabits draws from lists of distinct manners rather than around a mean:
// two players of one family should not sound alike.
func drawHabits(r *rand.Rand, neck coach.Neck) habits {
	h := habits{system: coach.Systems[r.IntN(len(coach.Systems))]}
	h.width = h.system.Width()
	h.top = neck.Positions(h.width)
	h.home = []int{1, 1, 1, 2, 2, 2, 3, 3, 3, 5, 7}[r.IntN(11)]
	h.open = openHabit(weighted(r, []float64{1, 3, 2, 3}))
	h.crossing = []float64{-0.2, 0.3, 1, 2.5}[r.IntN(4)] + between(r, -0.3, 0.3)
	h.landUp, h.landDown = -1, -1
	switch r.IntN(8) {
	case 0: // the index finger leads everywhere
		h.landUp, h.landDown = 0, 0
	case 1: // leaves room in the direction of travel
		h.landUp, h.landDown = 0, h.width-1
	case 2: // the middle finger aims
		h.landUp, h.landDown = 1, 1
	}
	h.extend = []float64{0, 0, 0.02, 0.05, 0.1}[r.IntN(5)]

	h.bpm = 58 * math.Exp2(between(r, 0, 1.7)) // 58 to 188
	h.swing = []float64{0, 0, 0.12, 0.3}[r.IntN(4)]
	h.jitter = []float64{3, 8, 14, 24}[r.IntN(4)]
	h.drift = between(r, 0, 0.006)
	h.touch = articulation(weighted(r, []float64{3, 3, 2, 2}))
	h.ring = chance(r, 0.4)
	h.shiftBase = between(r, 15, 70)
	h.shiftPow = between(r, 0.5, 1)
	h.shiftMM = between(r, 60, 150) / math.Pow(200, h.shiftPow)
	h.late = []float64{0, 0.2, 0.6}[r.IntN(3)]
	h.slide = []float64{0, 0, 0.05, 0.2}[r.IntN(4)]
	h.loud, h.accent, h.loose = between(r, 58, 100), between(r, 0, 18), between(r, 2, 9)
	h.weak = r.IntN(h.width + 1)
	all := [][]float64{{1, 1}, {0.5, 0.5}, {0.5, 0.5, 0.5, 0.5}, {1, 0.5, 0.5}, {0.75, 0.25},
		{1.5, 0.5}, {1. / 3, 1. / 3, 1. / 3}, {0.25, 0.25, 0.25, 0.25}, {0.5, 0.25, 0.25}, {2}}
	for range from(r, 2, 4) {
		c := all[r.IntN(len(all))]
		if 60000/h.bpm*c[len(c)-1] < 105 { // nobody plays everything that fast
			c = all[r.IntN(4)]
		}
		h.cells = append(h.cells, c)
	}
	h.phrase = []int{6, 8, 12, 16, 24}[r.IntN(5)]
	h.breathe = []float64{0, 0.3, 0.9}[r.IntN(3)]
	return h
}
