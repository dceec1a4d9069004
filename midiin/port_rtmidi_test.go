//go:build rtmidi

package midiin

import (
	"os"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRtMidi_AnswersWithOrWithoutAService(t *testing.T) {
	t.Parallel()
	assert.Empty(t, PortsHint())
	names, err := system().names()
	if _, e := os.Stat(sequencer); runtime.GOOS == "linux" && e != nil {
		require.ErrorIs(t, err, errNoService)
		return
	}
	require.NoError(t, err)
	again, err := system().names()
	require.NoError(t, err)
	assert.Len(t, again, len(names))
	if len(names) == 0 {
		return
	}
	h, err := system().open(0, func([]byte) {})
	require.NoError(t, err)
	h.idle()
	woken, err := system().open(0, func([]byte) {})
	require.NoError(t, err)
	assert.Same(t, h, woken, "an idle port is woken, not opened twice")
	woken.idle()
}

func TestRtMidi_RefusesAPortThatIsNotThere(t *testing.T) {
	t.Parallel()
	if _, err := os.Stat(sequencer); runtime.GOOS == "linux" && err != nil {
		t.Skip("no ALSA sequencer here: ports cannot be opened")
	}
	_, err := system().open(1000, func([]byte) {})
	require.Error(t, err)
	assert.NotContains(t, err.Error(), "\n")
}
