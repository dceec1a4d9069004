package store

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// onMemDisk gives a history a disk whose faults a test chooses, for all but
// its database.
func onMemDisk(t *testing.T, takes int) (*History, *memDisk) {
	t.Helper()
	h := openHistory(t, t.TempDir())
	for i := range takes {
		require.NoError(t, h.Add(t.Context(), takeName(i), TakeFigures{Start: takeStart(i)}))
	}
	disk := newMemDisk()
	h.disk = disk
	return h, disk
}

func TestLogbook_AFailedEntryIsSaidAndHarmsNoOther(t *testing.T) {
	t.Parallel()
	for name, fault := range map[string]func(*memDisk){
		"disk full":        func(d *memDisk) { d.room = 30 },
		"folder read-only": failing(syscall.EROFS, "write"),
		"write error":      failing(syscall.EIO, "write"),
		"sync error":       failing(syscall.EIO, "sync"),
		"short write":      func(d *memDisk) { d.chunk = 50 },
	} {
		h, disk := onMemDisk(t, 4)
		require.NoError(t, h.SetLabel(t.Context(), takeName(0), Label{Name: "before"}), name)
		disk.set(fault)
		err := h.SetLabel(t.Context(), takeName(1), Label{Name: "lost"})
		require.Error(t, err, name)
		if remedy := map[string]string{"disk full": "free some space", "folder read-only": "make " + h.dir + " writable"}[name]; remedy != "" {
			require.ErrorContains(t, err, remedy)
		}
		disk.set(func(d *memDisk) { d.fault, d.room, d.chunk = nil, -1, 0 })
		require.NoError(t, h.SetLabel(t.Context(), takeName(2), Label{Name: "after"}), name)
		takes, err := h.Takes(t.Context(), Filter{})
		require.NoError(t, err)
		assert.Equal(t, "before", takes[0].Name, name)
		assert.Equal(t, "after", takes[2].Name, name)
	}
}

func TestLogbook_SurvivesPowerLossOnceSaid(t *testing.T) {
	t.Parallel()
	h, disk := onMemDisk(t, 3)
	for i := range 3 {
		require.NoError(t, h.SetLabel(t.Context(), takeName(i), Label{Name: "kept"}))
		after := disk.losePower(nil)
		data, err := after.ReadFile(h.logbookPath())
		require.NoError(t, err)
		assert.Equal(t, i+1, strings.Count(string(data), "kept"))
	}
}

func TestLogbook_WaitsForAnotherProgram(t *testing.T) {
	t.Parallel()
	h, disk := onMemDisk(t, 1)
	held, err := disk.Create(h.logbookPath())
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	require.ErrorIs(t, h.appendLine(ctx, []byte("x")), context.Canceled)
	done := make(chan error)
	go func() { done <- h.SetLabel(t.Context(), takeName(0), Label{Name: "patient"}) }()
	require.NoError(t, held.Close())
	require.NoError(t, <-done)
}

func TestLogbook_UnknownTakesAndEntriesAreRefusedOrPassedOver(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 1)
	require.ErrorIs(t, h.SetLabel(t.Context(), "other.mid", Label{Name: "x"}), ErrNoTake)
	content := []byte(`{"from_a_newer_version":{"a":1}}`)
	require.NoError(t, h.appendLine(t.Context(), []byte(`{"sum":"`+sumOf(content)+`","entry":`+string(content)+`}`)))
	require.NoError(t, h.SetLabel(t.Context(), takeName(0), Label{Name: "after"}))
	damages, err := h.logbookDamage()
	require.NoError(t, err)
	assert.Empty(t, damages)
	assert.Contains(t, dumpOf(t, h), "after")
}

// A backup put back is shorter than what the database has seen: its entries
// count, and nothing is dropped before a rebuild.
func TestLogbook_ShorterThanSeenIsReadFromItsStart(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 2)
	require.NoError(t, h.SetLabel(t.Context(), takeName(0), Label{Name: "old"}))
	backup, err := os.ReadFile(h.logbookPath())
	require.NoError(t, err)
	require.NoError(t, h.SetLabel(t.Context(), takeName(0), Label{Name: "new"}))
	require.NoError(t, h.SetLabel(t.Context(), takeName(1), Label{Name: "second"}))
	require.NoError(t, os.WriteFile(h.logbookPath(), backup, 0o600))

	again, err := OpenHistory(t.Context(), h.dir)
	require.NoError(t, err)
	takes, err := again.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Equal(t, []string{"old", "second"}, []string{takes[0].Name, takes[1].Name})
	_, err = again.Rebuild(t.Context(), plainly)
	require.NoError(t, err)
	takes, err = again.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Equal(t, []string{"old", ""}, []string{takes[0].Name, takes[1].Name})
	require.NoError(t, again.Close())
	assert.FileExists(t, filepath.Join(TakesDir(h.dir), "logbook.jsonl"))
}

// countingDisk counts the bytes read of files.
type countingDisk struct {
	FS
	bytes int
}

func (d *countingDisk) ReadFrom(name string, at int64) ([]byte, error) {
	data, err := d.FS.ReadFrom(name, at)
	d.bytes += len(data)
	return data, err
}

func (d *countingDisk) ReadFile(name string) ([]byte, error) {
	data, err := d.FS.ReadFile(name)
	d.bytes += len(data)
	return data, err
}

func TestLogbook_IsReadOnceHoweverManyLinesItHas(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	addTakes(t, h, 1)
	disk := &countingDisk{FS: OS}
	h.disk = disk
	for i := range 50 {
		require.NoError(t, h.SetLabel(t.Context(), takeName(0), Label{Name: fmt.Sprint(i)}))
	}
	size, err := OS.Size(h.logbookPath())
	require.NoError(t, err)
	assert.EqualValues(t, size, disk.bytes)
	takes, err := h.Takes(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Equal(t, "49", takes[0].Name)
}
