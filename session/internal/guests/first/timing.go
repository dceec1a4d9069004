package first

import (
	"math"
	"time"

	"stillhand/coach"
	"stillhand/session/internal/players"
)

// note is one note decided, before it has a time.
type note struct {
	place coach.Place
	pos   int
	beats float64 // from this onset to the next
	rest  float64 // of those, silent at the end
}

// perform gives the notes their times.
func (p *player) perform(notes []note) []players.Hit {
	hits := make([]players.Hit, len(notes))
	on := make([]float64, len(notes)+1) // ms
	beat := 60000 / p.bpm
	ideal, late := 400.0, 0.0
	pulse := 1.0
	for i := range on {
		if i == 0 {
			on[0] = ideal
			continue
		}
		pulse += p.drift*p.rng.NormFloat64() - 0.02*(pulse-1)
		gap := notes[i-1].beats * beat * pulse
		ideal += gap
		late = 0
		if i < len(notes) && notes[i].pos != notes[i-1].pos {
			// A shift that hardly fits makes the note late.
			if over := p.shiftMS(notes[i-1].pos, notes[i].pos) - 0.6*gap; over > 0 {
				late = 0.5 * over * p.rng.Float64()
			}
		}
		on[i] = max(on[i-1]+50, ideal+late+p.jitter*p.rng.NormFloat64())
	}
	for i, nt := range notes {
		gap := on[i+1] - on[i]
		sounding := gap * (1 - nt.rest/nt.beats)
		off := sounding * (p.hold + p.holdVar*p.rng.NormFloat64())
		if nt.rest > 0 {
			off = min(off, sounding)
		}
		if i+1 < len(notes) {
			next := notes[i+1]
			away := next.pos != nt.pos
			same := next.place.String == nt.place.String
			slid := away && same && nt.rest == 0 && nt.place.Fret > 0 && next.place.Fret > 0 &&
				next.place.Fret-nt.place.Fret == next.pos-nt.pos && p.chance(p.slide)
			switch {
			case slid:
				hits[i+1].Slid = true
				off = gap - p.in(0, 4)
			case away && nt.place.Fret > 0 && p.chance(p.careful):
				off = min(off, gap-p.shiftMS(nt.pos, next.pos)*p.in(0.75, 1.25))
			case away && nt.place.Fret > 0:
				off = min(off, gap-p.in(3, 15))
			case same:
				off = min(off, gap-p.in(0, 6))
			default:
				off = min(off, gap+p.overlap*p.rng.Float64())
			}
		}
		off = max(off, min(40, 0.5*gap))
		h := &hits[i]
		h.On = time.Duration(on[i] * float64(time.Millisecond))
		h.Off = h.On + time.Duration(off*float64(time.Millisecond))
		h.Place, h.Position = nt.place, nt.pos
		h.Velocity = max(20, min(127, int(p.loud+p.uneven*p.rng.NormFloat64())))
	}
	return hits
}

// shiftMS is the time this player's hand is away from the string for a shift.
func (p *player) shiftMS(from, to int) float64 {
	mm := math.Abs(p.neck.FretMM(to) - p.neck.FretMM(from))
	return p.lift + p.perMM*math.Log2(1+mm/12)
}
