package coach

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A tune that goes on tells no more of itself: worked by hand, a tenth of its steps
// are leaps of an octave and the rest repeat, so of melodyNotes counted and leapPrior
// taken for granted an octave has a tenth of the first and next to none of the second.
func TestMelody_CountsForFewNotes(t *testing.T) {
	t.Parallel()
	for _, length := range []int{100, 100_000} {
		m := newMelody(fourStrings(t))
		for i := range length {
			pitch := 40
			if i%10 == 0 {
				pitch = 52
			}
			m.hear(40, pitch)
		}
		m.lay()
		known := leapFloor / (1/(1-0.4346) + (maxLeap+1)*leapFloor)
		want := (melodyNotes/10 + leapPrior*known) / (melodyNotes + leapPrior)
		assert.InDelta(t, want, 2*m.leap[12], 1e-3, "%d notes", length)
	}
}
