package session

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"stillhand/midiin"
	"stillhand/testdata"
	"stillhand/testdata/bound"
)

// FuzzReview takes any bytes through the whole path: reader, cleaner, tracker,
// economies, advice, document. None panics, hangs or takes memory without end.
func FuzzReview(f *testing.F) {
	seeds := 0
	require.NoError(f, fs.WalkDir(testdata.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if ending := filepath.Ext(path); err != nil || d.IsDir() || ending != ".mid" && ending != ".rmi" {
			return err
		}
		data, err := testdata.Files.ReadFile(path)
		if len(data) < 4096 {
			f.Add(data, uint8(seeds))
			seeds++
		}
		return err
	}))
	require.NotZero(f, seeds, "no recording to start from")
	setups := []Setup{
		plainSetup(f, nil),
		plainSetup(f, map[string]string{"neck": "bass6", "input": "pickup", "reach": "90mm", "fingers": "three"}),
		plainSetup(f, map[string]string{"neck": "E1", "frets": "3", "strings": "pitch"}),
		plainSetup(f, map[string]string{"neck": "B0 E1 A1 D2 G2 C3 F3 Bb3", "frets": "36", "input": "keyboard", "capo": "2"}),
	}
	f.Fuzz(func(t *testing.T, data []byte, which uint8) {
		var r *Review
		bound.Check(t, len(data), func() {
			file, err := midiin.ReadFile("fuzz.mid", data, midiin.FileOptions{})
			if err != nil {
				return
			}
			r, err = NewRecording(file).Review(context.Background(), setups[int(which)%len(setups)])
			require.NoError(t, err)
		})
		if r == nil {
			return
		}
		require.GreaterOrEqual(t, r.Count.Likely, float64(r.Count.AtLeast)-0.01)
		for _, n := range r.Notes {
			require.True(t, n.Probability >= 0 && n.Probability <= 1, "probability %g", n.Probability)
			require.True(t, n.Low <= n.Position && n.Position <= n.High, "%d in %d..%d", n.Position, n.Low, n.High)
		}
	})
}

// FuzzProfile takes any bytes as the player's file: read or refused, and what
// was read takes a reach, or is left as it is.
func FuzzProfile(f *testing.F) {
	f.Add([]byte("neck = \"bass5\"\nfrets = 24\n[habits]\nNotes = 3.0\n"))
	f.Add([]byte("bell = true\nreach_found = \"2026-11-25\"\n"))
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, data []byte) {
		path := filepath.Join(folder, "profile.toml")
		bound.Check(t, len(data), func() {
			p := &Profile{Path: path, Settings: map[string]string{}}
			if p.parse(data) != nil {
				return
			}
			require.NoError(t, os.WriteFile(path, data, 0o600))
			if err := p.SetReach("77.10mm", "2026-11-25"); err != nil {
				require.ErrorContains(t, err, "write reach")
				again, err := os.ReadFile(path)
				require.NoError(t, err)
				require.Equal(t, data, again)
				return
			}
			again, err := ReadProfile(path)
			require.NoError(t, err)
			require.Equal(t, p.Settings, again.Settings)
			require.Equal(t, "77.10mm", again.Settings["reach"])
		})
	})
}
