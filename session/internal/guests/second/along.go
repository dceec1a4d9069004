package second

import (
	"math/rand/v2"
	"slices"

	"stillhand/coach"
)

// alonger travels on one string. The music is the walk along it; the private
// part is how many notes a hand's breadth takes and how it is carried on.
type alonger struct {
	*player
	comp    *composer
	str     int
	low     int // frets in use
	high    int
	manner  int
	strict  float64 // chance to keep to the manner at a move
	drone   float64 // chance that an open string answers
	leave   float64 // chance to change the string at a phrase
	sink    float64 // chance, high up, to turn back down
	turn    float64 // chance to turn round within a phrase
	repeats float64 // chance to play a note twice
	worry   float64 // chance to go over the notes under the hand once more
}

func newAlong(p *player, r *rand.Rand) *alonger {
	a := &alonger{player: p, comp: newComposer(p, r, 28, 65)}
	a.str = []int{1, 2, 3, 3, 3, 4, 4, 4, 4, 4}[r.IntN(10)]
	a.low = []int{1, 1, 1, 2}[r.IntN(4)]
	a.high = a.low + from(r, 4, 6)
	a.manner = []int{0, 1, 1, 1, 1, 2, 3, 4}[r.IntN(8)]
	a.strict = []float64{0.25, 0.5, 0.75}[r.IntN(3)]
	a.drone = []float64{0, 0, 0.15, 0.3}[r.IntN(4)]
	a.leave = []float64{0, 0.1, 0.25}[r.IntN(3)]
	a.turn = []float64{0.05, 0.15, 0.3}[r.IntN(3)]
	a.sink = []float64{0, 0.3, 0.6}[r.IntN(3)]
	a.repeats = []float64{0.2, 0.4, 0.6}[r.IntN(3)]
	a.worry = []float64{0.35, 0.5, 0.75}[r.IntN(3)]
	p.slide = min(1, 2*p.slide)
	return a
}

// frets lists the key's frets on the string, ascending; as many as it takes to
// leave one hand's breadth.
func (a *alonger) frets() []int {
	var out []int
	for f := a.low; f <= a.high || len(out) < 4 || out[len(out)-1]-out[0] <= a.width; f++ {
		if slices.Contains(a.comp.tones, a.neck.Open[a.str-1]+f) {
			out = append(out, f)
		}
	}
	return out
}

func (a *alonger) play(n int) []step {
	frets := a.frets()
	k, dir := 0, 1
	a.at = a.clamp(frets[k])
	var out []step
	for len(out) < n {
		m := a.music
		if chance(m, a.comp.stray) {
			a.comp.rekey(m)
		}
		if chance(m, a.leave) {
			a.str = min(max(a.str+1-2*m.IntN(2), 1), a.neck.Strings())
		}
		frets = a.frets()
		k = min(k, len(frets)-1)
		var walk []int // frets; -1 for the drone
		for length := max(4, a.phrase+from(m, -2, 2)); len(walk) < length; {
			walk = append(walk, frets[k])
			if chance(m, a.repeats) {
				walk = append(walk, frets[k])
			}
			if chance(m, a.worry) {
				walk = append(walk, a.under(walk)...)
			}
			if chance(m, a.drone) {
				walk = append(walk, -1)
			}
			d := dir
			if chance(m, 0.1) {
				d *= 2
			}
			if k+d < 0 || k+d >= len(frets) || chance(m, a.turn) || dir > 0 && k > len(frets)/2 && chance(m, a.sink) {
				dir = -dir
				d = dir
			}
			k = min(max(k+d, 0), len(frets)-1)
		}
		out = append(out, a.take(walk)...)
	}
	return out
}

// under is the latest notes of walk that one hand holds, in a new order that
// ends where the walk is.
func (a *alonger) under(walk []int) []int {
	at := walk[len(walk)-1]
	lo, hi := at, at
	var out []int
	for i := len(walk) - 2; i >= 0 && len(out) < 5; i-- {
		f := walk[i]
		if f < 0 || max(hi, f)-min(lo, f) >= a.width {
			break
		}
		lo, hi = min(lo, f), max(hi, f)
		out = append(out, f)
	}
	if chance(a.music, 0.5) {
		slices.Reverse(out)
	}
	return append(out, at)
}

// take puts a hand to the walk.
func (a *alonger) take(walk []int) []step {
	drone := a.str
	if a.open != openLoved && a.str < a.neck.Strings() {
		drone++ // the string below
	}
	places := make([]coach.Place, len(walk))
	pitches := make([]int, len(walk))
	for i, f := range walk {
		places[i] = coach.Place{String: a.str, Fret: f}
		if f < 0 {
			places[i] = coach.Place{String: drone}
		}
		pitches[i] = a.neck.Pitch(places[i])
	}
	out := a.rhythm(pitches)
	for i := range out {
		s := &out[i]
		s.place = places[i]
		if f := s.place.Fret; f > 0 {
			if to := a.carry(f, ahead(walk, i)); to != a.at {
				s.slid = a.last.String == a.str && a.last.Fret > 0 && f != a.last.Fret && chance(a.hand, a.slide)
				a.at = to
			}
		}
		s.position, a.last = a.at, s.place
	}
	return out
}

// ahead is +1 if the walk next goes up from i, -1 down, 0 nowhere.
func ahead(walk []int, i int) int {
	for _, f := range walk[i+1:] {
		if f > walk[i] {
			return 1
		}
		if f >= 0 && f < walk[i] {
			return -1
		}
	}
	return 0
}

// carry is the position from which this player takes fret f when the line goes
// on in direction dir.
func (a *alonger) carry(f, dir int) int {
	inside := a.system.Covers(a.at, coach.Place{String: 1, Fret: f})
	last := a.width - 1
	manner := a.manner
	if !chance(a.hand, a.strict) {
		manner = 1
	}
	switch manner {
	case 0: // fills the hand, then sets it down afresh in the line's direction
		if inside {
			return a.at
		}
		if f > a.at {
			return a.clamp(f)
		}
		return a.clamp(f - last)
	case 1: // the least that reaches
		if inside {
			return a.at
		}
		if f > a.at {
			return a.clamp(f - last)
		}
		return a.clamp(f)
	case 2: // outer fingers only: an inner finger will not do on the way
		if inside && (f == a.at || f == a.at+last || chance(a.hand, 0.5)) {
			return a.at
		}
		if dir > 0 {
			return a.clamp(f)
		}
		return a.clamp(f - last)
	case 3: // the index finger goes along, the others help on short ways
		if inside && f-a.at <= 2 {
			return a.at
		}
		return a.clamp(f)
	default: // fills the hand, and sets it down on the second finger
		if inside {
			return a.at
		}
		return a.clamp(f - 1)
	}
}
