package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
)

// Positions of takes are counted from their own capo; stretches are of the neck in
// force, 864 mm 2^(-2/12) behind a capo at fret 2.
func TestSystems_SayWhichNeckTheirStretchesAreOf(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	s := Systems{Neck: neck, Regions: []coach.Region{{Position: 3, Notes: 4}}}
	var b strings.Builder
	require.NoError(t, SystemsText(&b, s))
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "mm are those of the neck in force now, open strings G2 D2 A1 E1, scale 864 mm; a take's position")
	s.Capo = 2
	s.Neck, err = neck.WithCapo(2)
	require.NoError(t, err)
	b.Reset()
	require.NoError(t, SystemsText(&b, s))
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "open strings A2 E2 B1 F#1, scale 769 mm from a capo at fret 2 on; a take's position")
	b.Reset()
	require.NoError(t, SystemsJSON(&b, s))
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), `"neck": { "strings": ["A2", "E2", "B1", "F#1"], "frets": 20, "scale_mm": 769.4 }, "capo": 2,`)
}
