//go:build unix

package store

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A pipe that stands where a file belongs keeps nobody waiting, and what to do
// about it is said.
func TestHistory_WaitsForNoPipe(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, historyFile)
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	_, err := OpenHistory(t.Context(), dir)
	require.EqualError(t, err, "open history: "+path+" is no file: move it away and run history --rebuild")
	require.NoError(t, os.Remove(path))

	require.NoError(t, OS.MkdirAll(TakesDir(dir)))
	h := openHistory(t, dir)
	require.NoError(t, syscall.Mkfifo(h.logbookPath(), 0o600))
	_, err = h.Rebuild(t.Context(), plainly)
	require.ErrorContains(t, err, logbookFile+": is no file: move it away")
	addTakes(t, h, 1)
	require.ErrorContains(t, h.SetLabel(t.Context(), takeName(0), Label{Name: "x"}), logbookFile+": is no file: move it away")
}

func TestRecover_WaitsForNoPipe(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	pipe := filepath.Join(dir, "2026-11-24T201405Z.journal")
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	data, _ := smallJournal(3)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "2026-11-25T201405Z.journal"), data, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "2026-11-26T201405Z.journal"), data, 0o600))
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "2026-11-26T201405Z.mid"), 0o600))
	all, err := Recover(OS, dir)
	require.ErrorContains(t, err, "2 unfinished takes")
	require.ErrorContains(t, err, "recover 2026-11-24T201405Z.journal: open "+pipe+": is no file: move it away")
	require.Len(t, all, 1)
	assert.Equal(t, filepath.Join(dir, "2026-11-25T201405Z.mid"), all[0].Path)
}

// What stands where a journal would be made is somebody else's, whatever it is: it
// stays, and the next name is taken.
func TestRecorder_TakesNothingAwayThatIsNotItsJournal(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	const stem = "2026-11-26T201405Z"
	pipe := filepath.Join(dir, stem+journalExt)
	require.NoError(t, syscall.Mkfifo(pipe, 0o600))
	file, path, err := createJournal(OS, dir, stem)
	require.NoError(t, err)
	require.NoError(t, file.Close())
	assert.NotEqual(t, pipe, path)
	_, err = os.Lstat(pipe)
	assert.NoError(t, err)
}
