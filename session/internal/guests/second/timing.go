package second

import (
	"math"
	"time"

	"stillhand/session/internal/players"
)

// render strikes and releases the notes: tempo that drifts, swing, jitter, the
// player's touch, and a release early enough that the hand can travel.
func (p *player) render(steps []step) []players.Hit {
	hits := make([]players.Hit, len(steps))
	now, beat, pulse := 0.0, 0.0, 60000/p.bpm // ms, beats, ms
	held, air := p.airs(0)
	type end struct{ off, room float64 }
	ends := make([]end, len(steps))
	push := 0.0
	for i, s := range steps {
		pulse *= 1 + p.drift*p.time.NormFloat64()
		pulse += (60000/p.bpm - pulse) * 0.02
		if s.breath && p.touch == mixed {
			held, air = p.airs(p.time.IntN(3))
		}
		on := now + push + p.jitter*p.time.NormFloat64()
		if math.Abs(beat-math.Floor(beat)-0.5) < 0.01 { // the off-beat eighth
			on += p.swing * pulse
		}
		if i > 0 {
			on = max(on, ms(hits[i-1].On)+50)
		}
		h := &hits[i]
		h.On, h.Place, h.Position, h.Slid = dur(on), s.place, s.position, s.slid
		v := p.loud + p.loose*p.time.NormFloat64()
		if s.accent {
			v += p.accent
		}
		if s.place.Fret > 0 && s.place.Fret-s.position == p.weak {
			v -= 7
		}
		h.Velocity = int(min(max(v, 20), 127))
		length := s.beats * pulse
		now += length
		beat += s.beats
		ends[i] = end{held + air*p.time.NormFloat64(), s.rest}
		push = 0
		if i+1 < len(steps) && steps[i+1].position != s.position && !steps[i+1].slid {
			if lack := p.travel(s.position, steps[i+1].position) - 0.7*length; lack > 0 {
				push = p.late * lack
				now += push / 2 // and half of it is never won back
			}
		}
	}
	for i := range hits {
		next := ms(hits[i].On) + steps[i].beats*pulse
		if i+1 < len(hits) {
			next = ms(hits[i+1].On)
		}
		on := ms(hits[i].On)
		gap := next - on
		off := on + gap*(1-ends[i].room)*ends[i].off
		if i+1 < len(hits) {
			n := hits[i+1]
			switch {
			case n.Slid:
				off = next
			case n.Position != hits[i].Position && hits[i].Place.Fret > 0:
				need := p.travel(hits[i].Position, n.Position) * between(p.time, 0.8, 1.2)
				off = min(off, max(next-need, on+0.3*gap))
			case hits[i].Place.Fret == 0 && p.ring && n.Place.String != hits[i].Place.String && ends[i].room == 0:
				off = next + between(p.time, 0, 0.35)*min(gap, 200)
			}
			if n.Place.String == hits[i].Place.String {
				off = min(off, next)
			}
		}
		hits[i].Off = dur(max(off, on+min(35, 0.5*gap)))
	}
	return hits
}

// airs is how much of a note sounds, and its spread, under a touch; k picks
// one for a player who mixes them.
func (p *player) airs(k int) (held, spread float64) {
	t := p.touch
	if t == mixed {
		t = articulation(k)
	}
	switch t {
	case legato:
		return 0.99, 0.02
	case detached:
		return 0.84, 0.05
	default:
		return 0.5, 0.07
	}
}

// travel is the time in ms that this player takes from one position to
// another.
func (p *player) travel(from, to int) float64 {
	mm := math.Abs(p.neck.FretMM(to) - p.neck.FretMM(from))
	if mm == 0 {
		return 0
	}
	return p.shiftBase + p.shiftMM*math.Pow(mm, p.shiftPow)
}

func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }

func dur(ms float64) time.Duration { return time.Duration(max(ms, 0) * float64(time.Millisecond)) }
