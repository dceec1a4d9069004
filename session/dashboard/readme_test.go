package dashboard

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The picture in the README is what the program draws.
func TestReadme_ShowsTheScreenAsItIsDrawn(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	var picture strings.Builder
	for line := range strings.Lines(render(t, 80, 24, "UTF-8", sample())) {
		picture.WriteString("    " + line)
	}
	assert.Contains(t, string(readme), picture.String())
}
