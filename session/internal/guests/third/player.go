// Package third simulates bass players whose hands are known: the same five
// families as package players, written from the description of the families
// alone, without sight of the tracker or of the other sets. The tracker is
// kept from it in the search for its numbers: what it reaches here is near what
// it reaches on strangers. Tests only.
//
// Start with Play in player.go, which draws a player's habits. The family
// decides how the hand is led (reader.go, improviser.go, window.go, along.go,
// walking.go, by the rules of hand.go) through what tune.go and changes.go
// write; timing.go turns that into onsets and releases with the player's touch
// (touch.go).
package third

import (
	"math/rand/v2"
	"slices"

	"stillhand/coach"
	"stillhand/session/internal/players"
)

// Families in order.
var Families = []string{"reader", "improviser", "window", "along", "walking"}

// step is one note of the score with the hand that plays it.
type step struct {
	place  coach.Place
	pos    int
	beat   float64 // when it is due, in quarter notes
	length float64 // written length in quarter notes
	phrase int     // counts phrases; articulation is chosen for each
	slid   bool    // slid into from the note before
}

// player is one player's habits.
type player struct {
	r     *rand.Rand
	neck  coach.Neck
	sys   coach.System
	width int
	last  int // highest position
	touch touch
	hand  habits
	key   int   // pitch class
	scale []int // semitones above the key
}

// habits are what a hand likes, whoever leads it.
type habits struct {
	open     float64 // chance to take an open string where there is a choice
	cross    float64 // dislike of another string, in frets of movement
	home     int     // position where the player feels at home
	top      int     // highest fret played
	stretch  float64 // chance to reach one fret out of the window instead of moving
	favour   float64 // chance to land on the favourite finger instead of moving least
	finger   int     // offset of the favourite finger
	ornament float64 // chance that a shift on one string is a slide
}

// Play returns a take of n notes by the player that seed makes. It panics if
// family is none of Families.
//
// A player whose
// hand would hardly move (under one note in fifty) makes way for another: a
// count of shifts says nothing about them.
func Play(family string, seed uint64, n int) players.Take {
	index := slices.Index(Families, family)
	if index < 0 {
		panic("third: no family " + family)
	}
	var take players.Take
	for try := range uint64(20) {
		p := newPlayer(seed, index, try)
		var score []step
		switch family {
		case "reader":
			score = p.read(n)
		case "improviser":
			score = p.improvise(n)
		case "window":
			score = p.windows(n)
		case "along":
			score = p.along(n)
		case "walking":
			score = p.walk(n)
		}
		take = players.Take{Neck: p.neck, System: p.sys, Hits: p.perform(score[:n])}
		if take.Shifts()*50 >= n {
			break
		}
	}
	return take
}

func newPlayer(seed uint64, family int, try uint64) *player {
	// The golden ratio in 64 bits keeps the families' streams apart.
	r := rand.New(rand.NewPCG(seed, uint64(family)*0x9e3779b97f4a7c15+3+try<<32))
	neck, err := coach.ParseNeck("bass4")
	if err != nil {
		panic(err)
	}
	p := &player{r: r, neck: neck}
	p.sys = coach.Systems[(seed+uint64(family))%uint64(len(coach.Systems))]
	p.width = p.sys.Width()
	p.last = neck.Positions(p.width)
	p.key = r.IntN(12)
	p.scale = scales[r.IntN(len(scales))]
	p.hand = habits{
		open:     pick(r, 0.05, 0.3, 0.6, 0.95),
		cross:    p.between(0.1, 1.6),
		home:     pick(r, 1, 1, 1, 2, 2, 3, 4, 6),
		top:      9 + r.IntN(8),
		stretch:  pick(r, 0, 0, 0.02, 0.05),
		favour:   p.between(0.05, 0.35),
		finger:   r.IntN(p.width),
		ornament: pick(r, 0, 0, 0, 0.06),
	}
	p.touch = p.newTouch(family)
	return p
}

func pick[T any](r *rand.Rand, from ...T) T { return from[r.IntN(len(from))] }

func (p *player) between(a, b float64) float64 { return a + (b-a)*p.r.Float64() }

func (p *player) chance(x float64) bool { return p.r.Float64() < x }

func abs(x int) int { return max(x, -x) }
