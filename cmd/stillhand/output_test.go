package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A sheet that could not be made leaves the one that was there.
func TestOutput_StaysUntilTheNewOneIsWhole(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	path := filepath.Join(folder, "sheet.html")
	put := func(text string, fails error) error {
		v := &reviewing{w: &world{err: io.Discard}}
		return v.write(answer{}, path, "", false, func(to io.Writer, _ answer) error {
			_, err := io.WriteString(to, text)
			return errors.Join(err, fails)
		})
	}
	require.ErrorContains(t, put("half", errors.New("no ink")), "sheet.html could not be written: no ink")
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Empty(t, left)

	require.NoError(t, put("first", nil))
	require.NoError(t, os.Chmod(path, 0o640))
	require.Error(t, put("half", errors.New("no ink")))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, "first", string(data))

	if runtime.GOOS == "windows" {
		t.Skip("links and modes of Unix")
	}
	link := filepath.Join(t.TempDir(), "link.html")
	require.NoError(t, os.Symlink(path, link))
	path = link
	require.NoError(t, put("second", nil))
	data, err = os.ReadFile(filepath.Join(folder, "sheet.html"))
	require.NoError(t, err)
	assert.Equal(t, "second", string(data), "a link stays one")
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm())
	left, err = os.ReadDir(folder)
	require.NoError(t, err)
	assert.Len(t, left, 1)

	// A link to what is not there yet leads there.
	folder = t.TempDir()
	path = filepath.Join(t.TempDir(), "link.html")
	require.NoError(t, os.Symlink(filepath.Join(folder, "sheet.html"), path))
	require.NoError(t, put("third", nil))
	data, err = os.ReadFile(filepath.Join(folder, "sheet.html"))
	require.NoError(t, err)
	assert.Equal(t, "third", string(data))
}

// One file has many names: from elsewhere, by links, and before it is there.
func TestOutput_SameByAnyName(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	name := func(parts ...string) output { return output(filepath.Join(append([]string{folder}, parts...)...)) }
	require.NoError(t, os.Mkdir(string(name("sub")), 0o700))
	a, b := name("a"), name("b")
	assert.True(t, a.same(output(folder+"/sub/../a")))
	assert.False(t, a.same(b))
	require.NoError(t, os.WriteFile(string(a), nil, 0o600))
	require.NoError(t, os.WriteFile(string(b), nil, 0o600))
	assert.True(t, a.same(a))
	assert.False(t, a.same(b))
	if runtime.GOOS == "windows" {
		t.Skip("links of Unix")
	}
	require.NoError(t, os.Link(string(a), string(name("hard"))))
	require.NoError(t, os.Symlink("sub", string(name("also"))))
	require.NoError(t, os.Symlink(filepath.Join("sub", "new"), string(name("new"))))
	require.NoError(t, os.Symlink("round", string(name("round"))))
	assert.True(t, a.same(name("hard")))
	assert.True(t, name("sub", "new").same(name("also", "new")))
	assert.True(t, name("also", "new").same(name("new")))
	assert.False(t, a.same(name("round")))
}
