package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/session"
)

// sure is still notes of which the hand is sure, at a place within reach.
func sure(notes int) *session.Review {
	r := inPlace(5, 200, "four")
	r.Notes = r.Notes[:notes]
	r.Input.Notes = notes
	return r
}

func TestHeadline_SaysOnlyOfTheNotesOnTheNeckThatNothingNeedsAChange(t *testing.T) {
	t.Parallel()
	r := sure(4)
	off := session.ReviewDropped{Pitch: 23, Reason: "off the neck"}
	r.Input.Dropped = []session.ReviewDropped{off, {Pitch: 30, Reason: "ghost"}, off, off, off}
	r.Input.Warnings = []string{"4 of 8 notes cannot be played"}
	const want = "As far as the 4 of 8 notes on this neck go, nothing to change: the hand stayed in one place throughout."
	assert.Equal(t, want, headline(r, nil))
	page := words(sheetOf(t, SheetData{Review: r}))
	assert.Contains(t, page, want)
	assert.Contains(t, page, "Nothing yet: too many notes are missing from this review, as the warning above says.")
	assert.NotContains(t, page, "Keep what works")
	short := 90.0
	r.Notes, r.ReachMM = inPlace(3, short, "four").Notes[:4], &short
	assert.Contains(t, headline(r, nil), "As far as the 4 of 8 notes on this neck go, the hand stayed in one place throughout. 4 of 4 notes lay in windows beyond")
	// A slip among many is no reason.
	slip := sample()
	slip.ReachMM, slip.Count, slip.Input.Dropped = nil, session.ReviewCount{}, []session.ReviewDropped{off}
	assert.True(t, strings.HasPrefix(headline(slip, nil), "Nothing to change"), headline(slip, nil))
}

// Hardly a shift more than the fewest says little where the hand is a guess.
func TestHeadline_SaysProbablyWhereMostOfTheHandIsUnsure(t *testing.T) {
	t.Parallel()
	r := sure(8)
	r.Count.Likely = 0.9
	assert.Equal(t, "Nothing to change: about 0.9 shifts, and the fewest possible with four fingers is 0.", headline(r, nil))
	for i := range r.Notes[:5] {
		r.Notes[i].Probability = 0.7
	}
	assert.Equal(t, "Probably nothing to change: about 0.9 shifts, and the fewest possible with four fingers is 0; where the hand lay is unsure for 5 of 8 notes.", headline(r, nil))
}

// The advice holds only nearly certain moves against the player: where more are
// probable it was at least as many.
func TestHeadline_SaysAtLeastWhereMoreShiftsAreProbable(t *testing.T) {
	t.Parallel()
	r := advised()
	r.Advice[0].ShiftsNow = 3
	assert.Contains(t, headline(r, nil), "with one shift instead of three.")
	r.Advice[0].More = true
	assert.Contains(t, headline(r, nil), "with one shift instead of at least three.")
}

// One thing is no plural.
func TestTexts_CountOneThingAsOne(t *testing.T) {
	t.Parallel()
	guess := sure(1)
	guess.Notes[0].Probability = 0.4
	unsure := sure(1)
	unsure.Notes[0].Probability = 0.6
	wide := inPlace(3, 90, "four")
	wide.Notes = wide.Notes[:1]
	for want, r := range map[string]*session.Review{
		"a guess for 1 of 1 note,":                      guess,
		"where it lay is unsure for 1 of 1 note.":       unsure,
		"1 of 1 note lay in a window beyond your reach": wide,
		"unsure for 1 of 1 note (less than four-fifths": unsure,
	} {
		text := strings.Join(strings.Fields(textOf(t, r, nil)), " ")
		assert.Contains(t, text, want)
		assert.NotRegexp(t, `\b1 (note|shift|pair|place)s\b`, text)
		assert.NotRegexp(t, `\b1 (note|shift|pair|place)s\b`, words(sheetOf(t, SheetData{Review: r})))
	}
	one, other := Compare(sure(1), sample()), Compare(sample(), sure(1))
	assert.Contains(t, one.Said[0], "These are not the same phrase: only 1 of the longer one's 40 notes matches, so")
	assert.Contains(t, strings.Join(other.Said, " "), "extra of 1 note.")
	assert.Contains(t, other.doubt(), "of 40 notes of A and 0 of 1 of B")
	assert.Contains(t, Compare(sure(1), sure(1)).doubt(), "of 1 note of A")
	strange := sure(1)
	strange.Notes[0].Pitch = 20
	assert.Contains(t, Compare(strange, sample()).Said[0], "none of the longer one's 40 notes matches, so")
}

// What is to change first says also what it costs.
func TestHeadline_SaysWhatIsThenLost(t *testing.T) {
	t.Parallel()
	r := advised()
	r.Advice[0].Price = "The 7 slides are then struck. The note held on is then cut short."
	const want = "with one shift instead of five. The 7 slides are then struck. The note held on is then cut short."
	assert.Contains(t, headline(r, nil), want)
	assert.Contains(t, strings.Join(strings.Fields(textOf(t, r, nil)), " "), want)
	assert.Contains(t, words(sheetOf(t, SheetData{Review: r})), want)
	assert.NotContains(t, headline(advised(), nil), "struck")
}
