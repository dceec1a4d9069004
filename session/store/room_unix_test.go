//go:build unix

package store

import (
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// crampedFolder names the folder in which TestProgramWithoutRoom opens a history.
const crampedFolder = "STILLHAND_TEST_CRAMPED"

// Not a test: a program for which no file may grow beyond 16 KiB.
func TestProgramWithoutRoom(t *testing.T) {
	dir := os.Getenv(crampedFolder)
	if dir == "" {
		t.Skip("run by TestHistory_SaysWhatToDoWithoutRoom")
	}
	signal.Ignore(syscall.SIGXFSZ)
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 16 << 10, Max: 16 << 10}))
	_, err := OpenHistory(t.Context(), dir)
	fmt.Println(err)
}

func TestHistory_SaysWhatToDoWithoutRoom(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	h, err := OpenHistory(t.Context(), dir)
	require.NoError(t, err)
	require.NoError(t, h.Close())
	cmd := exec.Command(os.Args[0], "-test.run=^TestProgramWithoutRoom$")
	cmd.Env = append(os.Environ(), crampedFolder+"="+dir)
	said, err := cmd.Output()
	require.NoError(t, err, string(said))
	assert.Contains(t, string(said), "free some space on the disk of "+dir)
}
