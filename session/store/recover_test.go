package store

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRecover_StaysWithWhatItCannotSave(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, header)
		sent := play(rec, time.Now(), 0, 100)
		time.Sleep(time.Second)
		after := disk.kill()
		_, err := rec.Finish()
		require.NoError(t, err)
		for _, op := range []string{"create", "write", "sync", "rename", "syncdir"} {
			after.set(failing(syscall.ENOSPC, op))
			_, err = Recover(after, "takes")
			require.ErrorContains(t, err, "2026-11-25T201405Z.journal", op)
			require.Len(t, after.find(t, journalExt), 1)
		}
		after.set(healthy)
		all, err := Recover(after, "takes")
		require.NoError(t, err)
		require.Len(t, all, 1)
		assert.Equal(t, Recovered{
			Journal: filepath.Join("takes", "2026-11-25T201405Z.journal"), Path: filepath.Join("takes", "2026-11-25T201405Z.mid"), Messages: 100,
		}, all[0])
		assert.Equal(t, sent, readTake(t, after, all[0].Path))
		assert.Equal(t, []string{all[0].Path}, after.find(t, ""))
	})
}

func TestRecover_DamagedJournalIsKeptAside(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	data, starts := smallJournal(10)
	data[starts[6]+15] ^= 0x10
	name := filepath.Join(dir, "2026-11-25T201405Z.journal")
	require.NoError(t, os.WriteFile(name, data, 0o600))
	data, _ = smallJournal(3)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "2026-11-26T201405Z.journal"), data[starts[1]:], 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "2026-11-27T201405Z.journal"), []byte("nothing of use"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "2026-11-28T201405Z.journal"), nil, 0o600))

	all, err := Recover(OS, dir)
	require.NoError(t, err)
	require.Len(t, all, 3)
	assert.Equal(t, 9, all[0].Messages)
	assert.Contains(t, all[0].Warnings[0], fmt.Sprintf("damaged at byte %d", starts[6]))
	assert.Contains(t, readTexts(t, OS, all[1].Path), "started=2026-11-26T20:14:05Z", "the name tells the start if the record is gone")
	assert.Empty(t, all[2].Path)
	assert.Contains(t, all[2].Warnings[0], "from byte 0 to the end")

	again, err := Recover(OS, dir)
	require.NoError(t, err)
	assert.Empty(t, again)
	names, err := OS.ReadDir(dir)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"2026-11-25T201405Z.journal.damaged", "2026-11-25T201405Z.mid",
		"2026-11-26T201405Z.journal.damaged", "2026-11-26T201405Z.mid",
		"2026-11-27T201405Z.journal.damaged",
	}, names)

	// The clock was set back, and the same happens again: the first one stays.
	require.NoError(t, os.WriteFile(filepath.Join(dir, "2026-11-27T201405Z.journal"), []byte("nor of this"), 0o600))
	_, err = Recover(OS, dir)
	require.NoError(t, err)
	for name, want := range map[string]string{"": "nothing of use", "-2": "nor of this"} {
		kept, err := os.ReadFile(filepath.Join(dir, "2026-11-27T201405Z.journal.damaged"+name))
		require.NoError(t, err)
		assert.Equal(t, want, string(kept))
	}
}

func TestRecover_TakeThatWasSavedIsNotSavedTwice(t *testing.T) {
	t.Parallel()
	disk := newMemDisk()
	data, _ := smallJournal(5)
	require.NoError(t, disk.WriteFile("takes/2026-11-25T201405Z.journal", data))
	kept := disk.kill()
	all, err := Recover(disk, "takes")
	require.NoError(t, err)
	take, err := disk.ReadFile(all[0].Path)
	require.NoError(t, err)

	require.NoError(t, kept.WriteFile(all[0].Path, take))
	_, err = Recover(kept, "takes")
	require.NoError(t, err)
	assert.Equal(t, []string{all[0].Path}, kept.find(t, ""))

	// Another take of that name is not overwritten.
	require.NoError(t, disk.WriteFile("takes/2026-11-25T201405Z.journal", data[:len(data)-24]))
	all, err = Recover(disk, "takes")
	require.NoError(t, err)
	assert.Equal(t, "takes/2026-11-25T201405Z-2.mid", filepath.ToSlash(all[0].Path))
}

func TestRecover_FolderThatCannotBeReadIsAnError(t *testing.T) {
	t.Parallel()
	all, err := Recover(OS, filepath.Join(t.TempDir(), "none yet"))
	require.NoError(t, err)
	assert.Empty(t, all)
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err = Recover(OS, file)
	var path *fs.PathError
	require.ErrorAs(t, err, &path)
}

func TestRecover_OneLineForManyFailures(t *testing.T) {
	t.Parallel()
	disk := newMemDisk()
	data, _ := smallJournal(3)
	for _, day := range []string{"25", "26", "27"} {
		require.NoError(t, disk.WriteFile(filepath.Join("takes", "2026-11-"+day+"T201405Z.journal"), data))
	}
	disk.fault = func(op, name string) error {
		if op == "rename" && filepath.Base(name) != "2026-11-26T201405Z.mid.part" {
			return syscall.EIO
		}
		return nil
	}
	all, err := Recover(disk, "takes")
	require.ErrorIs(t, err, syscall.EIO)
	require.ErrorContains(t, err, "2 unfinished takes")
	assert.NotContains(t, err.Error(), "\n")
	assert.Len(t, all, 1, "one does not stop the others")
}

// Power fails while a journal is being recovered: the next start does it.
func TestRecover_PowerLossAtAnyMoment(t *testing.T) {
	t.Parallel()
	data, _ := smallJournal(20)
	journal, take := filepath.Join("takes", "2026-11-25T201405Z.journal"), filepath.Join("takes", "2026-11-25T201405Z.mid")
	fresh := func() *memDisk {
		disk := newMemDisk()
		require.NoError(t, disk.WriteFile(journal, data))
		require.NoError(t, disk.SyncDir("takes"))
		return disk
	}
	whole := fresh()
	_, err := Recover(whole, "takes")
	require.NoError(t, err)
	want, err := whole.ReadFile(take)
	require.NoError(t, err)

	moments := 0
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 7))
		disk := fresh()
		var found []*memDisk
		disk.fault = func(string, string) error {
			found = append(found, disk.afterPowerLoss(random))
			return nil
		}
		_, err := Recover(disk, "takes")
		require.NoError(t, err)
		found = append(found, disk.afterPowerLoss(random))
		for _, after := range found {
			moments++
			_, err := Recover(after, "takes")
			require.NoError(t, err)
			require.Equal(t, []string{take}, after.find(t, takeExt))
			require.Empty(t, after.find(t, journalExt))
			got, err := after.ReadFile(take)
			require.NoError(t, err)
			require.Equal(t, want, got)
		}
	}
	assert.Greater(t, moments, 40*5)
}
