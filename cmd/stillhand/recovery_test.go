package main_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
	"stillhand/midiin"
	"stillhand/session/store"
)

const leftStem = "2026-11-25T201405Z"

// leaveJournal makes a home of its own the user's, with a journal in it as a crash
// leaves one behind, and returns its data folder.
func leaveJournal(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "LocalAppData", "AppData"} {
		t.Setenv(name, t.TempDir())
	}
	elsewhere := t.TempDir()
	rec := store.NewRecorder(store.OS, elsewhere, time.Date(2026, 11, 25, 20, 14, 5, 0, time.UTC), nil)
	message := [3]byte{0x90, 40, 90}
	rec.Event(midiin.Event{Data: message})
	var journal []byte
	require.Eventually(t, func() bool {
		journal, _ = os.ReadFile(filepath.Join(elsewhere, leftStem+".journal"))
		return bytes.Contains(journal, message[:])
	}, 10*time.Second, time.Millisecond)
	_, err := rec.Finish()
	require.NoError(t, err)
	folder, err := store.DataDir()
	require.NoError(t, err)
	takes := store.TakesDir(folder)
	require.NoError(t, os.MkdirAll(takes, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(takes, leftStem+".journal"), journal, 0o600))
	return folder
}

func TestHistory_GoesOnWithAJournalOfWhichNoTakeCanBeMade(t *testing.T) {
	folder := leaveJournal(t)
	require.NoError(t, os.Mkdir(filepath.Join(store.TakesDir(folder), leftStem+".mid"), 0o700))
	for line, want := range map[string]string{"history": "No takes yet", "history --rebuild": "0 takes in the history"} {
		out, errs, code := main.Run(strings.Fields(line)...)
		assert.Zero(t, code, line)
		assert.Contains(t, out, want)
		assert.Contains(t, errs, "stillhand: recover "+leftStem+".journal: ")
	}
	_, errs, code := main.Run("history", "--recover")
	assert.Equal(t, 1, code)
	assert.Contains(t, errs, leftStem)
}

func TestHistory_RebuildsADamagedOneAndRecoversAtOnce(t *testing.T) {
	folder := leaveJournal(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "history.db"), bytes.Repeat([]byte("noise"), 1000), 0o600))
	out, errs, code := main.Run("history", "--rebuild")
	assert.Zero(t, code, errs)
	assert.Contains(t, out, "1 take in the history")
	assert.Contains(t, errs, "the damaged history is kept as ")
	assert.Contains(t, errs, "take recovered: ")
	assert.NotContains(t, errs, "run history --rebuild")
}

// What is missing from a database that opens is met when it opens, or on the way.
func TestHistory_RebuildsOneThatLacksAPart(t *testing.T) {
	for name, spoil := range map[string]func([]byte){
		"version": func(data []byte) { clear(data[60:64]) }, // user_version (SQLite's file format, 1.3)
		"pages":   func(data []byte) { clear(data[4096 : len(data)-4096]) },
	} {
		folder := leaveJournal(t)
		_, errs, code := main.Run("history")
		require.Zero(t, code, errs)
		path := filepath.Join(folder, "history.db")
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		spoil(data)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		_, errs, code = main.Run("history")
		assert.Equal(t, 1, code, name)
		assert.Contains(t, errs, "run history --rebuild", name)
		out, errs, code := main.Run("history", "--rebuild")
		assert.Zero(t, code, "%s: %s", name, errs)
		assert.Contains(t, out, "1 take in the history", name)
		assert.Contains(t, errs, "the damaged history is kept as "+path+".damaged-1", name)
		out, errs, code = main.Run("history")
		assert.Zero(t, code, errs)
		assert.Contains(t, out, leftStem, name)
	}
}
