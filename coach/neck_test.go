package coach

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const inch = MillimetresPerInch

// Source: fret tables of builders for a 34 in scale, inches from the nut,
// frets 1 to 24, in three decimals; fret 12 is half the scale by definition.
func TestNeck_FretsOf34InchScale(t *testing.T) {
	t.Parallel()
	n := Neck{Open: []int{43}, Frets: 24, ScaleMM: 34 * inch}
	for i, want := range []float64{
		1.908, 3.709, 5.410, 7.014, 8.529, 9.958, 11.308, 12.581, 13.783, 14.918, 15.989, 17.000,
		17.954, 18.855, 19.705, 20.507, 21.264, 21.979, 22.654, 23.291, 23.892, 24.459, 24.995, 25.500,
	} {
		assert.InDelta(t, want, n.FretMM(i+1)/inch, 0.0005, "fret %d", i+1)
	}
	assert.Zero(t, n.FretMM(0))
	assert.InDelta(t, 17*inch, n.FretMM(12), 1e-9)
}

// Source: Koch, Building Electric Guitars: each fret lies 1/17.817 of what is
// left of the string beyond the one before; 25 in scale, fret to bridge: fret
// 1 23.597 in, fret 5 18.729 in.
func TestNeck_FretsFollowBuildersConstant(t *testing.T) {
	t.Parallel()
	n := Neck{Open: []int{40}, Frets: 24, ScaleMM: 25 * inch}
	for f := 1; f <= n.Frets; f++ {
		left := n.ScaleMM - n.FretMM(f-1)
		assert.InDelta(t, left/17.817, n.FretMM(f)-n.FretMM(f-1), 0.001, "fret %d", f)
	}
	assert.InDelta(t, 23.597, (n.ScaleMM-n.FretMM(1))/inch, 0.0005)
	assert.InDelta(t, 18.729, (n.ScaleMM-n.FretMM(5))/inch, 0.0005)
}

// Source: computed apart from this program from L (2^(-p/12) - 2^(-q/12)), in
// whole mm; scale lengths are common practice.
func TestNeck_StretchesOfCommonScales(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		inches                                   float64
		from1to4, from1to3, from5to8, from12to15 float64
	}{
		{34, 130, 89, 103, 69},
		{30, 114, 78, 91, 61},
		{25, 95, 65, 76, 51},
		{41.5, 158, 109, 126, 84},
	} {
		n := Neck{Open: []int{43}, Frets: 24, ScaleMM: c.inches * inch}
		assert.Equal(t, c.from1to4, math.Round(n.StretchMM(1, Four.Width())), "%v in, 1-4", c.inches)
		assert.Equal(t, c.from1to3, math.Round(n.StretchMM(1, Three.Width())), "%v in, 1-3", c.inches)
		assert.Equal(t, c.from5to8, math.Round(n.StretchMM(5, Four.Width())), "%v in, 5-8", c.inches)
		assert.Equal(t, c.from12to15, math.Round(n.StretchMM(12, Four.Width())), "%v in, 12-15", c.inches)
	}
}

// Source: equal temperament: one fret lower is wider by 2^(1/12), 5.9 per cent.
func TestNeck_OneFretLowerIsWider(t *testing.T) {
	t.Parallel()
	n := neckOf(4, 24)
	for p := 2; p <= n.Positions(4); p++ {
		assert.InDelta(t, 1.0595, n.StretchMM(p-1, 4)/n.StretchMM(p, 4), 0.0001)
	}
}

// Source: tunings and scale lengths are common practice.
func TestParseNeck_KnowsPresets(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]struct {
		open   []int
		inches float64
	}{
		"bass4":  {[]int{43, 38, 33, 28}, 34},
		"bass5":  {[]int{43, 38, 33, 28, 23}, 34},
		"bass6":  {[]int{48, 43, 38, 33, 28, 23}, 34},
		"short":  {[]int{43, 38, 33, 28}, 30},
		"double": {[]int{43, 38, 33, 28}, 41.5},
	} {
		n, err := ParseNeck(name)
		require.NoError(t, err)
		require.NoError(t, n.Validate())
		assert.Equal(t, want.open, n.Open, name)
		assert.InDelta(t, want.inches*inch, n.ScaleMM, 1e-9, name)
		assert.Equal(t, len(want.open), n.Strings(), name)
		assert.Contains(t, PresetNames(), name)
	}
	assert.Len(t, PresetNames(), 5)
}

func TestParseNeck_TakesAnyTuning(t *testing.T) {
	t.Parallel()
	n, err := ParseNeck("D1, A1  G2 D2")
	require.NoError(t, err)
	assert.Equal(t, []int{43, 38, 33, 26}, n.Open)
	assert.Equal(t, 22, n.Frets)
	assert.InDelta(t, 34*inch, n.ScaleMM, 1e-9)
}

