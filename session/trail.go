package session

import (
	"slices"
	"time"

	"stillhand/coach"
)

// TrailTime is how far back the position line reaches (the screen's half
// minute).
const TrailTime = 30 * time.Second

// trailLength bounds the line: half a minute at twenty notes a second, which
// is more than a terminal can tell apart.
const trailLength = 600

// trailPoint is the point of a note. A move from and to nobody knows where is
// counted, but none is shown.
func trailPoint(e *coach.Estimate) TrailPoint {
	p := TrailPoint{At: e.At, Position: e.Position, Low: e.Low, High: e.High, Probability: e.Probability, Settled: e.Settled}
	if e.From != e.Position {
		p.Moved = e.Moved
	}
	return p
}

// told is a word of the player, that the hand is elsewhere than was shown.
type told struct {
	at       time.Duration
	position int
}

// mostTold bounds the words that the line shows: more are not pressed in half a
// minute with any sense.
const mostTold = 60

// withTold puts the player's words into the line. The newest note before a word
// that is taken to have been played at that position bears it; otherwise it is a
// point of its own, since the hand has gone there without a note.
func withTold(points []TrailPoint, words []told) []TrailPoint {
	for _, w := range words {
		next, _ := slices.BinarySearchFunc(points, w.at, func(p TrailPoint, at time.Duration) int {
			if p.At > at {
				return 1
			}
			return -1
		})
		if next > 0 && points[next-1].Position == w.position {
			points[next-1].Told = true
			continue
		}
		points = slices.Insert(points, next, TrailPoint{At: w.at, Position: w.position, Low: w.position, High: w.position, Probability: 1, Told: true})
	}
	return points
}

// newerThan leaves out the words before at.
func newerThan(words []told, at time.Duration) []told {
	for len(words) > 0 && words[0].at < at {
		words = words[1:]
	}
	return words
}

// trail keeps the newest points of the position line in a ring.
type trail struct {
	points [trailLength]TrailPoint
	first  int // number of points ever dropped from the front
	next   int // number of points ever added
}

func (t *trail) at(i int) *TrailPoint { return &t.points[i%trailLength] }

func (t *trail) add(p TrailPoint) {
	if t.next-t.first == trailLength {
		t.first++
	}
	*t.at(t.next) = p
	t.next++
}

// since copies the points not older than TrailTime before now.
func (t *trail) since(now time.Duration) []TrailPoint {
	for t.first < t.next && t.at(t.first).At < now-TrailTime {
		t.first++
	}
	points := make([]TrailPoint, 0, t.next-t.first)
	for i := t.first; i < t.next; i++ {
		points = append(points, *t.at(i))
	}
	return points
}
