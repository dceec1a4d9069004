package main_test

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
	"stillhand/testdata"
)

// A folder in a folder that cannot be read is named, and the rest is read. Nobody
// reads one whose path is longer than Linux takes (PATH_MAX, 4096 bytes).
func TestReview_GoesOnBesideAFolderThatCannotBeRead(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("a limit of Linux")
	}
	folder := t.TempDir()
	root, err := os.OpenRoot(folder)
	require.NoError(t, err)
	defer root.Close()
	deep := strings.Repeat(strings.Repeat("d", 200)+"/", 25)
	require.NoError(t, root.MkdirAll(deep, 0o700))
	_, errs, code := main.Run("review", folder)
	assert.Equal(t, 1, code)
	assert.Contains(t, errs, "file name too long: left out\n")
	assert.True(t, strings.HasSuffix(errs, "\nstillhand: 1 folder could not be read\n"), errs)

	for _, name := range []string{"a.mid", "z.mid"} {
		data, err := testdata.Files.ReadFile("twobar.mid")
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), data, 0o600))
		out, errs, code := main.Run("review", folder)
		assert.Equal(t, 1, code)
		assert.Contains(t, "\n"+out, "\n"+name+"\n")
		assert.Contains(t, errs, "file name too long: left out\n")
		assert.True(t, strings.HasSuffix(errs, "\nstillhand: 1 folder could not be read\n"), errs)
	}
	require.NoError(t, os.Symlink("nosuch", filepath.Join(folder, "m.mid")))
	out, errs, code := main.Run("review", folder)
	assert.Equal(t, 1, code)
	assert.Contains(t, out, "\nz.mid\n")
	assert.Contains(t, errs, "1 of 3 recordings could not be reviewed; 1 folder could not be read\n")
}

// What a folder hides is none of the recordings in it: beside each file, a folder that
// came from some systems has another of its name behind "._", which is no music.
func TestReview_LeavesOutWhatAFolderHides(t *testing.T) {
	t.Parallel()
	data, err := testdata.Files.ReadFile("twobar.mid")
	require.NoError(t, err)
	folder := filepath.Join(t.TempDir(), ".named") // which is named, and so not hidden
	require.NoError(t, os.MkdirAll(filepath.Join(folder, ".trash"), 0o700))
	for name, data := range map[string][]byte{"a.mid": data, "z.smf": data, "._a.mid": []byte("\x00\x05\x16\x07"), ".trash/b.mid": data} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), data, 0o600))
	}
	out, errs, code := main.Run("review", folder)
	assert.Zero(t, code)
	assert.Contains(t, out, "2 recordings")
	assert.Equal(t, "1 of 2: a.mid\n2 of 2: z.smf\n", errs)
}
