package store

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
)

// XDG Base Directory Specification 0.8: the variables, their defaults, and
// that a relative path in them is invalid and to be ignored.
func TestFolders_FollowXDG(t *testing.T) {
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		t.Skip("other rules there")
	}
	home := t.TempDir()
	t.Setenv("HOME", home)
	for _, set := range []string{"", "relative/path", filepath.Join(home, "elsewhere")} {
		t.Setenv("XDG_DATA_HOME", set)
		t.Setenv("XDG_CONFIG_HOME", set)
		data, err := DataDir()
		require.NoError(t, err)
		config, err := ConfigDir()
		require.NoError(t, err)
		if filepath.IsAbs(set) {
			assert.Equal(t, filepath.Join(set, "stillhand"), data)
			assert.Equal(t, data, config)
			continue
		}
		assert.Equal(t, filepath.Join(home, ".local", "share", "stillhand"), data)
		assert.Equal(t, filepath.Join(home, ".config", "stillhand"), config)
	}
	t.Setenv("HOME", "")
	_, err := DataDir()
	require.NoError(t, err, "an absolute one needs no home")
	t.Setenv("XDG_DATA_HOME", "")
	_, err = DataDir()
	require.ErrorContains(t, err, "set $HOME")
}

// noLocks is a file system on which a file cannot be locked (flock fails with
// ENOLCK): by then the file is there.
type noLocks struct{ osFS }

func (noLocks) Create(name string) (File, error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, err
	}
	_ = f.Close()
	return nil, &os.PathError{Op: "lock", Path: name, Err: errors.New("no locks available")}
}

func TestRecorder_LeavesNoJournalsWhereNothingCanBeLocked(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for range 20 { // ten seconds of retries
		_, _, err := createJournal(noLocks{}, dir, "2026-11-25T201405Z")
		assert.Error(t, err)
	}
	names, _ := filepath.Glob(filepath.Join(dir, "*"))
	assert.LessOrEqual(t, len(names), 1, strings.Join(names, " "))
}

// watchedDisk writes down which folders were made durable, and what was renamed.
type watchedDisk struct {
	FS
	did []string
}

func (d *watchedDisk) SyncDir(dir string) error {
	d.did = append(d.did, "sync "+dir)
	return d.FS.SyncDir(dir)
}

func (d *watchedDisk) Rename(from, to string) error {
	d.did = append(d.did, "rename")
	return d.FS.Rename(from, to)
}

// A folder that the power takes away takes the take in it with it.
func TestDelete_MakesTheFoldersOfTheTrashDurableFirst(t *testing.T) {
	t.Parallel()
	h := openHistory(t, t.TempDir())
	trash := trashDir(h.dir)
	for _, want := range []struct{ before, after string }{
		{"sync " + h.dir, "sync " + trash},
		{"sync " + trash, "sync " + filepath.Join(trash, "2")},
	} {
		placeTake(t, h.dir, 0)
		disk := &watchedDisk{FS: OS}
		h.disk = disk
		_, err := h.Delete(t.Context(), takeName(0))
		require.NoError(t, err)
		assert.Equal(t, []string{want.before, "rename", want.after, "sync " + TakesDir(h.dir)}, disk.did)
	}
}

func TestRecorder_MakesItsFolderDurable(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	disk := &watchedDisk{FS: OS}
	rec := NewRecorder(disk, TakesDir(filepath.Join(dir, "data")), evening, header)
	rec.Event(midiin.Event{Data: [3]byte{0x90, 33, 90}})
	_, err := rec.Finish()
	require.NoError(t, err)
	assert.Subset(t, disk.did, []string{"sync " + dir, "sync " + filepath.Join(dir, "data")})
}
