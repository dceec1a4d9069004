package store

import (
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
