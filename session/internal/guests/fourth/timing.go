package fourth

import (
	"math"
	"time"

	"stillhand/session/internal/players"
)

// touch is how a player keeps time and lets notes go. Times in seconds.
type touch struct {
	tempo    float64 // beats a minute
	swing    float64 // what falls on half a beat comes so many beats late
	jitter   float64
	gap      float64 // usual, between two notes
	sounds   float64 // share of its time that a note sounds; 1 bound
	overlap  float64 // longest, from string to string
	settle   float64 // time of a move, whatever the way
	perFret  float64 // and for each fret to the power of 0.7
	betrayed float64 // share of moves that the gap before them shows
}

func (p *player) newTouch() touch {
	const ms = 0.001
	t := touch{
		tempo:  p.between(80, 140),
		jitter: p.between(4, 14) * ms,
		settle: p.between(25, 75) * ms, perFret: p.between(6, 22) * ms,
		betrayed: p.between(0.75, 1),
		sounds:   1,
	}
	if p.chance(0.22) { // takes care that moves are not heard
		t.betrayed = p.between(0.1, 0.4)
	}
	switch p.weighed(0.4, 0.35, 0.25) {
	case 0:
		t.gap, t.overlap = p.between(0, 12)*ms, p.between(0, 18)*ms
	case 1:
		t.gap = p.between(18, 55) * ms
	case 2:
		t.sounds, t.gap = p.between(0.45, 0.75), 15*ms
	}
	return t
}

// quickest is the least time between two onsets.
const quickest = 0.045

// perform strikes and releases the notes of a line.
func (p *player) perform(line []event) []players.Hit {
	on, hits := p.strike(line)
	for i := range hits {
		hits[i].Off = seconds(p.release(line, on, i))
	}
	p.damp(hits)
	return hits
}

// strike is when each note begins, and the hits without their ends.
func (p *player) strike(line []event) (on []float64, hits []players.Hit) {
	on, hits = make([]float64, len(line)), make([]players.Hit, len(line))
	due, beats := 0.5, 0.0
	for i, e := range line {
		part := beats - math.Floor(beats)
		on[i] = due + p.NormFloat64()*p.touch.jitter
		if math.Abs(part-0.5) < 0.01 {
			on[i] += p.touch.swing * p.beat()
		}
		if i > 0 {
			on[i] = max(on[i], on[i-1]+quickest)
		}
		loud := 78 + int(8*p.NormFloat64())
		if part < 0.01 {
			loud += 8
		}
		hits[i] = players.Hit{On: seconds(on[i]), Place: e.place, Position: e.position, Velocity: min(max(loud, 45), 120), Slid: e.slid}
		due += (e.beats + e.rest) * p.beat()
		beats += e.beats + e.rest
	}
	return on, hits
}

// beat lasts so many seconds.
func (p *player) beat() float64 { return 60 / p.touch.tempo }

// release is when note i is let go.
func (p *player) release(line []event, on []float64, i int) float64 {
	t, e := &p.touch, line[i]
	written := e.beats * p.beat()
	if i == len(line)-1 {
		return on[i] + written*t.sounds
	}
	next := line[i+1]
	between := on[i+1] - on[i]

	// What the touch asks.
	gap := max(0, t.gap*(1+0.35*p.NormFloat64()))
	sounding := t.sounds * math.Exp(0.08*p.NormFloat64())
	switch {
	case t.sounds < 1:
		gap = max(gap, between-min(between, 1.02*written)*sounding)
	case e.rest > 0:
		gap = max(gap, between-written)
	}
	// What the fingers ask.
	crosses := e.place.String != next.place.String
	if e.place == next.place { // struck again
		gap = max(gap, p.between(0.008, 0.03))
	}
	if crosses && t.overlap > 0 && e.rest == 0 {
		gap = min(gap, -p.Float64()*t.overlap)
	}
	if e.place.Fret == 0 && t.sounds == 1 && e.rest == 0 { // nothing lets an open string go
		gap = min(gap, 0.006)
	}
	// What a move asks.
	if way := apart(e.position, next.position); way > 0 && e.place.Fret > 0 && p.chance(t.betrayed) && !next.slid {
		gap = max(gap, (t.settle+t.perFret*math.Pow(way, 0.7))*math.Exp(0.3*p.NormFloat64()))
	}
	if next.slid {
		gap = 0.002
	}
	return on[i] + max(0.03, between-min(gap, 0.7*between))
}

// damp ends a note before the next on its string, and before the next of its
// pitch, which one channel could not tell from it.
func (p *player) damp(hits []players.Hit) {
	const before = time.Millisecond
	for i := range hits {
		h := &hits[i]
		for _, next := range hits[i+1:] {
			if next.On >= h.Off+before {
				break
			}
			if next.Place.String == h.Place.String || p.neck.Pitch(next.Place) == p.neck.Pitch(h.Place) {
				h.Off = max(h.On+10*time.Millisecond, next.On-before)
			}
		}
	}
}

func seconds(x float64) time.Duration { return time.Duration(x * float64(time.Second)) }
