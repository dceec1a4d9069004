package coach

import (
	"runtime"
	"strings"
	"testing"
	"time"
)

// bounded fails if do takes more memory than 32 times its input and 64 MB, or
// ten seconds.
func bounded(t *testing.T, input int, do func()) {
	t.Helper()
	var before, after runtime.MemStats
	began := time.Now()
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	if used := after.TotalAlloc - before.TotalAlloc; used > uint64(32*input)+64<<20 {
		t.Fatalf("%d bytes of input took %d MB", input, used>>20)
	}
	if took := time.Since(began); took > 10*time.Second {
		t.Fatalf("%d bytes of input took %v", input, took)
	}
}

// FuzzParseNeck takes any text as a tuning: refused in one line, or a neck that
// every table can be made of and that its own words give again.
func FuzzParseNeck(f *testing.F) {
	for _, s := range append(PresetNames(), "E1 A1 D2 G2", "g2,d2,A1,E1", "Bb0 F#1", "E-1", "C9", "E1 E1", " ") {
		f.Add(s, 22, 2)
	}
	f.Fuzz(func(t *testing.T, s string, frets, capo int) {
		bounded(t, len(s), func() {
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
