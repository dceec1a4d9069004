package main_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var fuzzTarget = regexp.MustCompile(`(?m)^func (Fuzz\w+)\(`)

// Inputs that fuzzing found are kept in testdata/fuzz and run with every test;
// a target without any has lost them.
func TestFuzz_EveryTargetHasItsCorpus(t *testing.T) {
	t.Parallel()
	targets := 0
	require.NoError(t, filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		for _, found := range fuzzTarget.FindAllSubmatch(text, -1) {
			targets++
			kept, err := os.ReadDir(filepath.Join(filepath.Dir(path), "testdata", "fuzz", string(found[1])))
			assert.NoError(t, err)
			assert.NotEmpty(t, kept, "%s in %s", found[1], path)
		}
		return err
	}))
	assert.GreaterOrEqual(t, targets, 8, "files, streams, cleaner, tuning, profile, review, answers, journal")
}
