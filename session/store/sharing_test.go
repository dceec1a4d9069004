package store

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHistory_WaitsForAnotherProgramToWrite(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	other := openHistory(t, h.dir)
	writing, err := other.db.BeginTx(t.Context(), nil)
	require.NoError(t, err)
	done := make(chan error, 1)
	go func() {
		done <- h.Add(context.WithoutCancel(t.Context()), takeName(0), TakeFigures{Start: takeStart(0)})
	}()
	select {
	case err := <-done:
		require.FailNow(t, "did not wait", "%v", err)
	case <-time.After(100 * time.Millisecond): // far longer than an attempt takes
	}
	require.NoError(t, writing.Commit())
	require.NoError(t, <-done)
}

func TestHistory_TwoProgramsWriteAtOnce(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	require.NoError(t, OS.MkdirAll(TakesDir(dir)))
	const programs, takes = 3, 15
	failed := make(chan error, programs)
	for p := range programs {
		go func() {
			failed <- func() error {
				h, err := OpenHistory(t.Context(), dir)
				if err != nil {
					return err
				}
				defer h.Close()
				for i := range takes {
					name := takeName(p*takes + i)
					if err := h.Add(t.Context(), name, TakeFigures{Start: takeStart(i), Notes: i}); err != nil {
						return err
					}
					if err := h.SetLabel(t.Context(), name, Label{Note: fmt.Sprint(p, i)}); err != nil {
						return err
					}
				}
				return nil
			}()
		}()
	}
	for range programs {
		require.NoError(t, <-failed)
	}
	h := openHistory(t, dir)
	all, err := h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	require.Len(t, all, programs*takes)
	for _, take := range all {
		assert.NotEmpty(t, take.Note)
	}
	damages, err := h.logbookDamage()
	require.NoError(t, err)
	assert.Empty(t, damages)
}
