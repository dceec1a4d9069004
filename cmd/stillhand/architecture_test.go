package main_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// topLevel is everything that may stand at the top beside dot-files.
var topLevel = []string{"cmd", "midiin", "coach", "session", "testdata", "README.md", "DEVELOPERS.md", "go.mod", "go.sum", "LICENSE"}

// mayImport lists, for each package, what it may import of the project. The
// way runs from the command down; coach and midiin know nothing of each other.
var mayImport = map[string][]string{
	"coach":             {},
	"midiin":            {},
	"session":           {"coach", "midiin"},
	"session/store":     {"session", "coach", "midiin"},
	"session/dashboard": {"session", "coach", "midiin"},
	"session/report":    {"session", "session/store", "coach", "midiin"},
	"cmd/stillhand":     {"session", "session/store", "session/dashboard", "session/report", "coach", "midiin", "testdata"},

	// Test support.
	"session/internal/players":       {"coach", "midiin"},
	"session/internal/guests":        {"session/internal/players", "session/internal/guests/first", "session/internal/guests/second", "session/internal/guests/third", "session/internal/guests/fourth"},
	"session/internal/guests/first":  {"session/internal/players", "coach"},
	"session/internal/guests/second": {"session/internal/players", "coach"},
	"session/internal/guests/third":  {"session/internal/players", "coach"},
	"session/internal/guests/fourth": {"session/internal/players", "coach"},
	"testdata/bound":                 {},

	"testdata":         {},
	"testdata/score":   {},
	"testdata/compose": {"testdata/score"},
}

// pure are the parts of the standard library that coach may import: nothing in
// them reaches the world, but for what pureButFor names.
var pure = []string{"cmp", "errors", "fmt", "iter", "maps", "math", "math/bits", "slices", "strconv", "strings", "time"}

// pureButFor are the functions of those that print, wait or tell the time.
var pureButFor = regexp.MustCompile(`^(fmt\.(Print|Fprint|Scan|Sscan|Fscan).*|time\.(Now|Since|Until|Sleep|After|AfterFunc|Tick|NewTimer|NewTicker|LoadLocation|Local))$`)

// owners names the only packages that may import an outside part. Tests may
// import anything.
var owners = map[string][]string{
	"gitlab.com/gomidi/midi/v2/smf":     {"session/store", "session/report", "testdata/score"},
	"gitlab.com/gomidi/midi/v2/drivers": {"midiin"},
	"github.com/rivo/tview":             {"session/dashboard"},
	"github.com/gdamore/tcell":          {"session/dashboard"},
	"database/sql":                      {"session/store"},
	"modernc.org/sqlite":                {"session/store"},
	"github.com/BurntSushi/toml":        {"session"},
	"github.com/spf13/cobra":            {"cmd/stillhand"},
	"html/template":                     {"session/report"},
}

func TestArchitecture_ImportsRunOneWay(t *testing.T) {
	t.Parallel()
	top := os.DirFS("../..")
	packages := map[string]bool{}
	require.NoError(t, fs.WalkDir(top, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && path != "." && strings.HasPrefix(d.Name(), ".") {
			return fs.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		dir := filepath.ToSlash(filepath.Dir(path))
		packages[dir] = true
		allowed, known := mayImport[dir]
		if !assert.True(t, known, "package %s has no place in the architecture", dir) {
			return nil
		}
		source, err := fs.ReadFile(top, path)
		require.NoError(t, err)
		file, err := parser.ParseFile(token.NewFileSet(), path, source, parser.ImportsOnly)
		require.NoError(t, err)
		for _, spec := range file.Imports {
			name, err := strconv.Unquote(spec.Path.Value)
			require.NoError(t, err)
			if inside, ok := strings.CutPrefix(name, "stillhand/"); ok {
				assert.Contains(t, allowed, inside, "%s imports %s", path, name)
			} else if dir == "coach" {
				assert.Contains(t, pure, name, "%s imports %s: coach is pure", path, name)
			}
			assert.False(t, name == "net" || strings.HasPrefix(name, "net/") && name != "net/url", "%s imports %s: nothing leaves the machine", path, name)
			for part, who := range owners {
				if name == part || strings.HasPrefix(name, part+"/") {
					assert.Contains(t, who, dir, "%s imports %s", path, name)
				}
			}
		}
		return nil
	}))
	for dir := range mayImport {
		assert.True(t, packages[dir], "package %s is gone", dir)
	}
}

func TestArchitecture_CoachHasNoClockAndNoGoroutine(t *testing.T) {
	t.Parallel()
	paths, err := filepath.Glob("../../coach/*.go")
	require.NoError(t, err)
	seen := 0
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt, *ast.ChanType, *ast.SelectStmt:
				t.Errorf("%s: a goroutine or a channel", path)
			case *ast.SelectorExpr:
				if of, ok := n.X.(*ast.Ident); ok {
					assert.NotRegexp(t, pureButFor, of.Name+"."+n.Sel.Name, path)
				}
			}
			return true
		})
		seen++
	}
	require.NotZero(t, seen)
}

func TestArchitecture_TopLevelHoldsNothingElse(t *testing.T) {
	t.Parallel()
	entries, err := os.ReadDir("../..")
	require.NoError(t, err)
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(topLevel, e.Name()) && e.Name() != "stillhand" && e.Name() != "dist" {
			t.Errorf("%s has no place at the top level", e.Name())
		}
	}
}
