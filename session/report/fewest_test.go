package report

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
	"stillhand/session"
)

// slidTake is one shape of two notes on one string, three slides from one to the
// other, in fingers that were changed on the way: no system needs a shift for it.
func slidTake(t *testing.T) *session.Review {
	t.Helper()
	setup, err := session.Resolve(session.Layer{Origin: session.FromFlag, Lookup: func(name string) (string, bool) {
		return "1=1,2=2,3=3,4=4", name == "strings"
	}}).Setup()
	require.NoError(t, err)
	p := session.NewPipeline(setup)
	at := time.Duration(0)
	for i := range 4 { // C2 on the A string, up to D2, two frets
		p.Event(midiin.Event{At: at, Data: [3]byte{0x92, 36, 90}})
		p.Event(midiin.Event{At: at + 300*time.Millisecond, Data: [3]byte{0xE2, 0x7F, 0x7F}})
		p.Event(midiin.Event{At: at + 800*time.Millisecond, Data: [3]byte{0x82, 36, 0}})
		p.Event(midiin.Event{At: at + 810*time.Millisecond, Data: [3]byte{0xE2, 0, 0x40}})
		at += time.Second
		p.Advance(at)
		if i == 1 {
			p.Do(session.Action{Kind: session.Swap})
		}
	}
	p.End(at)
	return p.Review("x", "", nil)
}

// What is sure of the hand is no lower bound of what was possible: with slides at
// least is more than the fewest.
func TestHeadline_SaysNoCountOfSlidesToBeTheFewestPossible(t *testing.T) {
	t.Parallel()
	r := slidTake(t)
	require.Equal(t, []string{"four", "three"}, r.Changed)
	require.Zero(t, r.Systems["four"].Fewest)
	require.Zero(t, r.Systems["three"].Fewest)
	r.Advice = nil // what remains where nothing is advised
	assert.NotContains(t, headline(r, nil), "the fewest possible with the fingers declared, four, then three, is 4")
}

func TestCompare_TakesNoCountOfSlidesForTheFewest(t *testing.T) {
	t.Parallel()
	assert.Zero(t, comparedTake(slidTake(t)).Fewest)
}
