// Package fourth simulates bass players whose hands are known, in two sets: the
// same five families as package players, written from the description of the
// families alone by somebody who had not seen the tracker, long after it was
// tuned and as an examination of it. Its players are harder than the others':
// some hide their moves from the gaps, some land on any finger, some choose
// windows at random. Tests only.
//
// Start with Play, the set of plain players, and PlayFreely, that of players who
// take more liberties. A family is its music (tune.go and piece.go write lines,
// changes.go walks over chords, scale.go knows keys) and the way its hand is led
// through it (reader.go, improviser.go, window.go, along.go, walking.go, with
// plan.go for those who look ahead and hand.go for what lies where); timing.go
// strikes and releases the notes.
package fourth

import (
	"math/rand/v2"
	"slices"

	"stillhand/coach"
	"stillhand/session/internal/players"
)

// Families in order.
var Families = []string{"reader", "improviser", "window", "along", "walking"}

// set is how each family plays, in the order of Families.
type set struct {
	stream   uint64  // of random numbers, the first of the set's
	swings   float64 // share of the players who swing
	families [5]family
}

// family writes and fingers a line of n notes. A player slides up to the share
// slides of the moves that may be slid.
type family struct {
	play   func(p *player, n int) []event
	slides float64
}

var (
	plain = set{1, 0, [...]family{
		{(*player).read, 0.1},
		{(*player).improvise, 0.2},
		{(*player).windows, 0.2},
		{(*player).along, 0.3},
		{(*player).walk, 0},
	}}
	free = set{101, 0.3, [...]family{
		{(*player).readFreely, 0.1},
		{(*player).improviseFreely, 0.25},
		{(*player).windowsFreely, 0.25},
		{(*player).alongFreely, 0.4},
		{(*player).walkFreely, 0},
	}}
)

// event is one note of a line: as it is written, and how a hand takes it.
type event struct {
	pitch int
	beats float64 // it lasts
	rest  float64 // beats of silence after it
	over  harmony
	stance
	slid bool // slid into from the note before
}

// player is one player's hand and touch.
type player struct {
	*rand.Rand
	neck   coach.Neck
	system coach.System
	width  int
	touch  touch
}

// Play returns a take of n notes by the plain player of family that seed makes.
// It panics if family is none of Families.
func Play(family string, seed uint64, n int) players.Take { return plain.play(family, seed, n) }

// PlayFreely is Play for the set that takes liberties.
func PlayFreely(family string, seed uint64, n int) players.Take { return free.play(family, seed, n) }

func (s set) play(name string, seed uint64, n int) players.Take {
	index := slices.Index(Families, name)
	if index < 0 {
		panic("fourth: no family " + name)
	}
	neck, err := coach.ParseNeck("bass4")
	if err != nil {
		panic(err)
	}
	p := &player{Rand: rand.New(rand.NewPCG(seed, s.stream+uint64(index))), neck: neck}
	p.system = coach.Systems[seed%uint64(len(coach.Systems))]
	p.width = p.system.Width()
	return players.Take{Neck: neck, System: p.system, Hits: p.perform(s.line(p, index, n))}
}

// line draws how p plays, and what.
func (s set) line(p *player, index, n int) []event {
	f := s.families[index]
	p.touch = p.newTouch()
	if Families[index] == "walking" {
		p.touch.tempo = p.between(100, 200)
	}
	if p.chance(s.swings) {
		p.touch.swing = p.between(0.08, 0.18)
	}
	line := f.play(p, n)
	p.slides(line, p.between(0, f.slides))
	return line
}

func (p *player) between(a, b float64) float64 { return a + p.Float64()*(b-a) }

func (p *player) within(a, b int) int { return a + p.IntN(b-a+1) }

func (p *player) chance(x float64) bool { return p.Float64() < x }

func pick[T any](p *player, from ...T) T { return from[p.IntN(len(from))] }

// weighed is an index into weights, each as likely as it weighs.
func (p *player) weighed(weights ...float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	x := p.Float64() * sum
	for i, w := range weights {
		if x -= w; x < 0 {
			return i
		}
	}
	return len(weights) - 1
}

func abs(x int) int { return max(x, -x) }

// apart is how far a is from b.
func apart(a, b int) float64 { return float64(abs(a - b)) }
