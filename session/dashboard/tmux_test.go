//go:build unix

package dashboard

import (
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One run inside a terminal that is not ours: tmux, on a server of its own.
func TestTerminal_WorksInTmux(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("tmux"); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("tmux is missing: no terminal of somebody else's is tried")
		}
		t.Skip("tmux is missing: no terminal of somebody else's is tried")
	}
	program, err := os.Executable()
	require.NoError(t, err)
	sockets := t.TempDir()
	tmux := func(args ...string) string {
		cmd := exec.Command("tmux", append([]string{"-L", "own", "-f", "/dev/null"}, args...)...)
		cmd.Env = append(os.Environ(), "TMUX_TMPDIR="+sockets, "LC_ALL=C.UTF-8", sceneVariable+"=sit")
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "tmux %v: %s", args, out)
		return string(out)
	}
	tmux("new-session", "-d", "-x", "120", "-y", "40", "sh", "-c", `"$0"; echo "code $?"; read end`, program)
	t.Cleanup(func() { tmux("kill-server") })
	shows := func(want string) string {
		limit := time.Now().Add(patience)
		for {
			shown := tmux("capture-pane", "-p")
			if strings.Contains(shown, want) {
				return shown
			}
			require.True(t, time.Now().Before(limit), "%q is not shown in\n%s", want, shown)
		}
	}
	shown := shows(firstFrame)
	assert.Contains(t, shown, "position, last half minute")
	assert.Contains(t, shown, "┃━━━━━━╎━━━━━━┿━ 3 ━┿━━━━━┃", "line drawing comes through")
	tmux("send-keys", "m")
	shows("mark 1")
	tmux("send-keys", "q")
	shows("code 0")
}
