//go:build linux

package main_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
	"stillhand/midiin"
	"stillhand/session/store"
)

// Whoever leaves after two hours of notes without a rest has the take and the
// last words at once; until the prompt it is put into the history, for which it
// is read again.
func TestFigures_LeavingAfterTwoHours(t *testing.T) {
	home := t.TempDir()
	for _, name := range []string{"XDG_DATA_HOME", "XDG_CONFIG_HOME", "HOME", "LocalAppData", "AppData"} {
		t.Setenv(name, home)
	}
	folder, err := store.DataDir()
	require.NoError(t, err)
	take := store.NewRecorder(store.OS, store.TakesDir(folder), time.Now(), nil)
	notes := pick(2*3600, 600) * 8
	rng := rand.New(rand.NewPCG(11, 2))
	pitch := 40
	for i := range notes {
		at := time.Duration(i) * time.Second / 8
		pitch = min(max(pitch+rng.IntN(13)-6, 28), 65) // a walk over the neck
		take.Event(midiin.Event{At: at, Data: [3]byte{0x90, byte(pitch), byte(60 + rng.IntN(60))}})
		take.Event(midiin.Event{At: at + time.Second/10, Data: [3]byte{0x80, byte(pitch), 64}})
	}
	began := time.Now()
	path, err := take.Finish()
	require.NoError(t, err)
	written := time.Since(began)
	require.NoError(t, main.AddTake(t.Context(), path))
	took := time.Since(began)
	t.Logf("leaving after %d notes: take written in %v, in the history after %v", notes, written.Round(time.Millisecond), took.Round(time.Millisecond))
	assert.Less(t, written, slowed*pick[time.Duration](1, 5)*time.Second)
	assert.Less(t, took, slowed*pick[time.Duration](1, 10)*time.Second)
}
