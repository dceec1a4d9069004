package report

import (
	"bytes"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	styledClass = regexp.MustCompile(`\.([a-z][a-z-]*)`)
	classNames  = regexp.MustCompile(`class="([^"]*)"`)
)

// Every class that the style speaks of stands on some page, and every class on
// a page is spoken of.
func TestStyle_HasARuleForEachClassAndNoOther(t *testing.T) {
	t.Parallel()
	styled := map[string]bool{}
	for line := range strings.Lines(sheetStyle) {
		selector, _, _ := strings.Cut(line, "{")
		for _, m := range styledClass.FindAllStringSubmatch(selector, -1) {
			styled[m[1]] = true
		}
	}
	d := demoSheet(t)
	d.Review.Input.Warnings = []string{"one track ends early"}
	var compared bytes.Buffer
	require.NoError(t, CompareSheet(&compared, CompareData{Comparison: lesson(t), Note: "Keep the tone.", Student: "Robin", BarsA: sampleBars}))
	used := map[string]bool{}
	for _, m := range classNames.FindAllStringSubmatch(sheetOf(t, d)+sheetOf(t, SheetData{Review: advised()})+compared.String(), -1) {
		for _, name := range strings.Fields(m[1]) {
			used[name] = true
		}
	}
	assert.Equal(t, slices.Sorted(maps.Keys(used)), slices.Sorted(maps.Keys(styled)))
}
