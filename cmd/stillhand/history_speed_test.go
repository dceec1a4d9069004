//go:build linux

package main_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session/store"
)

// BenchmarkRatio_History is from the start of the program to the end of its
// answer about ten thousand takes, all of them with --json, against what is
// promised.
func BenchmarkRatio_History(b *testing.B) {
	const takes, promised = 10_000, 300 * time.Millisecond
	home := b.TempDir()
	folder := filepath.Join(home, "stillhand")
	require.NoError(b, os.MkdirAll(store.TakesDir(folder), 0o700))
	h, err := store.OpenHistory(b.Context(), folder)
	require.NoError(b, err)
	for i := range takes {
		start := time.Date(2020, 1, 1, 20, 0, 0, 0, time.UTC).Add(time.Duration(i) * 7 * time.Hour)
		f := store.TakeFigures{Start: start, Length: time.Minute, Played: time.Minute, Notes: 100 + i, Fingers: coach.Four.Name, Likely: 7.25}
		for _, s := range coach.Systems {
			f.Systems = append(f.Systems, store.SystemFigures{System: s.Name, Fewest: 5, AsYouGo: 7 + i%5, Travel: 20, LeastTravel: 15, WidestMM: 115.5})
		}
		take := start.Format("2006-01-02T150405Z") + ".mid"
		require.NoError(b, os.WriteFile(filepath.Join(store.TakesDir(folder), take), nil, 0o600))
		require.NoError(b, h.Add(b.Context(), take, f))
	}
	require.NoError(b, h.Close())
	for name, args := range map[string][]string{"latest": {"history"}, "all": {"history", "--json"}} {
		var took []time.Duration
		for range 20 {
			c := exec.Command("stillhand", args...)
			c.Env = append(os.Environ(), "XDG_DATA_HOME="+home, "XDG_CONFIG_HOME="+home)
			began := time.Now()
			out, err := c.Output()
			took = append(took, time.Since(began))
			require.NoError(b, err)
			require.NotEmpty(b, out)
		}
		p50 := quantile(took, 0.5)
		b.Run(name, func(b *testing.B) {
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(p50.Seconds()*1e3, "ms-p50")
			b.ReportMetric(slices.Max(took).Seconds()*1e3, "ms-max")
			b.ReportMetric(float64(p50)/float64(promised), "x-promised")
		})
	}
}
