package coach

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// claims are words that this program must not say to a player: it is no
// medical device, reports geometry, counts and minutes, and knows no risk.
var claims = regexp.MustCompile(`(?i)\b(safe(ly|ty|r)?|unsafe|prevent\w*|risk\w*|injur\w*|protect\w*|harm\w*|diagnos\w*|therap(y|ies|eutic)|heal(s|ing|thy)?|cure[sd]?|treatment\w*|tendon\w*|tendin\w*|carpal|ergonomic\w*|strain\w*|overuse|dystonia)\b`)

// Every text that the program can show: string literals of all packages, and
// templates.
func TestWording_ClaimsNothingMedical(t *testing.T) {
	t.Parallel()
	texts := 0
	require.NoError(t, filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != ".." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata") {
			return filepath.SkipDir
		}
		switch filepath.Ext(path) {
		case ".go":
			if strings.HasSuffix(path, "_test.go") {
				return nil
			}
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			for _, text := range literals(file) {
				texts++
				assert.NotRegexp(t, claims, text, path)
			}
		case ".html", ".tmpl":
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			// A keyword of Content Security Policy, not said to anybody.
			said := strings.ReplaceAll(string(text), "'unsafe-inline'", "")
			assert.NotRegexp(t, claims, said, path)
		}
		return nil
	}))
	assert.Greater(t, texts, 100, "the texts were not found")
}

func literals(file *ast.File) []string {
	var out []string
	ast.Inspect(file, func(n ast.Node) bool {
		switch x := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.BasicLit:
			if x.Kind == token.STRING {
				if s, err := strconv.Unquote(x.Value); err == nil {
					out = append(out, s)
				}
			}
		}
		return true
	})
	return out
}

func TestWording_CatchesAClaim(t *testing.T) {
	t.Parallel()
	for _, bad := range []string{"This stretch is safe.", "it prevents injury", "Risk: 3 of 10", "heals"} {
		assert.Regexp(t, claims, bad)
	}
	assert.NotRegexp(t, claims, "press no harder than the note needs")
}

func TestWording_CautionsSendToQualifiedPeople(t *testing.T) {
	t.Parallel()
	for _, text := range []string{stopText, CareText} {
		assert.Contains(t, text, "qualified person")
	}
	assert.Contains(t, LightText, "Reminder")
}
