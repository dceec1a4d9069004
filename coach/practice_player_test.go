package coach

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// learner is a simulated player at the ladder: uneven by jitter (standard
// deviation over the beat), lifting the finger for breath between connected
// notes, and wrong with probability slip. Its rules are not those of the
// judge: it has beats, hesitations and slips, no thresholds.
type learner struct {
	rng    *rand.Rand
	beat   time.Duration
	jitter float64
	breath time.Duration // silence between two notes of one window
	travel time.Duration // silence when the hand moves
	slip   float64
	mute   bool // the input does not tell the string
}

func newLearner(seed uint64) *learner {
	return &learner{rng: rand.New(rand.NewPCG(seed, 7)), beat: 500 * time.Millisecond, jitter: 0.03, travel: 120 * time.Millisecond}
}

// play plays steps, as a coach hears them.
func (l *learner) play(n Neck, steps []Step) []Note {
	notes := make([]Note, len(steps))
	at := time.Second
	for i, s := range steps {
		gap := l.breath
		if i > 0 && s.Position != steps[i-1].Position {
			gap = l.travel
		}
		note := Note{At: at, Gap: gap, Pitch: n.Pitch(s.Place), String: s.Place.String, Velocity: 90, Sounding: gap == 0}
		if i == 0 {
			note.Gap, note.Sounding = Rest, false
		}
		if l.rng.Float64() < l.slip {
			note.Pitch++
		}
		if l.mute {
			note.String = 0
		}
		notes[i] = note
		at += time.Duration(float64(l.beat) * (1 + l.jitter*l.rng.NormFloat64()))
	}
	return notes
}

// track is what the tracker settles for notes. anchor, if not 0, is where the
// player says that the hand begins.
func track(n Neck, s System, notes []Note, anchor int) []Estimate {
	t := NewTracker(n, s, Habits{})
	for i, note := range notes {
		t.Note(note)
		if i == 0 && anchor > 0 {
			t.Anchor(anchor)
		}
	}
	t.End()
	return t.Settled(nil)
}

func bass4(t *testing.T) Neck {
	t.Helper()
	n, err := ParseNeck("bass4")
	require.NoError(t, err)
	return n
}
