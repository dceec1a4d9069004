package main_test

import (
	"maps"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
	"stillhand/testdata"
)

// programs are what tests start as processes of their own, by name.
var programs = maps.Clone(main.Crashing)

func TestMain(m *testing.M) {
	programs["stillhand"] = main.Main
	programs["stillhand-deaf"] = main.Deaf
	testscript.Main(m, programs)
}

// TestScripts runs the command lines in testdata/script as a user would, in an
// empty home.
func TestScripts(t *testing.T) {
	t.Parallel()
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			for _, name := range []string{"XDG_DATA_HOME", "XDG_CONFIG_HOME", "HOME"} {
				e.Setenv(name, filepath.Join(e.WorkDir, "home"))
			}
			return os.CopyFS(filepath.Join(e.WorkDir, "rec"), testdata.Files)
		},
	})
	scripts, err := filepath.Glob("testdata/script/*.txtar")
	require.NoError(t, err)
	require.NotEmpty(t, scripts, "no script ran")
}
