package coach

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Source: ISO 16:1975 (A4 = 440 Hz) and equal temperament, f = 440 x
// 2^((n-69)/12), in three decimals; note numbers as in the MIDI 1.0
// specification, where middle C is 60.
func TestParsePitch_GivesTheSoundingFrequency(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]struct {
		note int
		hz   float64
	}{
		"B0": {23, 30.868}, "E1": {28, 41.203}, "A1": {33, 55}, "D2": {38, 73.416}, "G2": {43, 97.999}, "A4": {69, 440},
	} {
		n, err := parsePitch(name)
		require.NoError(t, err)
		assert.Equal(t, want.note, n, name)
		assert.InDelta(t, want.hz, 440*math.Exp2(float64(n-69)/12), 0.0005, name)
	}
	middle, err := parsePitch("C4")
	require.NoError(t, err)
	assert.Equal(t, 60, middle)
}

func TestPitchName_ReadsBack(t *testing.T) {
	t.Parallel()
	for n := range 128 {
		back, err := parsePitch(PitchName(n))
		require.NoError(t, err)
		assert.Equal(t, n, back)
	}
	assert.Equal(t, "C-1", PitchName(0))
	assert.Equal(t, "B-2", PitchName(-1))
	assert.Equal(t, "C-2", PitchName(-12))
	assert.Equal(t, "B-3", PitchName(-13))
}

// Source: common practice: a sharp and the flat above it sound alike, and
// octaves change at C.
func TestParsePitch_TakesSharpsAndFlats(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]int{"C#2": 37, "Db2": 37, "e1": 28, "Bb0": 22, "Cb2": 35, "B#1": 36, "G9": 127, "F#2": 42} {
		n, err := parsePitch(name)
		require.NoError(t, err)
		assert.Equal(t, want, n, name)
	}
}

func TestParsePitch_RefusesTheRest(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"": "not a pitch", "E": "not a pitch", "H1": "not a pitch", " 1": "not a pitch", "E1x": "not a pitch", "Ebb1": "not a pitch",
		"E10": "not a pitch", "E-2": "not a pitch", "\x000": "not a pitch", "@1": "not a pitch",
		"Cb-1": "outside MIDI", "G#9": "outside MIDI", "B9": "outside MIDI",
	} {
		_, err := parsePitch(name)
		assert.ErrorContains(t, err, want, "%q", name)
	}
}
