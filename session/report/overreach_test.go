package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/session"
)

// inPlace is eight notes at one position, of which the hand is sure.
func inPlace(position int, reach float64, fingers string) *session.Review {
	r := reviewOf("still.mid", at(position, [3]int{3, position, 1}, [3]int{3, position + 2, 3}, [3]int{2, position, 1}, [3]int{2, position + 2, 3},
		[3]int{3, position, 1}, [3]int{3, position + 2, 3}, [3]int{2, position, 1}, [3]int{1, 0, 0}))
	r.Fingers, r.ReachMM, r.Count = fingers, &reach, session.ReviewCount{}
	return r
}

// Windows of four fingers at position 3 ask 116 mm on 864 mm of scale and of
// three 79 mm; at position 5 103 and 71 mm (L times 2^(-p/12), equal temperament).
func TestHeadline_SaysWhereTheReachWasTooShort(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		position int
		reach    float64
		fingers  string
		headline string
		practice string
	}{
		{3, 90, "four", "The hand stayed in one place throughout. 7 of 8 notes lay in windows beyond your reach of 90 mm: try them higher up, from position 8 on, or with three fingers.",
			"116 mm at frets 3 to 6 is beyond the reach of 90 mm: play it higher up, from position 8 on, or with three fingers; come down when it lies at ease."},
		{3, 80, "four", "or with three fingers from position 3 on.", "or with three fingers from position 3 on;"},
		{3, 75, "three", "beyond your reach of 75 mm: try them higher up, from position 4 on.", "79 mm at frets 3 to 5 is beyond"},
		{3, 20, "four", "beyond your reach of 20 mm: no window of this neck lies within it, and stillhand reach finds the reach anew.", "no window of this neck lies within it"},
		{3, 116, "four", "Nothing to change: the hand stayed in one place throughout.", "Keep what works"},
		{5, 105, "four", "Nothing to change: the hand stayed in one place throughout.", "Keep what works"},
		{3, 90, "three", "Nothing to change: the hand stayed in one place throughout.", "Keep what works"},
	} {
		r := inPlace(c.position, c.reach, c.fingers)
		assert.Contains(t, headline(r, nil), c.headline)
		assert.Contains(t, strings.Join(strings.Fields(textOf(t, r, nil)), " "), c.headline)
		page := words(sheetOf(t, SheetData{Review: r}))
		assert.Contains(t, page, c.headline)
		assert.Contains(t, page, c.practice)
		if strings.Contains(c.headline, "beyond") {
			assert.NotContains(t, page, "othing to change")
			assert.NotContains(t, page, "Keep what works")
		}
	}
}

func TestHeadline_SaysTheReachBesideAdviceAndOnlyWhereTheHandProbablyLay(t *testing.T) {
	t.Parallel()
	r := advised()
	assert.Contains(t, headline(r, nil), "one shift instead of five. 22 of 40 notes lay in windows beyond your reach of 105 mm: try them higher up, from position 5 on, or with three fingers.")
	doubtful := inPlace(3, 90, "four")
	doubtful.Notes[0].Probability = 0.7
	assert.Contains(t, headline(doubtful, nil), "7 of 8 notes probably lay in windows beyond")
	doubtful.Notes[0].Probability = 0.4
	assert.Contains(t, headline(doubtful, nil), "6 of 8 notes lay in windows beyond")
	unknown := inPlace(3, 90, "four")
	unknown.ReachMM = nil
	assert.Contains(t, headline(unknown, nil), "Nothing to change")
	// Which fingers held when is not told: what three ask is asked at least.
	changed := inPlace(3, 90, "four")
	changed.Changed = []string{"three", "four"}
	assert.NotContains(t, headline(changed, nil), "beyond")
	changed = inPlace(1, 85, "four")
	changed.Changed = []string{"three", "four"}
	assert.Contains(t, headline(changed, nil), "try them higher up, from position 2 on.")
}

// A relief beyond the reach saves no shift, so nothing that would save some lies
// beyond it.
func TestHeadline_CountsNoReliefAsASaving(t *testing.T) {
	t.Parallel()
	within, reach := false, 85.0
	r := inPlace(9, reach, "four")
	r.Count = session.ReviewCount{AtLeast: 1, Likely: 3}
	r.Advice = []session.ReviewAdvice{{Kind: "relief", System: "three", ShiftsNow: 1, ShiftsThen: 1, StretchMM: 89, WithinReach: &within, Text: "Three are enough."}}
	assert.Contains(t, headline(r, nil), "no single passage stands out")
}

func TestSheet_SaysThatTheReachIsWhyTheMixedPlanCostsMore(t *testing.T) {
	t.Parallel()
	r := recorded(t, "band", false)
	four := r.Systems["four"]
	assert.Greater(t, r.Mixed.Fewest, four.Fewest)
	const want = "Mixed leaves four fingers out beyond your reach of 105 mm; alone they ask 130 mm."
	assert.Contains(t, words(sheetOf(t, SheetData{Review: r})), want)
	r.Mixed.Fewest = four.Fewest
	assert.NotContains(t, words(sheetOf(t, SheetData{Review: r})), "Mixed leaves")
}

// A neck of three frets has no window of four: the hand lies between fret 1 and
// the last, 864 mm (2^(-1/12) - 2^(-3/12)) = 89 mm.
func TestHeadline_BlamesNoReachOnANeckShorterThanAWindow(t *testing.T) {
	t.Parallel()
	r := inPlace(1, 105, "four")
	r.Neck.Frets = 3
	assert.NotContains(t, headline(r, nil), "beyond your reach")
	page := words(sheetOf(t, SheetData{Review: r}))
	assert.Contains(t, page, "Within 105 mm: four fingers everywhere (at most 89 mm)")
	assert.NotContains(t, page, "beyond the reach")
	assert.Empty(t, within(r, 1))
	short := 80.0
	r.ReachMM = &short
	assert.Contains(t, headline(r, nil), "beyond your reach of 80 mm: no window of this neck lies within it")
	assert.Contains(t, words(sheetOf(t, SheetData{Review: r})), "89 mm at frets 1 to 3 is beyond")
}

func TestHeadline_SpeaksOfOneNoteBeyondTheReachAsOne(t *testing.T) {
	t.Parallel()
	r := inPlace(5, 105, "four")
	r.Notes[0].Position, r.Notes[0].Fret = 3, 3
	assert.Contains(t, headline(r, nil), "1 of 8 notes lay in a window beyond your reach of 105 mm: try it higher up, from position 5 on")
}
