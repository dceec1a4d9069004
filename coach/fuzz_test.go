package coach

import (
	"strings"
	"testing"

	"stillhand/testdata/bound"
)

// FuzzParseNeck takes any text as a tuning: refused in one line, or a neck that
// every table can be made of and that its own words give again.
func FuzzParseNeck(f *testing.F) {
	for _, s := range append(PresetNames(), "E1 A1 D2 G2", "g2,d2,A1,E1", "Bb0 F#1", "E-1", "C9", "E1 E1", " ") {
		f.Add(s, 22, 2)
	}
	f.Fuzz(func(t *testing.T, s string, frets, capo int) {
		bound.Check(t, len(s), func() {
			n, err := ParseNeck(s)
			if err != nil {
				if strings.ContainsAny(err.Error(), "\n\x1b") {
					t.Fatalf("not one line: %q", err)
				}
				return
			}
			var names []string
			for _, open := range n.Open {
				names = append(names, PitchName(open))
			}
			again, err := ParseNeck(strings.Join(names, " "))
			if err != nil {
				t.Fatalf("%v: %v", names, err)
			}
			for i := range n.Open {
				if again.Open[i] != n.Open[i] || i > 0 && n.Open[i] > n.Open[i-1] {
					t.Fatalf("%v became %v", n.Open, again.Open)
				}
			}
			n.Frets = frets
			if n.Validate() != nil {
				return
			}
			if n, err = n.WithCapo(capo); err != nil {
				return
			}
			e := NewEconomy(n, Four)
			for pitch := range 128 {
				e.Note(Note{Pitch: pitch, Gap: Rest})
				for _, p := range n.Places(nil, pitch) {
					if n.Pitch(p) != pitch {
						t.Fatalf("%v is not %d", p, pitch)
					}
				}
			}
		})
	})
}
