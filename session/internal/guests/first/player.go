// Package first simulates bass players whose hands are known: the same five
// families as package players, written from the description of the families
// alone, without sight of the tracker or of the other sets. Tests only.
//
// Start with Play in player.go, which draws a player's habits. A family decides
// what is played and where the hand goes (reader.go, improviser.go, window.go,
// along.go, walking.go); score.go writes music, hand.go knows what lies under
// the hand, and timing.go strikes and releases the notes.
package first

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"

	"stillhand/coach"
	"stillhand/session/internal/players"
)

// Families in order.
var Families = []string{"reader", "improviser", "window", "along", "walking"}

// player is one player's private habits.
type player struct {
	rng   *rand.Rand
	neck  coach.Neck
	sys   coach.System
	width int
	top   int // highest position the player goes to

	// The hand.
	open   float64 // fondness of open strings, 0 to 1
	cross  float64 // dislike of crossing a string, 0.1 to 1
	extend float64 // chance of an extension where one would do
	home   int     // position where the player feels at home

	// Time.
	bpm     float64
	jitter  float64 // ms, standard deviation
	drift   float64 // tempo wander a note
	hold    float64 // share of the gap that a note sounds, about 1 is legato
	holdVar float64
	overlap float64 // ms that a note rings into the next on another string
	lift    float64 // ms that any shift takes
	perMM   float64 // ms for each doubling of the way
	careful float64 // chance that the note before a shift is cut for it
	slide   float64 // chance that a shift that could be a slide is one
	loud    float64
	uneven  float64
}

// Play returns a take of n notes by the player that seed makes. It panics if
// family is none of Families.
//
// A hand that hardly ever moves says nothing about shifts: such a player is
// sent home and the next one plays.
func Play(family string, seed uint64, n int) players.Take {
	h := fnv.New64a()
	h.Write([]byte(family))
	rng := rand.New(rand.NewPCG(seed, h.Sum64()))
	for try := 0; ; try++ {
		p := newPlayer(rng, coach.Systems[seed%uint64(len(coach.Systems))])
		take := players.Take{Neck: p.neck, System: p.sys, Hits: p.perform(p.decide(family, n))}
		if take.Shifts() >= n/30 || try == 30 {
			return take
		}
	}
}

// decide chooses n notes and the hand's place for each.
func (p *player) decide(family string, n int) []note {
	switch family {
	case "reader":
		return p.read(n)
	case "improviser":
		return p.improvise(n)
	case "window":
		return p.windows(n)
	case "along":
		return p.along(n)
	case "walking":
		return p.walk(n)
	}
	panic(fmt.Sprintf("first: family %q is none of %v", family, Families))
}

func newPlayer(rng *rand.Rand, sys coach.System) *player {
	neck, err := coach.ParseNeck("bass4")
	if err != nil {
		panic(err)
	}
	p := &player{rng: rng, neck: neck, sys: sys, width: sys.Width()}
	p.top = min(neck.Positions(p.width), 9+rng.IntN(7))
	p.open = [...]float64{0.02, 0.2, 0.5, 0.9}[rng.IntN(4)]
	p.cross = p.in(0.1, 1)
	p.home = 1 + rng.IntN(7)
	if rng.IntN(3) == 0 {
		p.extend = p.in(0.005, 0.03)
	}
	p.bpm = p.in(72, 150)
	p.jitter = p.in(3, 16)
	p.drift = p.in(0, 0.003)
	switch rng.IntN(3) {
	case 0: // short
		p.hold, p.holdVar = p.in(0.35, 0.65), 0.06
	case 1: // plain
		p.hold, p.holdVar = p.in(0.75, 0.92), 0.07
	default: // legato
		p.hold, p.holdVar = p.in(0.97, 1.03), 0.03
	}
	p.overlap = p.in(5, 45)
	p.lift = p.in(25, 60)
	p.perMM = p.in(12, 30)
	p.careful = p.in(0.75, 0.98)
	if rng.IntN(4) == 0 {
		p.slide = p.in(0.1, 0.4)
	}
	p.loud = p.in(66, 104)
	p.uneven = p.in(3, 11)
	return p
}

// in draws evenly between lo and hi.
func (p *player) in(lo, hi float64) float64 { return lo + (hi-lo)*p.rng.Float64() }

// chance is true with probability q.
func (p *player) chance(q float64) bool { return p.rng.Float64() < q }

// pick draws an index by weight; every weight zero gives -1.
func (p *player) pick(weights []float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	u := p.rng.Float64() * sum
	last := -1
	for i, w := range weights {
		if w <= 0 {
			continue
		}
		last = i
		if u -= w; u < 0 {
			break
		}
	}
	return last
}
