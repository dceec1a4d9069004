package store

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// keepVersion makes testdata/history-N.db with this version's program, once,
// before the schema is changed: go test -run KeepVersion -keep-version
var keepVersion = flag.Bool("keep-version", false, "keep a database of the present version in testdata")

func takeRandom(i int) *rand.Rand { return rand.New(rand.NewPCG(uint64(i), 26)) }

func TestMigration_KeepVersion(t *testing.T) {
	if !*keepVersion {
		t.Skip("only with -keep-version")
	}
	h := openHistory(t, t.TempDir())
	for i := range 3 {
		require.NoError(t, h.Add(t.Context(), takeName(i), inventFigures(takeStart(i), takeRandom(i))))
	}
	require.NoError(t, h.SetLabel(t.Context(), takeName(1), Label{Name: "kept"}))
	addPractice(t, h, 2)
	at, err := version(t.Context(), h.db)
	require.NoError(t, err)
	path := filepath.Join("testdata", fmt.Sprintf("history-%d.db", at))
	require.NoError(t, os.MkdirAll("testdata", 0o755))
	require.NoFileExists(t, path, "a version that was used is never changed")
	_, err = h.db.Exec("PRAGMA page_size = 1024; PRAGMA journal_mode = DELETE; VACUUM INTO '" + path + "'")
	require.NoError(t, err)
}
