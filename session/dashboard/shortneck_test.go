package dashboard

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/midiin"
	"stillhand/session"
)

// A neck with fewer frets than the hand has fingers: no screen speaks of a fret
// that is not there.
func TestScreen_EndsTheWindowWithTheNeck(t *testing.T) {
	t.Parallel()
	for frets := 1; frets <= 6; frets++ {
		for _, system := range coach.Systems {
			neck, err := coach.ParseNeck("bass4")
			require.NoError(t, err)
			neck.Frets = frets
			strings, err := midiin.ParseStrings("1=4")
			require.NoError(t, err)
			p := session.NewPipeline(session.Setup{Neck: neck, System: system, Strings: strings})
			for i := range 8 {
				at, key := time.Duration(i)*300*time.Millisecond, byte(28+1+i%frets)
				p.Event(midiin.Event{At: at, Data: [3]byte{0x90, key, 80}})
				p.Event(midiin.Event{At: at + 200*time.Millisecond, Data: [3]byte{0x80, key, 0}})
			}
			p.End(4 * time.Second)
			s := p.Snapshot()
			require.Positive(t, s.Hand.Position)
			for _, w := range []int{80, 300} {
				require.NotEmpty(t, render(t, w, 80, "UTF-8", s))
			}
			last := neck.Window(system, s.Hand.Position, "-")
			assert.Contains(t, Summary(s, 0), "last at "+last+",")
			assert.Contains(t, headlineOf(s).window, last)
			if frets == 3 {
				assert.Equal(t, "1-3", last)
				assert.Contains(t, render(t, 120, 50, "UTF-8", s), "four here   89", "frets 1 to 3 of 34 in")
			}
		}
	}
}

func TestScreen_DrawsATakeOfALongerNeck(t *testing.T) {
	t.Parallel()
	setup, err := session.Resolve(session.Layer{Origin: session.FromFlag, Lookup: func(name string) (string, bool) { return "12", name == "frets" }}).Setup()
	require.NoError(t, err)
	p := session.NewPipeline(setup)
	p.Event(midiin.Event{Kind: midiin.Text, Text: midiin.TakeMark})
	p.Event(midiin.Event{At: time.Second, Data: [3]byte{0x90, 40, 90}})
	p.Event(midiin.Event{At: 2 * time.Second, Kind: midiin.Marker, Text: "hand at 19"})
	s := p.Snapshot()
	assert.NotPanics(t, func() { render(t, 120, 40, "UTF-8", s) })
}
