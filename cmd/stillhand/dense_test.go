//go:build linux

package main_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
	"stillhand/testdata/bound"
)

// denseFile is a MIDI file of format 0 with so many note-ons of three bytes
// under running status, none of them released: the most notes, shifts and
// advice for its size.
func denseFile(notes int) []byte {
	r := fixedRand()
	track := []byte{0, 0x90, 28, 80}
	for range notes - 1 {
		track = append(track, 96, byte(28+r.IntN(35)), 80)
	}
	track = append(track, 0, 0xFF, 0x2F, 0)
	data := append([]byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk"), binary.BigEndian.AppendUint32(nil, uint32(len(track)))...)
	return append(data, track...)
}

// stillhand-peak is the program, which says last what memory it took at its
// peak: what the system tells of a child counts the memory of its parent too.
func init() {
	programs["stillhand-peak"] = func() {
		code := main.Start()
		fmt.Fprintln(os.Stderr, memoryPeak("self"))
		os.Exit(code)
	}
}

// The whole program, its printing too, stays under 32 times its input and
// 64 MB for the densest of files.
func TestReview_DenseFileStaysInBounds(t *testing.T) {
	if testing.Short() || slowed > 1 {
		t.Skip("a review of some seconds, in a program of its own")
	}
	t.Parallel()
	data := denseFile(500_000)
	path := filepath.Join(t.TempDir(), "dense.mid")
	require.NoError(t, os.WriteFile(path, data, 0o600))
	for _, form := range []string{"--csv=false", "--csv"} { // the summary, the rows
		c := exec.Command("stillhand-peak", "review", form, path)
		var errs bytes.Buffer
		c.Stderr = &errs
		require.NoError(t, c.Run(), "%s: %s", form, &errs)
		words := bytes.Fields(errs.Bytes())
		require.NotEmpty(t, words)
		used, err := strconv.Atoi(string(words[len(words)-1]))
		require.NoError(t, err)
		t.Logf("%s: %d MB for %d bytes", form, used>>20, len(data))
		assert.Less(t, uint64(used), bound.Memory(len(data)), form)
	}
}
