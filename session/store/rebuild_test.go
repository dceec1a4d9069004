package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var plainly = Rebuilding{Figures: figuresOf, Method: "1"}

// grown is a history as use makes it: takes added, labelled and deleted one by
// one.
func grown(t *testing.T, takes int) *History {
	t.Helper()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, takes)
	for i := 0; i < takes; i += 3 {
		require.NoError(t, h.SetLabel(t.Context(), takeName(i), Label{Name: "näme\n" + takeName(i), Student: "S", Note: "✓"}))
	}
	require.NoError(t, h.SetLabel(t.Context(), takeName(3), Label{}))
	require.NoError(t, h.SetLabel(t.Context(), takeName(0), Label{Name: "another"}))
	addPractice(t, h, 6)
	for i := 1; i < takes; i += 5 {
		_, err := h.Delete(t.Context(), takeName(i))
		require.NoError(t, err)
	}
	return h
}

// Issue: history --rebuild must end byte-identical in content.
func TestRebuild_EndsWithTheSameContent(t *testing.T) {
	t.Parallel()
	h := grown(t, 40)
	before := dumpOf(t, h)
	require.Contains(t, before, "another")

	var calls int
	how := plainly
	how.Progress = func(done, of int) { calls++; assert.Equal(t, 32, of); assert.Equal(t, calls, done) }
	rebuilt, err := h.Rebuild(t.Context(), how)
	require.NoError(t, err)
	assert.Equal(t, Rebuilt{Takes: 32}, rebuilt)
	assert.Equal(t, before, dumpOf(t, h))
	assert.Equal(t, 32, calls)

	// From nothing but the takes folder.
	require.NoError(t, h.db.Close())
	for _, side := range []string{"", "-wal", "-shm"} {
		err := os.Remove(filepath.Join(h.dir, historyFile+side))
		require.True(t, err == nil || errors.Is(err, os.ErrNotExist))
	}
	fresh := openHistory(t, h.dir)
	rebuilt, err = fresh.Rebuild(t.Context(), plainly)
	require.NoError(t, err)
	assert.Equal(t, 32, rebuilt.Takes)
	assert.Equal(t, before, dumpOf(t, fresh))
}

func TestRebuild_MendsWhatIsWrong(t *testing.T) {
	t.Parallel()
	h := grown(t, 10)
	before := dumpOf(t, h)
	for _, spoil := range []string{
		"UPDATE takes SET notes = notes + 1",
		"UPDATE systems SET fewest = 0",
		"DELETE FROM regions",
		"DELETE FROM labels",
		"INSERT INTO labels VALUES ('x', 'x', '', '')",
		"DELETE FROM attempts",
		"UPDATE rounds SET points = 100",
		"UPDATE reaches SET mm = 200",
		"UPDATE takes SET name = 'gone' || name",
	} {
		_, err := h.db.Exec("PRAGMA foreign_keys = 0; " + spoil + "; PRAGMA foreign_keys = 1")
		require.NoError(t, err)
		require.NotEqual(t, before, dumpOf(t, h), spoil)
		_, err = h.Rebuild(t.Context(), plainly)
		require.NoError(t, err)
		require.Equal(t, before, dumpOf(t, h), spoil)
	}
}

