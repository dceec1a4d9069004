package report

import (
	"bytes"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
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

// WCAG 2.2, criteria 1.4.3 and 1.4.11: text stands out from its ground by 4.5 to 1,
// and what a picture is read by by 3 to 1.
func TestStyle_HasContrast(t *testing.T) {
	t.Parallel()
	palettes := regexp.MustCompile(`--paper: .*--accent: #[0-9a-f]{6}`).FindAllString(sheetStyle, -1)
	require.Len(t, palettes, 3, "on a light screen, a dark one and paper")
	for _, palette := range palettes {
		colour := map[string]rgb{}
		for _, m := range regexp.MustCompile(`--([a-z]+): #([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})`).FindAllStringSubmatch(palette, -1) {
			for i, hex := range m[2:] {
				v, err := strconv.ParseUint(hex, 16, 8)
				require.NoError(t, err)
				c := colour[m[1]]
				c[i] = float64(v) / 255
				colour[m[1]] = c
			}
		}
		paper := colour["paper"]
		for _, text := range []string{"ink", "soft", "accent"} {
			assert.Greater(t, contrast(colour[text], paper), 4.5, "%s: %s", palette, text)
		}
		for selector, property := range map[string]string{".fret": "opacity", ".band": "fill-opacity", ".fall": "opacity"} {
			drawn := colour[styleOf(t, selector, `var\(--([a-z]+)\)`)]
			assert.Greater(t, contrast(drawn.over(paper, styleNumber(t, selector, property)), paper), 3.0, "%s: %s", palette, selector)
		}
		// A guess is seen by its dashes: no rule pales them, and what they enclose is paler.
		assert.NotRegexp(t, `[ ;]opacity`, styleOf(t, "rect.band.maybe", `(.*)`))
		guess := colour["soft"].over(paper, styleNumber(t, "rect.band.maybe", "fill-opacity"))
		assert.Greater(t, contrast(colour["soft"], guess), 3.0, palette)
	}
}

// styleOf is the first group of pattern in the rule of a selector.
func styleOf(t *testing.T, selector, pattern string) string {
	t.Helper()
	m := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(selector) + ` \{.*?` + pattern + `.*\}$`).FindStringSubmatch(sheetStyle)
	require.NotNil(t, m, "%s %s", selector, pattern)
	return m[1]
}

func styleNumber(t *testing.T, selector, property string) float64 {
	t.Helper()
	n, err := strconv.ParseFloat(styleOf(t, selector, `[ ;]`+property+`: ([.0-9]+)`), 64)
	require.NoError(t, err)
	return n
}

// rgb is a colour, each part from 0 to 1.
type rgb [3]float64

// over is c painted on ground with an opacity.
func (c rgb) over(ground rgb, opacity float64) rgb {
	for i := range c {
		c[i] = c[i]*opacity + ground[i]*(1-opacity)
	}
	return c
}

// luminance is the relative luminance of WCAG 2.2.
func (c rgb) luminance() float64 {
	for i, v := range c {
		if v <= 0.04045 {
			c[i] = v / 12.92
		} else {
			c[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
}

func contrast(a, b rgb) float64 {
	la, lb := a.luminance(), b.luminance()
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}
