package players

import (
	"math"
	"time"
)

// addTime sets onsets, releases and velocities: a grid with swing and noise,
// notes bound or parted by habit, and a gap wherever the hand had to move.
func (h *habits) addTime(hits []Hit) {
	beat := 60000 / h.tempo
	lengths := []float64{0.5, 0.5, 0.5, 0.5, 1, 1, 0.25, 1.5}
	if h.chance(0.3) {
		lengths = []float64{1, 1, 1, 1, 1, 0.5}
	}
	if h.chance(0.2) {
		lengths = []float64{0.25, 0.25, 0.25, 0.5, 0.5}
	}
	at, phrase := 500.0, 8+h.IntN(24)
	on := make([]float64, len(hits))
	rest := make([]bool, len(hits))
	h.rests = rest
	for i := range hits {
		if hits[i].On == together && i > 0 {
			on[i] = on[i-1] + 12*h.Float64()
			continue
		}
		on[i] = at + h.NormFloat64()*h.jitter
		if i > 0 {
			on[i] = max(on[i], on[i-1]+35)
		}
		at += beat * lengths[h.IntN(len(lengths))]
		if phrase--; phrase == 0 {
			at += beat * float64(h.IntN(4))
			phrase = 8 + h.IntN(24)
			rest[i] = true
		}
	}
	for i := range hits {
		next := on[i] + beat
		for j := i + 1; j < len(hits); j++ {
			if hits[j].On != together {
				next = on[j]
				break
			}
		}
		ioi := next - on[i]
		gap := ioi * (1 - h.duty) * (0.6 + 0.8*h.Float64())
		if h.chance(h.legato) {
			gap = h.NormFloat64()*8 + 2
		}
		if rest[i] {
			gap = max(gap, ioi-beat*0.9)
		}
		if i+1 < len(hits) {
			a, b := hits[i], hits[i+1]
			switch {
			case hits[i+1].On == together:
			case b.Slid:
				gap = -5
			case a.Position != b.Position:
				mm := math.Abs(h.neck.FretMM(a.Position) - h.neck.FretMM(b.Position))
				need := (h.settleMS + h.speedMS*math.Sqrt(mm)) * math.Exp(0.35*h.NormFloat64())
				if a.Place.Fret == 0 {
					need *= 0.3 // the open string rings while the hand moves
				}
				gap = max(gap, min(need, 0.8*ioi))
			}
		}
		off := max(on[i]+25, next-gap)
		if i+1 < len(hits) && hits[i+1].Place.String == hits[i].Place.String {
			off = min(off, on[i+1]) // a string sounds one note at a time
		}
		hits[i].On = ms(on[i])
		hits[i].Off = ms(off)
		hits[i].Velocity = max(30, min(127, 84+int(12*h.NormFloat64())))
	}
}

// together marks, before timing, a hit struck with the one before it.
const together = time.Duration(-1)

func ms(x float64) time.Duration { return time.Duration(x*1e6) / 1000 * 1000 }
