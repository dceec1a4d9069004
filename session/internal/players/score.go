package players

import (
	"math"

	"stillhand/coach"
)

// Score holds one take's answers against its truth.
type Score struct {
	Notes                    int
	Exact, Near, String, Run float64 // shares of notes
	Shifts                   float64 // abs(likely - true) / true
	Bias                     float64 // (likely - true) / true
	bins                     [10]struct{ n, claimed, right float64 }
}

// Judge scores estimates, each with the hit it is about.
func Judge(hits []Hit, est []coach.Estimate, likely float64, shifts int) Score {
	s := Score{Notes: len(est)}
	for i, e := range est {
		h := hits[i]
		right := 0.0
		if e.Position == h.Position {
			right = 1
		}
		s.Exact += right
		if d := e.Position - h.Position; d >= -1 && d <= 1 {
			s.Near++
		}
		if e.Place.String == h.Place.String {
			s.String++
		}
		if e.Low <= h.Position && h.Position <= e.High {
			s.Run++
		}
		b := &s.bins[min(9, int(e.Probability*10))]
		b.n++
		b.claimed += e.Probability
		b.right += right
	}
	n := float64(len(est))
	s.Exact, s.Near, s.String, s.Run = s.Exact/n, s.Near/n, s.String/n, s.Run/n
	s.Bias = (likely - float64(shifts)) / max(1, float64(shifts))
	s.Shifts = math.Abs(s.Bias)
	return s
}

// Mean is the mean of scores; calibration bins are pooled.
func Mean(scores []Score) Score {
	var m Score
	for _, s := range scores {
		m.Notes += s.Notes
		m.Exact += s.Exact
		m.Near += s.Near
		m.String += s.String
		m.Run += s.Run
		m.Shifts += s.Shifts
		m.Bias += s.Bias
		for i, b := range s.bins {
			m.bins[i].n += b.n
			m.bins[i].claimed += b.claimed
			m.bins[i].right += b.right
		}
	}
	n := float64(len(scores))
	m.Exact /= n
	m.Near /= n
	m.String /= n
	m.Run /= n
	m.Shifts /= n
	m.Bias /= n
	return m
}

// Calibration is the expected calibration error over ten bins of the
// position's probability.
func (s Score) Calibration() float64 {
	sum, n := 0.0, 0.0
	for _, b := range s.bins {
		if b.n > 0 {
			sum += math.Abs(b.claimed - b.right)
			n += b.n
		}
	}
	return sum / n
}
