package report

import (
	"math"
	"time"

	"stillhand/coach"
	"stillhand/session"
)

// connection is the share of connected pairs of neighbouring notes (see
// coach.LegatoGap) among those within a passage that ask for no shift: the
// same finger cannot connect two frets.
func connection(r *session.Review) (share float64, pairs int) {
	shifts := shiftsByNote(r)
	connected := 0
	for i, n := range notesOf(r) {
		if _, moved := shifts[i]; i == 0 || moved || n.Gap > coach.PassageGap {
			continue
		}
		pairs++
		if n.Sounding || n.Gap <= coach.LegatoGap {
			connected++
		}
	}
	return float64(connected) / float64(pairs), pairs // NaN without pairs
}

// Intervals count as meant equal while both takes together, tempo aside, make
// them so within a quarter: a dotted note differs from a plain one by half. At
// least three of them make a run.
const (
	equalWithin = 1.25
	shortestRun = 3
)

// evenness is how far each take strays from equal intervals where equal ones
// were meant: coach.Evenness over every run of them, root mean square by
// intervals. What was meant is read from both takes: the geometric mean of
// their intervals, each in its own tempo. NaN without a run.
func evenness(a, b *session.Review, columns []column) (ofA, ofB float64) {
	var runA, runB []time.Duration
	var sumA, sumB, meant float64
	n := 0
	finish := func() {
		if k := len(runA) - 1; k >= shortestRun {
			ea, eb := coach.Evenness(runA), coach.Evenness(runB)
			if !math.IsNaN(ea) && !math.IsNaN(eb) {
				sumA, sumB, n = sumA+float64(k)*ea*ea, sumB+float64(k)*eb*eb, n+k
			}
		}
		runA, runB = runA[:0], runB[:0]
	}
	for i, c := range columns {
		if c.a < 0 || c.b < 0 {
			finish()
			continue
		}
		atA, atB := seconds(a.Notes[c.a].At), seconds(b.Notes[c.b].At)
		if i > 0 && len(runA) > 0 {
			interval := math.Sqrt(float64(atA-runA[len(runA)-1]) * float64(atB-runB[len(runB)-1]))
			switch {
			case !(interval > 0):
				finish()
			case len(runA) == 1:
				meant = interval
			case interval > meant*equalWithin || interval < meant/equalWithin:
				lastA, lastB := runA[len(runA)-1], runB[len(runB)-1]
				finish()
				runA, runB, meant = append(runA, lastA), append(runB, lastB), interval
			}
		}
		runA, runB = append(runA, atA), append(runB, atB)
	}
	finish()
	return math.Sqrt(sumA / float64(n)), math.Sqrt(sumB / float64(n)) // NaN without a run
}
