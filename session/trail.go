package session

import "time"

// TrailTime is how far back the position line reaches (the screen's half
// minute).
const TrailTime = 30 * time.Second

// trailLength bounds the line: half a minute at twenty notes a second, which
// is more than a terminal can tell apart.
const trailLength = 600

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
