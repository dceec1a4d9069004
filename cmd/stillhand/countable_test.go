package main

import (
	"bytes"
	"context"
	"math"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
	"stillhand/session/dashboard"
	"stillhand/session/store"
)

// A take of which no count can be made is named and left out; the others are kept.
func TestHistory_LeavesOutATakeThatCannotBeCounted(t *testing.T) {
	home := t.TempDir()
	for _, name := range []string{"HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "LocalAppData", "AppData"} {
		t.Setenv(name, home)
	}
	folder, err := store.DataDir()
	require.NoError(t, err)
	var bad string
	for day := range 3 {
		rec := store.NewRecorder(store.OS, store.TakesDir(folder), time.Date(2026, 11, 25+day, 20, 14, 5, 0, time.UTC), nil)
		rec.Event(midiin.Event{Data: [3]byte{0x90, 40, 90}})
		path, err := rec.Finish()
		require.NoError(t, err)
		if day == 1 {
			bad = path
		}
	}
	for _, args := range [][]string{{"history", "--json"}, {"history", "--rebuild"}, {"history", "--json"}} {
		var out, errs bytes.Buffer
		w := &world{
			out: &out, err: &errs, env: func(string) (string, bool) { return "", false }, open: openSource, show: dashboard.Run,
			figures: func(ctx context.Context, path string) (store.TakeFigures, error) {
				f, err := takeFigures(ctx, path)
				if path == bad {
					f.Likely = math.NaN()
				}
				return f, err
			},
		}
		code := run(t.Context(), args, w)
		assert.Contains(t, errs.String(), filepath.Base(bad)+": it cannot be counted", args)
		if args[1] == "--rebuild" {
			assert.Equal(t, 1, code)
			assert.Contains(t, out.String(), "2 takes in the history")
			continue
		}
		assert.Zero(t, code)
		assert.Contains(t, out.String(), "2026-11-25T201405Z.mid")
		assert.NotContains(t, out.String(), filepath.Base(bad))
		assert.Contains(t, out.String(), "2026-11-27T201405Z.mid")
	}
}
