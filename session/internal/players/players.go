// Package players simulates bass players whose hands are known, so that what
// the tracker says can be held against the truth.
//
// Start with Tuned: each family makes players with private habits from a seed,
// and each player makes takes. The formulas here are deliberately not the
// tracker's: hands are decided by rules, costs in mm and lists of favourite
// places, never by the kernels that the tracker weighs. Tests only.
package players

import (
	"math/rand/v2"
	"time"

	"stillhand/coach"
)

// Hit is one note as it was really played.
type Hit struct {
	On, Off  time.Duration
	Place    coach.Place
	Position int // of the hand
	Velocity int
	Slid     bool // the finger slid here from the note before, same string
}

// Take is one performance.
type Take struct {
	Neck   coach.Neck
	System coach.System
	Hits   []Hit
}

// Shifts counts the hand's moves from note to note.
func (t Take) Shifts() int {
	n := 0
	for i := 1; i < len(t.Hits); i++ {
		if t.Hits[i].Position != t.Hits[i-1].Position {
			n++
		}
	}
	return n
}

// Family is one kind of player.
type Family struct {
	Name string
	play func(h *habits, n int) []Hit
}

// Tuned are the five families; the tracker may be tuned on them.
var Tuned = []Family{
	{"reader", playReader},
	{"improviser", playImproviser},
	{"window", playWindow},
	{"along", playAlong},
	{"walking", playWalking},
}

// Play returns a take of n notes by the player that seed makes.
func (f Family) Play(seed uint64, n int) Take {
	take, _ := f.perform(seed, n)
	return take
}

// habitStream is the stream of random numbers, of a seed, that habits come from.
const habitStream = 0x5717

// perform plays a take and returns the player's habits with it.
func (f Family) perform(seed uint64, n int) (Take, *habits) {
	neck, err := coach.ParseNeck("bass4")
	if err != nil {
		panic(err)
	}
	h := newHabits(rand.New(rand.NewPCG(seed, habitStream)), neck)
	hits := f.play(h, n)
	h.addSlides(hits)
	h.addTime(hits)
	return Take{neck, h.system, hits}, h
}

// habits are private to one player.
type habits struct {
	*rand.Rand
	neck   coach.Neck
	system coach.System
	width  int
	top    int // last position

	open     float64 // likes open strings, 0 to 1
	low      int     // where the hand likes to be
	high     int
	noise    float64 // of decisions
	slides   float64 // share of possible slides that are slid
	extends  float64 // share of notes just outside the window taken by reaching
	finger   int     // offset of the leading finger after a move
	overshot float64 // share of moves that go further than needed

	crossDislike float64 // improviser: of leaving a string

	// time
	tempo    float64 // quarter notes a minute
	duty     float64 // sounding share of a struck note
	legato   float64 // share of notes bound to the next
	jitter   float64 // ms
	settleMS float64 // least time of a move
	speedMS  float64 // further time, a square root of mm
	swing    float64
	rests    []bool // notes of the take that end a phrase
	line     *line
}

func newHabits(r *rand.Rand, neck coach.Neck) *habits {
	h := &habits{Rand: r, neck: neck, system: coach.Systems[r.IntN(2)]}
	h.width = h.system.Width()
	h.top = neck.Positions(h.width)
	h.open = r.Float64() * r.Float64()
	h.low = 1 + r.IntN(4)
	h.high = min(h.top, 9+r.IntN(8))
	h.noise = 0.8 * r.Float64() * r.Float64()
	h.slides = 0.15 * r.Float64()
	h.extends = 0.15 * r.Float64() * r.Float64()
	h.finger = r.IntN(h.width)
	h.overshot = 0.4 * r.Float64()
	h.tempo = 70 + 90*r.Float64()
	h.duty = 0.5 + 0.48*r.Float64()
	h.legato = r.Float64()
	h.jitter = 3 + 12*r.Float64()
	h.settleMS = 15 + 45*r.Float64()
	h.speedMS = 3 + 6*r.Float64()
	h.swing = 0.5 + 0.17*r.Float64()
	h.line = newLine(h)
	return h
}

func (h *habits) chance(p float64) bool { return h.Float64() < p }

// spread is a noise of decisions with mean 0.
func (h *habits) spread() float64 { return h.NormFloat64() * h.noise }

func (h *habits) clamp(p int) int { return max(1, min(h.top, p)) }

func (h *habits) covers(position int, p coach.Place) bool { return h.system.Covers(position, p) }

// places lists where pitch lies.
func (h *habits) places(pitch int) []coach.Place { return h.neck.Places(nil, pitch) }

// addSlides makes slides of some moves along one string under one finger.
func (h *habits) addSlides(hits []Hit) {
	for i := 1; i < len(hits); i++ {
		a, b := hits[i-1], hits[i]
		d := b.Place.Fret - a.Place.Fret
		if a.Place.String == b.Place.String && a.Place.Fret > 0 && b.Place.Fret > 0 &&
			d != 0 && d == b.Position-a.Position && max(d, -d) <= 7 && h.chance(h.slides) {
			hits[i].Slid = true
		}
	}
}
