package store

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMigration_LeadsFromEveryEarlierVersion(t *testing.T) {
	t.Parallel()
	all, err := migrations()
	require.NoError(t, err)
	require.NotEmpty(t, all)
	fresh := openHistory(t, t.TempDir())
	for earlier := 1; earlier <= len(all); earlier++ {
		dir := t.TempDir()
		data, err := os.ReadFile(filepath.Join("testdata", fmt.Sprintf("history-%d.db", earlier)))
		require.NoError(t, err, "each version that was ever used is kept")
		require.NoError(t, os.WriteFile(filepath.Join(dir, historyFile), data, 0o600))
		h := openHistory(t, dir)
		at, err := version(t.Context(), h.db)
		require.NoError(t, err)
		assert.Equal(t, len(all), at)
		assert.Equal(t, schemaOf(t, fresh), schemaOf(t, h), "from version %d", earlier)

		takes, err := h.Takes(t.Context(), Filter{})
		require.NoError(t, err)
		require.Len(t, takes, 3)
		for i, take := range takes {
			want := inventFigures(takeStart(i), takeRandom(i))
			want.Start = want.Start.UTC()
			want.Regions = nil
			assert.Equal(t, want, take.TakeFigures)
		}
		assert.Equal(t, "kept", takes[1].Name)
		if earlier >= 2 {
			attempts, err := h.Attempts(t.Context(), Filter{})
			require.NoError(t, err)
			assert.Equal(t, []Attempt{attemptAt(0), attemptAt(1)}, attempts)
		}

		// What an earlier version computed is computed again, once.
		for i := range 3 {
			require.Equal(t, takeName(i), placeTake(t, dir, i))
		}
		old, err := h.Reconcile(t.Context())
		require.NoError(t, err)
		if earlier == len(all) {
			require.Empty(t, old)
			continue
		}
		assert.Equal(t, []string{takeName(0), takeName(1), takeName(2)}, old)
		for _, name := range old {
			require.NoError(t, h.Add(t.Context(), name, TakeFigures{Declared: []string{"four", "three"}}))
		}
		old, err = h.Reconcile(t.Context())
		require.NoError(t, err)
		assert.Empty(t, old)
	}
}

func schemaOf(t *testing.T, h *History) []string {
	t.Helper()
	statements, err := h.names(t.Context(), "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name")
	require.NoError(t, err)
	return statements
}

// A step that fails leaves the version before it, whole.
func TestMigration_AFailedStepChangesNothing(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	at, err := version(t.Context(), h.db)
	require.NoError(t, err)
	before := schemaOf(t, h)
	err = step(t.Context(), h.db, at, "CREATE TABLE one (x); DROP TABLE labels; SELECT nonsense")
	require.Error(t, err)
	assert.Equal(t, before, schemaOf(t, h))
	after, err := version(t.Context(), h.db)
	require.NoError(t, err)
	assert.Equal(t, at, after)

	// Another program was faster: nothing is done twice.
	require.NoError(t, step(t.Context(), h.db, at-1, "SELECT nonsense"))
}

func TestHistory_OfANewerVersionIsLeftAlone(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	h := openHistory(t, dir)
	_, err := h.db.Exec("PRAGMA user_version = 999")
	require.NoError(t, err)
	_, err = OpenHistory(t.Context(), dir)
	require.ErrorIs(t, err, errNewer)
}

func TestHistory_DamagedIsSetAsideAndRebuilt(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func([]byte) []byte{
		"no database": func([]byte) []byte {
			return []byte("this is no database, but some text that is long enough to tell, and then some more of it")
		},
		"torn":  func(data []byte) []byte { return data[:len(data)/2] },
		"pages": func(data []byte) []byte { clear(data[4096 : len(data)-4096]); return data },
	} {
		dir := t.TempDir()
		h, err := OpenHistory(t.Context(), dir)
		require.NoError(t, err)
		addTakes(t, h, 30)
		before := dumpOf(t, h)
		require.NoError(t, h.Close())
		path := filepath.Join(dir, historyFile)
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, spoil(data), 0o600))

		spoilt, err := OpenHistory(t.Context(), dir)
		if err == nil {
			_, err = spoilt.Takes(t.Context(), Filter{})
			require.NoError(t, spoilt.Close())
		}
		require.ErrorIs(t, err, ErrDamaged, name)
		aside, err := SetAside(dir)
		require.NoError(t, err)
		assert.FileExists(t, aside)
		fresh := openHistory(t, dir)
		_, err = fresh.Rebuild(t.Context(), plainly)
		require.NoError(t, err)
		assert.Equal(t, before, dumpOf(t, fresh), name)
	}
}

// A database that opens and lacks a part is damaged too, wherever that is met.
func TestHistory_WithoutAPartIsDamaged(t *testing.T) {
	t.Parallel()
	whole := openHistory(t, t.TempDir())
	addTakes(t, whole, 3)
	want := dumpOf(t, whole)
	for _, lose := range []string{
		"DROP TABLE progress", "DELETE FROM progress", "DROP TABLE takes", "DROP TABLE systems", "DROP TABLE regions",
		"DROP TABLE labels", "DROP TABLE attempts", "DROP TABLE rounds", "DROP TABLE reaches",
		"PRAGMA user_version = 0", "DROP TABLE takes; CREATE TABLE takes (name)",
	} {
		dir := t.TempDir()
		h, err := OpenHistory(t.Context(), dir)
		require.NoError(t, err)
		addTakes(t, h, 3)
		_, err = h.db.Exec("PRAGMA foreign_keys = 0; " + lose)
		require.NoError(t, err)
		require.NoError(t, h.Close())

		h, err = OpenHistory(t.Context(), dir)
		if err == nil {
			_, err = h.Rebuild(t.Context(), plainly)
			require.NoError(t, h.Close())
		}
		require.ErrorIs(t, err, ErrDamaged, lose)
		assert.NotContains(t, err.Error(), "\n")
		_, err = SetAside(dir)
		require.NoError(t, err)
		fresh := openHistory(t, dir)
		_, err = fresh.Rebuild(t.Context(), plainly)
		require.NoError(t, err)
		assert.Equal(t, want, dumpOf(t, fresh), lose)
	}
}