func TestRebuild_InterruptedGoesOn(t *testing.T) {
	t.Parallel()
	const takes = 3*rebuildBatch + 20
	h := openHistory(t, t.TempDir())
	addTakes(t, h, takes)
	before := dumpOf(t, h)

	var computed atomic.Int64
	ctx, interrupt := context.WithCancel(t.Context())
	counting := Rebuilding{Method: "1", Figures: func(ctx context.Context, path string) (TakeFigures, error) {
		if computed.Add(1) == 100 {
			interrupt()
		}
		if err := ctx.Err(); err != nil {
			return TakeFigures{}, err
		}
		return figuresOf(ctx, path)
	}}
	_, err := h.Rebuild(ctx, counting)
	require.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, before, dumpOf(t, h), "what is there meanwhile is whole")

	first := computed.Load()
	assert.Less(t, first, int64(takes))
	rebuilt, err := h.Rebuild(t.Context(), counting)
	require.NoError(t, err)
	assert.Equal(t, takes, rebuilt.Takes)
	assert.GreaterOrEqual(t, rebuilt.Resumed, 95)
	assert.LessOrEqual(t, computed.Load(), int64(takes+8), "nothing is computed twice but what was under way")
	assert.Equal(t, before, dumpOf(t, h))

	// What the folder lost meanwhile is not kept.
	_, err = h.db.Exec("UPDATE progress SET rebuilding = generation, method = '1'")
	require.NoError(t, err)
	gone := takeName(7)
	require.NoError(t, os.Remove(h.Path(gone)))
	rebuilt, err = h.Rebuild(t.Context(), plainly)
	require.NoError(t, err)
	assert.Equal(t, Rebuilt{Takes: takes - 1, Resumed: takes - 1}, rebuilt)
	left, err := h.Takes(t.Context(), Filter{Take: gone})
	require.NoError(t, err)
	assert.Empty(t, left)
	placeTake(t, h.dir, 7)

	// A finished one begins anew, and so does an interrupted one of another method.
	computed.Store(0)
	_, err = h.Rebuild(t.Context(), counting)
	require.NoError(t, err)
	assert.Equal(t, int64(takes), computed.Load())
	_, err = h.db.Exec("UPDATE progress SET rebuilding = generation + 1, method = 'old'; UPDATE takes SET generation = generation + 1")
	require.NoError(t, err)
	rebuilt, err = h.Rebuild(t.Context(), plainly)
	require.NoError(t, err)
	assert.Zero(t, rebuilt.Resumed)
}

func TestRebuild_LeavesOutTakesThatCannotBeRead(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 9)
	broken := errors.New("no track at byte 14: save it again")
	rebuilt, err := h.Rebuild(t.Context(), Rebuilding{Method: "1", Figures: func(ctx context.Context, path string) (TakeFigures, error) {
		if filepath.Base(path) == takeName(4) || filepath.Base(path) == takeName(2) {
			return TakeFigures{}, broken
		}
		return figuresOf(ctx, path)
	}})
	require.NoError(t, err)
	assert.Equal(t, 7, rebuilt.Takes)
	require.Len(t, rebuilt.Failed, 2)
	require.ErrorIs(t, rebuilt.Failed[0], broken)
	assert.ErrorContains(t, rebuilt.Failed[0], takeName(2))
	takes, err := h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Len(t, takes, 7)
}

func TestRebuild_NamesDamageOfTheLogbook(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 3)
	for i := range 3 {
		require.NoError(t, h.SetLabel(t.Context(), takeName(i), Label{Name: "abc"}))
	}
	data, err := os.ReadFile(h.logbookPath())
	require.NoError(t, err)
	line := len(data) / 3
	at := line + bytes.Index(data[line:], []byte("abc"))
	data[at] ^= 2 // still good JSON: only the checksum tells
	require.NoError(t, os.WriteFile(h.logbookPath(), data[:len(data)-5], 0o600))

	rebuilt, err := h.Rebuild(t.Context(), plainly)
	require.NoError(t, err)
	require.Len(t, rebuilt.Warnings, 2)
	assert.Contains(t, rebuilt.Warnings[0], fmt.Sprintf("byte %d cannot", line))
	takes, err := h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Equal(t, []string{"abc", "", ""}, []string{takes[0].Name, takes[1].Name, takes[2].Name})

	// The next entry begins a line of its own behind the torn one.
	require.NoError(t, h.SetLabel(t.Context(), takeName(2), Label{Name: "again"}))
	before := dumpOf(t, h)
	assert.Contains(t, before, "again")
	_, err = h.Rebuild(t.Context(), plainly)
	require.NoError(t, err)
	assert.Equal(t, before, dumpOf(t, h))
}
