package coach

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A bad cable strikes any note 200 times a second: that is no hand, and a hand that
// stays in one window after it is not taken for one that leaps.
func TestTracker_NoiseTeachesNothing(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	box := []Place{{3, 5}, {3, 7}, {2, 5}, {2, 8}, {3, 8}, {2, 6}}
	for _, told := range []bool{true, false} {
		for _, seconds := range []int{0, 2, 10} {
			tr := NewTracker(n, Four, Habits{})
			r := rand.New(rand.NewPCG(4, uint64(seconds)))
			at, gap := time.Duration(0), Rest
			strike := func(p Place) {
				note := Note{At: at, Gap: gap, Pitch: n.Pitch(p), Velocity: 90}
				if told {
					note.String = p.String
				}
				tr.Note(note)
			}
			for range 200 * seconds {
				strike(Place{1 + r.IntN(4), r.IntN(20)})
				gap = time.Duration((0.5 + 3*r.Float64()) * float64(time.Millisecond))
				at += 5 * time.Millisecond
			}
			tr.End()
			before := tr.Expected()
			at, gap = at+2*time.Second, Rest
			for i := range 300 {
				strike(box[i%len(box)])
				at, gap = at+300*time.Millisecond, 30*time.Millisecond
			}
			tr.End()
			assert.Less(t, tr.Expected()-before, 10.0, "told %v, after %d s", told, seconds)
			h := tr.Habits()
			assert.LessOrEqual(t, h.Notes, 301.0)
			assert.Less(t, h.Shifts, 10.0, "told %v, after %d s", told, seconds)
			if e := tr.Newest(); told {
				assert.Equal(t, 5, e.Position)
				assert.Greater(t, e.Probability, 0.95)
			}
		}
	}
}
