package players

import (
	"math"
	"time"
)

// timing tells how likely what is heard between two notes is, under the
// player's true habits: the same rules as addSlides and addTime, integrated.
// Where phrases end counts as known.
type timing struct {
	*habits
	take Take
}

// What addTime leaves to chance between notes.
const (
	moveSpread = 0.35 // of the logarithm of a move's time
	halfCell   = 0.05 // ms to either side of a gap within which it counts as the same
)

// heard is how likely the release of note i-1 and a slide or none into note i
// are if the hand went from a to b.
func (t timing) heard(i int, a, b cell) float64 {
	before, now := t.take.Hits[i-1], t.take.Hits[i]
	ioi := now.On.Seconds()*1000 - before.On.Seconds()*1000
	if t.take.together(i) {
		return 1
	}
	d := b.place.Fret - a.place.Fret
	slidable := a.place.String == b.place.String && a.place.Fret > 0 && b.place.Fret > 0 &&
		d != 0 && d == b.position-a.position && abs(d) <= 7
	switch {
	case now.Slid && slidable:
		return t.slides
	case now.Slid:
		return 0
	}
	p := 1.0
	if slidable {
		p = 1 - t.slides
	}
	gap := ioi - (before.Off.Seconds()*1000 - before.On.Seconds()*1000)
	const outlier = 1e-12 // what rounding may leave of the far ends
	return p * (t.upTo(gap+halfCell, ioi, i-1, a, b) - t.upTo(gap-halfCell, ioi, i-1, a, b) + outlier)
}

// upTo is the probability that the gap after note i, ioi before the next onset,
// is at most x; all in ms.
func (t timing) upTo(x, ioi float64, i int, a, b cell) float64 {
	if x >= ioi-25 {
		return 1
	}
	if x < 0 && a.place.String == b.place.String {
		return 0 // a string sounds one note at a time
	}
	if t.rests[i] && x < ioi-0.9*60000/t.tempo {
		return 0
	}
	struck := ioi * (1 - t.duty)
	p := t.legato*normal((x-2)/8) + (1-t.legato)*min(max((x/struck-0.6)/0.8, 0), 1)
	if a.position == b.position || x >= 0.8*ioi {
		return p
	}
	if x <= 0 {
		return 0
	}
	need := t.settleMS + t.speedMS*math.Sqrt(math.Abs(t.neck.FretMM(a.position)-t.neck.FretMM(b.position)))
	if a.place.Fret == 0 {
		need *= 0.3
	}
	return p * normal(math.Log(x/need)/moveSpread)
}

// normal is the standard normal distribution function.
func normal(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// together reports whether note i was struck with the one before: onsets of
// other notes are 35 ms apart at least.
func (t Take) together(i int) bool {
	return i > 0 && t.Hits[i].On-t.Hits[i-1].On < 20*time.Millisecond
}
