package coach

import (
	"math"
	"time"
)

// LegatoGap is the longest silence between two notes that still counts as
// connected. Ours: at 50 ms the break is short against a beat at any practice
// tempo, and it is longer than what a converter's delay (up to 28 ms between
// E1 and G2) can add.
const LegatoGap = 50 * time.Millisecond

// Evenness is the coefficient of variation of the intervals between onsets:
// their standard deviation over their mean, 0 for a machine. The standard
// deviation of inter-onset intervals is the usual measure of even scale
// playing (Jabusch, Vauth, Altenmüller 2004; memory); dividing by the mean
// frees it from the tempo. Fewer than two intervals, or a mean of zero, have
// none: the answer is NaN.
func Evenness(onsets []time.Duration) float64 {
	n := len(onsets) - 1
	if n < 2 {
		return math.NaN()
	}
	mean := float64(onsets[n]-onsets[0]) / float64(n)
	if mean <= 0 {
		return math.NaN()
	}
	var sum float64
	for i := range n {
		d := float64(onsets[i+1]-onsets[i]) - mean
		sum += d * d
	}
	return math.Sqrt(sum/float64(n)) / mean
}
