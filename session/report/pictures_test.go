package report

import (
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// D2 open, or at fret 5 under the same hand: a place that is a guess is drawn as one,
// with its finger, also where the hand is sure.
func TestSheet_DrawsAPlaceThatIsAGuessAsOne(t *testing.T) {
	t.Parallel()
	r := advised()
	r.Input.Strings = "inferred"
	for i := range r.Notes {
		r.Notes[i].PlaceSure = 1
	}
	r.Notes[21].Probability, r.Notes[21].Low = 0.97, 10
	neck, err := neckOf(r)
	require.NoError(t, err)
	p, _ := drawPassage("p", r, neck, r.Advice[0], "x")
	require.NotContains(t, string(p.Played.Picture), `class="mark maybe"`)
	r.Notes[16].PlaceSure = 0.55
	p, _ = drawPassage("p", r, neck, r.Advice[0], "x")
	assert.True(t, p.Played.Cells[0].Unsure)
	assert.False(t, p.Played.Cells[1].Unsure)
	assert.Equal(t, 1, strings.Count(string(p.Played.Picture), `class="mark maybe"`))

	fall := func() (picture, text string) { return string(fallPicture("f", r, neck, pageWidth)), fallText(r, neck) }
	picture, text := fall()
	assert.NotContains(t, picture, "maybe", "most notes of each place are sure")
	assert.NotContains(t, text, "Dashed")
	assert.Contains(t, text, "The place is less than four-fifths sure for 1 of 40 notes. Open strings")
	for i := range r.Notes {
		r.Notes[i].PlaceSure = 0.7
	}
	picture, text = fall()
	assert.NotContains(t, picture, `class="fall"`)
	assert.Contains(t, picture, `class="mark maybe"`)
	assert.Contains(t, picture, "?", "told to those who do not see it too")
	assert.Contains(t, text, "Dashed: mostly guesses. The place is less than four-fifths sure for 40 of 40 notes, so these shares are a guess too. Open strings")
}

var (
	discs = regexp.MustCompile(`<circle class="[^"]*" cx="([0-9.]+)" cy="([0-9.]+)" r="([0-9.]+)"`)
	names = regexp.MustCompile(`<text class="name" x="([0-9.]+)" y="[0-9.]+">([A-G])`)
)

// Discs overlap neither each other nor the names of strings, nor do their numbers.
func TestFallPicture_KeepsDiscsApart(t *testing.T) {
	t.Parallel()
	for _, last := range []int{1, 20} {
		keepsDiscsApart(t, last)
	}
}

// keepsDiscsApart plays each place up to fret last alike.
func keepsDiscsApart(t *testing.T, last int) {
	var line []touch
	for str := 1; str <= 4; str++ {
		for fret := 0; fret <= last; fret++ {
			line = append(line, at(max(1, fret), [3]int{str, fret, min(1, fret)})...)
		}
	}
	var all []touch
	for range 40 {
		all = append(all, line...)
	}
	r := reviewOf("all.mid", all)
	r.Neck.Strings, r.Neck.Frets = []string{"A2", "E2", "B1", "F#1"}, 20
	neck, err := neckOf(r)
	require.NoError(t, err)
	for _, width := range []float64{pageWidth, columnWidth} {
		picture := string(fallPicture("f", r, neck, width))
		found := discs.FindAllStringSubmatch(picture, -1)
		require.Len(t, found, 4*(last+1))
		for i, a := range found {
			x, y, radius := parse(t, a[1]), parse(t, a[2]), parse(t, a[3])
			assert.GreaterOrEqual(t, x-radius, nameWidth)
			for _, b := range found[:i] {
				assert.GreaterOrEqual(t, math.Hypot(x-parse(t, b[1]), y-parse(t, b[2]))+0.2, radius+parse(t, b[3]), "%v %v", a, b)
			}
		}
		assert.Len(t, names.FindAllString(picture, -1), 4)
	}
}

// The picture marks every position that its label says it marks, guesses as such.
func TestStretchPicture_MarksAllPositionsUsed(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	r := reviewOf("high.mid", at(17, [3]int{1, 17, 1}, [3]int{1, 19, 3}))
	picture := string(stretchPicture("s", r, neck))
	assert.Equal(t, 1, strings.Count(picture, `<polygon class="shift"`))
	assert.NotContains(t, picture, "a guess")
	assert.Contains(t, picture, ">17</text>")
	r.Notes[0].Probability, r.Notes[1].Probability = 0.79, 0.79
	picture = string(stretchPicture("s", r, neck))
	assert.Equal(t, 1, strings.Count(picture, `<polygon class="shift maybe"`))
	assert.Contains(t, picture, "(▲ used in this take, △ a guess)")
	assert.Contains(t, picture, "The take used one position from 17 to 17, 1 of them a guess.")
}

// A reach of about what four fingers ask at the last position drawn: each line keeps
// its name.
func TestStretchPicture_KeepsNamesApart(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	r := reviewOf("low.mid", at(1, [3]int{1, 1, 1}))
	named := regexp.MustCompile(`<text class="small[^"]*" x="[0-9.]+" y="([0-9.]+)">(four|three|reach)<`)
	for mm := 30.0; mm < 140; mm += 5 {
		r.ReachMM = &mm
		found := named.FindAllStringSubmatch(string(stretchPicture("s", r, neck)), -1)
		require.Len(t, found, 3)
		for i, a := range found {
			for _, b := range found[:i] {
				assert.GreaterOrEqual(t, math.Abs(parse(t, a[1])-parse(t, b[1])), 10.9, "%s and %s, reach %g mm", a[2], b[2], mm)
			}
		}
	}
}

// A neck of one fret has no stretch to draw, and a picture all the same.
func TestStretchPicture_DrawsTheShortestNeck(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	neck.Frets = 1
	assert.NotContains(t, string(stretchPicture("s", reviewOf("short.mid", at(1, [3]int{1, 1, 1})), neck)), "NaN")
}

// Open strings ask for no hand: a strip says so and is not left empty.
func TestTimePicture_SaysWhereNoHandIsNeeded(t *testing.T) {
	t.Parallel()
	r := reviewOf("open.mid", at(1, [3]int{4, 0, 0}, [3]int{3, 0, 0}))
	neck, err := neckOf(r)
	require.NoError(t, err)
	picture := string(timePicture("t", r, timeStrips(r, neck), nil, pageWidth))
	assert.Equal(t, 2, strings.Count(picture, ">no fretted note</text>"), "of the fewest ways")
}

// Two hours of moving about are a picture of where the hand was most, not a smear.
func TestTimePicture_DrawsTooManyStaysInSlices(t *testing.T) {
	t.Parallel()
	r := sample()
	r.Notes, r.Shifts = nil, nil
	for i := range 4000 {
		low := int8(1 + i%2) // and once a minute a moment up the neck
		if i%100 == 0 {
			low = 12
		}
		r.Notes = append(r.Notes, session.ReviewNote{At: float64(i), Off: float64(i) + 0.9, Pitch: 40, String: 3, Fret: low, Finger: 1, Position: low, Low: low, High: low, Probability: 1})
		r.Shifts = append(r.Shifts, session.ReviewShift{At: float64(i), Note: int32(i), Kind: "sure"})
	}
	neck, err := neckOf(r)
	require.NoError(t, err)
	strips := timeStrips(r, neck)[:1]
	require.Greater(t, len(strips[0].stays), mostBands)
	picture := string(timePicture("t", r, strips, nil, pageWidth))
	assert.NotContains(t, picture, "<polygon", "marks would be one black line")
	bands := regexp.MustCompile(`<rect class="band" x="[0-9.]+" y="([0-9.]+)" width="[0-9.]+" height="([0-9.]+)"`).FindAllStringSubmatch(picture, -1)
	require.InDelta(t, pageWidth/sliceWidth, len(bands), 5)
	for _, b := range bands { // frets 1 to 5 of 1 to 15
		assert.InDelta(t, stripHeight*5/15, parse(t, b[2]), 0.2)
	}
	assert.Equal(t, slicesMean, stripsMean(strips))
	assert.Contains(t, words(sheetOf(t, SheetData{Review: r})), slicesMean[1:])
	few := timeStrip{}
	assert.Equal(t, bandsMean, stripsMean([]timeStrip{few}))
	assert.Contains(t, stripsMean(append(strips, few)), bandsMean+" A strip without marks: too many")
}

// upbeat is a piece with a bar of half a second before its bars of two.
type upbeat struct{}

func (upbeat) Bar(at time.Duration) (bar int, beat float64, ok bool) {
	bar = 1 + int((at+1500*time.Millisecond)/(2*time.Second))
	return bar, 1, true
}

// A pickup's bar is short: its number and the next one's would read as one, bar 12.
func TestTimePicture_KeepsBarNumbersApart(t *testing.T) {
	t.Parallel()
	r := advised()
	neck, err := neckOf(r)
	require.NoError(t, err)
	picture := string(timePicture("t", r, timeStrips(r, neck), upbeat{}, pageWidth))
	var labels []string
	for _, m := range regexp.MustCompile(`<text class="number" x="[0-9.]+" y="[0-9.]+">([^<]*)<`).FindAllStringSubmatch(picture, -1) {
		labels = append(labels, m[1])
	}
	require.Greater(t, len(labels), 3)
	assert.Equal(t, []string{"bar 1", "3", "4"}, labels[:3])
}

var (
	marks   = regexp.MustCompile(`<rect class="mark[^"]*" x="([-0-9.]+)" y="([-0-9.]+)" width="([0-9.]+)" height="([0-9.]+)"`)
	numbers = regexp.MustCompile(`<text class="middle finger[^"]*" x="([-0-9.]+)" y="([-0-9.]+)">`)
)

// Two fingers on each of two places that lie side by side: where the frets are wide,
// no mark lies on another; where they are not, every number is drawn after all marks.
func TestHandPicture_HidesNoNumberUnderAMark(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	for _, high := range []int{7, 20} {
		p := handPicture{id: "p", title: "x", neck: neck, system: coach.Four, low: 1, high: high, unsure: map[int]bool{}}
		for _, str := range []int{3, 4} {
			for finger := 1; finger <= 2; finger++ {
				p.path = append(p.path, coach.Step{Note: len(p.path), Place: coach.Place{String: str, Fret: 3}, Finger: finger, Position: 3})
			}
		}
		picture := string(p.draw())
		drawn := marks.FindAllStringSubmatch(picture, -1)
		require.Len(t, drawn, 2)
		require.Len(t, numbers.FindAllString(picture, -1), 4)
		assert.Less(t, marks.FindAllStringIndex(picture, -1)[1][1], numbers.FindStringIndex(picture)[0])
		if high == 7 {
			assert.LessOrEqual(t, parse(t, drawn[0][2])+parse(t, drawn[0][4]), parse(t, drawn[1][2]))
		}
	}
}
