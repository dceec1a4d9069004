// Package second simulates bass players whose hands are known: the same five
// families as package players, written from the description of the families
// alone, without sight of the tracker or of the other sets. Tests only.
//
// Start with Play in player.go. A player is a seed: it draws private habits
// (habits.go) and a temperament for the family (reader.go, improviser.go,
// window.go, along.go, walking.go). The music comes from composer.go or from
// the family, the hand follows the rules in hand.go or in the family's own
// file, and timing.go strikes and releases the notes.
package second

import (
	"hash/fnv"
	"math/rand/v2"

	"stillhand/coach"
	"stillhand/session/internal/players"
)

// Families in order.
var Families = []string{"reader", "improviser", "window", "along", "walking"}

// step is one note decided: what is played and where the hand is.
type step struct {
	beats    float64 // from this onset to the next
	rest     float64 // share of beats that stays silent, at the end of a phrase
	pitch    int
	place    coach.Place
	position int
	slid     bool
	accent   bool
	breath   bool // a phrase starts here
}

// player is one person: habits, and three streams of chance so that a longer
// take of the same player starts with the same music.
type player struct {
	habits
	neck  coach.Neck
	music *rand.Rand
	hand  *rand.Rand
	time  *rand.Rand
	at    int         // position now
	last  coach.Place // last place played
}

// Play returns a take of n notes by the player that seed makes. It panics if
// family is none of Families.
func Play(family string, seed uint64, n int) players.Take {
	neck, err := coach.ParseNeck("bass4")
	if err != nil {
		panic(err)
	}
	h := fnv.New64a()
	h.Write([]byte(family))
	stream := func(k uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, h.Sum64()+k)) }
	p := &player{neck: neck, music: stream(1), hand: stream(2), time: stream(3)}
	p.habits = drawHabits(stream(0), neck)
	p.at, p.last = p.home, coach.Place{String: 3, Fret: p.home}
	var steps []step
	switch family {
	case "reader":
		steps = newReader(p, stream(4)).play(n)
	case "improviser":
		steps = newImproviser(p, stream(4)).play(n)
	case "window":
		steps = newWindow(p, stream(4)).play(n)
	case "along":
		steps = newAlong(p, stream(4)).play(n)
	case "walking":
		steps = newWalking(p, stream(4)).play(n)
	default:
		panic("second: no family " + family)
	}
	for i := range steps[:n] { // open strings do not move the hand
		if i > 0 && steps[i].place.Fret == 0 {
			steps[i].position = steps[i-1].position
		}
		s := &steps[i] // and a slide needs a way along the string
		s.slid = s.slid && i > 0 && s.position != steps[i-1].position && s.place.String == steps[i-1].place.String && steps[i-1].place.Fret > 0
	}
	return players.Take{Neck: neck, System: p.system, Hits: p.render(steps[:n])}
}

// between draws evenly from lo to hi.
func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// from draws evenly from the whole numbers lo to hi, both included.
func from(r *rand.Rand, lo, hi int) int { return lo + r.IntN(hi-lo+1) }

// chance is true with probability q.
func chance(r *rand.Rand, q float64) bool { return r.Float64() < q }

// weighted draws an index by weight.
func weighted(r *rand.Rand, w []float64) int {
	sum := 0.0
	for _, x := range w {
		sum += x
	}
	u := r.Float64() * sum
	for i, x := range w {
		if u -= x; u < 0 {
			return i
		}
	}
	return len(w) - 1
}

func abs(x int) int { return max(x, -x) }