func TestParseNeck_SaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"":                        `neck "": name one of bass4`,
		" , ":                     "list the open strings",
		"E1 H1":                   `"H1" is not a pitch`,
		"lute":                    `"lute" is not a pitch`,
		"C9":                      "leaves MIDI's notes",
		strings.Repeat("E1 ", 13): "13 strings",
	} {
		_, err := ParseNeck(in)
		require.ErrorContains(t, err, want, in)
		assert.NotContains(t, err.Error(), "\n")
	}
}

func TestNeck_ValidateRefusesTheImpossible(t *testing.T) {
	t.Parallel()
	ok := neckOf(4, 24)
	require.NoError(t, ok.Validate())
	for want, change := range map[string]func(*Neck){
		"0 strings":            func(n *Neck) { n.Open = nil },
		"0 frets":              func(n *Neck) { n.Frets = 0 },
		"49 frets":             func(n *Neck) { n.Frets = 49 },
		"scale length is 0 mm": func(n *Neck) { n.ScaleMM = 0 },
		"scale length is 2001": func(n *Neck) { n.ScaleMM = 2001 },
		"scale length is NaN":  func(n *Neck) { n.ScaleMM = math.NaN() },
		"string 1":             func(n *Neck) { n.Open = []int{104} },
		"string 2":             func(n *Neck) { n.Open = []int{40, -1} },
	} {
		n := ok
		change(&n)
		assert.ErrorContains(t, n.Validate(), want)
		assert.Panics(t, func() { NewEconomy(n, Four) }, want)
	}
}

// Source: geometry: a capo at fret 12 halves the scale, and fret f behind a
// capo at c is fret c+f of the whole neck.
func TestNeck_CapoShortensTheNeck(t *testing.T) {
	t.Parallel()
	n := neckOf(4, 24)
	half, err := n.WithCapo(12)
	require.NoError(t, err)
	assert.InDelta(t, n.ScaleMM/2, half.ScaleMM, 1e-9)
	third, err := n.WithCapo(3)
	require.NoError(t, err)
	assert.Equal(t, 21, third.Frets)
	assert.Equal(t, n.Pitch(Place{2, 8}), third.Pitch(Place{2, 5}))
	assert.InDelta(t, n.StretchMM(8, 4), third.StretchMM(5, 4), 1e-9)
	same, err := n.WithCapo(0)
	require.NoError(t, err)
	assert.Equal(t, n, same)
	for _, c := range []int{-1, 24} {
		_, err := n.WithCapo(c)
		assert.ErrorContains(t, err, "takes one from 0 to 23")
	}
}

// Source: common practice: E2 (40) lies on a four-string bass on D fret 2, A
// fret 7 and E fret 12; the open A string is also E fret 5.
func TestNeck_PlacesOfAPitch(t *testing.T) {
	t.Parallel()
	n := neckOf(4, 24)
	n.Open = []int{43, 38, 33, 28}
	assert.Equal(t, []Place{{2, 2}, {3, 7}, {4, 12}}, n.Places(nil, 40))
	assert.Equal(t, []Place{{3, 0}, {4, 5}}, n.Places(nil, 33))
	assert.Empty(t, n.Places(nil, 27))
	assert.Empty(t, n.Places(nil, 68))
	_, ok := n.Fret(42, 1)
	assert.False(t, ok)
	fret, ok := n.Fret(52, 4)
	assert.True(t, ok)
	assert.Equal(t, 24, fret)
	assert.Equal(t, 21, n.Positions(4))
	assert.Equal(t, 22, n.Positions(3))
	assert.Equal(t, 1, Neck{Frets: 2}.Positions(4))
}

// A hand has no finger beyond the last fret: frets 1 to 3 of 34 in are 88.9 mm
// (computed apart from this program).
func TestNeck_EndsItsWindows(t *testing.T) {
	t.Parallel()
	n := Neck{Open: []int{43}, Frets: 3, ScaleMM: 34 * inch}
	assert.InDelta(t, 88.9, n.StretchMM(1, Four.Width()), 0.05)
	assert.Zero(t, n.StretchMM(3, Four.Width()))
	assert.Equal(t, []string{"1-3", "2-3", "3"}, []string{n.Window(Four, 1, "-"), n.Window(Four, 2, "-"), n.Window(Four, 3, "-")})
	assert.True(t, n.Fits(Three.Width()))
	assert.False(t, n.Fits(Four.Width()))
	assert.Zero(t, LowestWithin(n, Four.Width(), 0))
	n.Frets = 22
	assert.Equal(t, "19 to 22", n.Window(Four, 19, " to "))
}
