package coach

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// MillimetresPerInch is exact by definition (international inch, 1959).
const MillimetresPerInch = 25.4

// Limits of the necks that the package accepts. Wider than any instrument
// played with one hand on a neck; they bound memory, not music.
const (
	MaxStrings = 12
	MaxFrets   = 48
)

// Neck is an instrument as the fretting hand meets it.
//
// Open holds the open strings as MIDI note numbers, string 1 (the highest)
// first. Frets is the number of semitone places above the open string.
// ScaleMM is the distance from nut to bridge in mm. A Neck is a value: copies
// share Open, which is never written after construction.
type Neck struct {
	Open    []int
	Frets   int
	ScaleMM float64
}

// MarkerFrets carry the dots of most necks (common practice).
var MarkerFrets = []int{3, 5, 7, 9, 12, 15, 17, 19, 21, 24, 27, 29, 31, 33, 36}

// Frets up to and from which a note counts as low and high on the neck: the first
// four-finger window, and the octave. Ours.
const (
	LowTo    = 4
	HighFrom = 12
)

// Place is one string and one fret; fret 0 is the open string.
type Place struct {
	String int
	Fret   int
}

// preset necks; scale lengths are common practice (34 in bass, 30 in short
// scale, 41.5 in double bass), tunings in fourths likewise.
var presets = []struct {
	name  string
	open  string
	frets int
	inch  float64
}{
	{"bass4", "E1 A1 D2 G2", 22, 34},
	{"bass5", "B0 E1 A1 D2 G2", 22, 34},
	{"bass6", "B0 E1 A1 D2 G2 C3", 22, 34},
	{"short", "E1 A1 D2 G2", 20, 30},
	{"double", "E1 A1 D2 G2", 24, 41.5},
}

// PresetNames lists the necks that ParseNeck knows by name.
func PresetNames() []string {
	names := make([]string, len(presets))
	for i, p := range presets {
		names[i] = p.name
	}
	return names
}

// ParseNeck returns the preset called s, or a neck strung with the open
// pitches listed in s ("E1 A1 D2 G2", any order, blanks or commas between)
// with the frets and scale of a four-string bass.
func ParseNeck(s string) (Neck, error) {
	for _, p := range presets {
		if p.name == s {
			n, err := ParseNeck(p.open)
			n.Frets, n.ScaleMM = p.frets, p.inch*MillimetresPerInch
			return n, err
		}
	}
	fields := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' })
	if len(fields) == 0 {
		return Neck{}, fmt.Errorf("neck %q: name one of %s, or list the open strings like \"E1 A1 D2 G2\"", s, strings.Join(PresetNames(), ", "))
	}
	n := Neck{Frets: presets[0].frets, ScaleMM: presets[0].inch * MillimetresPerInch}
	for _, f := range fields {
		pitch, err := parsePitch(f)
		if err != nil {
			return Neck{}, fmt.Errorf("neck %q: %w; name one of %s, or list the open strings like \"E1 A1 D2 G2\"", s, err, strings.Join(PresetNames(), ", "))
		}
		n.Open = append(n.Open, pitch)
	}
	slices.SortFunc(n.Open, func(a, b int) int { return b - a })
	return n, n.Validate()
}

// Validate reports the first thing that makes the neck impossible.
func (n Neck) Validate() error {
	switch {
	case len(n.Open) == 0 || len(n.Open) > MaxStrings:
		return fmt.Errorf("neck has %d strings: from 1 to %d are possible", len(n.Open), MaxStrings)
	case n.Frets < 1 || n.Frets > MaxFrets:
		return fmt.Errorf("neck has %d frets: from 1 to %d are possible", n.Frets, MaxFrets)
	case !(n.ScaleMM >= 200 && n.ScaleMM <= 2000):
		return fmt.Errorf("scale length is %.5g mm: from 200 to 2000 mm are possible", n.ScaleMM)
	}
	for i, open := range n.Open {
		if open < 0 || open+n.Frets > 127 {
			return fmt.Errorf("string %d: %s with %d frets leaves MIDI's notes 0 to 127", i+1, PitchName(open), n.Frets)
		}
	}
	return nil
}

// WithCapo returns the neck behind a capo at fret c: open strings raised,
// frets counted from the capo, and the scale shortened to what is left, so
// that FretMM and StretchMM stay true.
func (n Neck) WithCapo(c int) (Neck, error) {
	if c < 0 || c >= n.Frets {
		return Neck{}, fmt.Errorf("capo at fret %d: this neck takes one from 0 to %d", c, n.Frets-1)
	}
	open := make([]int, len(n.Open))
	for i, p := range n.Open {
		open[i] = p + c
	}
	behind := Neck{Open: open, Frets: n.Frets - c, ScaleMM: n.ScaleMM * math.Exp2(-float64(c)/12)}
	if err := behind.Validate(); err != nil {
		return Neck{}, fmt.Errorf("capo at fret %d: what is left has no room for a hand: %w", c, err)
	}
	return behind, nil
}

// Strings is the number of strings.
func (n Neck) Strings() int { return len(n.Open) }

// FretMM is the distance from nut to fret in mm: L (1 - 2^(-fret/12)), equal
// temperament.
func (n Neck) FretMM(fret int) float64 {
	return n.ScaleMM * (1 - math.Exp2(-float64(fret)/12))
}

// StretchMM is the fret-to-fret distance in mm between the outer fingers of a
// window of width frets at position. No finger lies beyond the last fret.
func (n Neck) StretchMM(position, width int) float64 {
	return n.FretMM(max(position, min(position+width-1, n.Frets))) - n.FretMM(position)
}

// Window is System.Frets up to the last fret that the neck has.
func (n Neck) Window(s System, position int, dash string) string {
	return fretRun(position, min(position+s.Width()-1, n.Frets), dash)
}

// Fits reports whether some window of width frets lies on the neck.
func (n Neck) Fits(width int) bool { return width <= n.Frets }

// Pitch is the MIDI note number that sounds at place.
func (n Neck) Pitch(p Place) int { return n.Open[p.String-1] + p.Fret }

// Fret returns the fret at which pitch lies on string, and whether the neck
// has it.
func (n Neck) Fret(pitch, str int) (int, bool) {
	f := pitch - n.Open[str-1]
	return f, f >= 0 && f <= n.Frets
}

// Places appends every place of pitch to dst, highest string first.
func (n Neck) Places(dst []Place, pitch int) []Place {
	for s := 1; s <= len(n.Open); s++ {
		if f, ok := n.Fret(pitch, s); ok {
			dst = append(dst, Place{s, f})
		}
	}
	return dst
}

// Positions is the number of positions that a window of width frets can take:
// 1 to Frets-width+1. It is one also where none fits: a hand on so short a neck
// has fingers beyond its end.
func (n Neck) Positions(width int) int { return max(1, n.Frets-width+1) }
