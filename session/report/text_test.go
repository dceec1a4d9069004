package report

import (
	"bytes"
	"github.com/rivo/uniseg"
	"math"
	"stillhand/coach"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

func textOf(t *testing.T, r *session.Review, bars Bars) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Text(&b, r, bars))
	return b.String()
}

// What a person reads in ten seconds: the first screen of an 80x24 terminal.
func TestText_SaysWhatMattersFirst(t *testing.T) {
	t.Parallel()
	lines := strings.Split(textOf(t, advised(), sampleBars), "\n")
	require.Greater(t, len(lines), 24)
	top := strings.Join(lines[:24], "\n")
	for _, want := range []string{
		"evening walk.mid", "Bar 3 (0:04.8): play it at frets 5 to 8", "with one shift instead of five", "40 read, 1 dropped", "at least 6, likely 7.3", "105 mm",
		"four fingers (yours)       4          7", "three fingers       9         13", "Advice",
	} {
		assert.Contains(t, top, want)
	}
	assert.NotContains(t, top, "are strings")
	told := advised()
	told.Input.Channels = "channels 1 2 3 4 are strings 4 3 2 1"
	assert.Contains(t, textOf(t, told, nil), "\n  strings channels 1 2 3 4 are strings 4 3 2 1\n")
}

func TestText_GivesBarAndBeatWhereTheFileHasThem(t *testing.T) {
	t.Parallel()
	with := textOf(t, advised(), sampleBars)
	assert.Contains(t, with, "  bar  beat    time  from   to  frets   mm  gap ms\n")
	assert.Contains(t, with, "    3   3.5  0:06.3    12  10?      2   53      30  likely 0.70\n")
	assert.Contains(t, with, "Bar 3 beat 1 (0:04.8) to bar 3 beat 4.5 (0:06.9): The same eight notes")
	without := textOf(t, advised(), nil)
	assert.NotContains(t, without, "bar ")
	assert.Contains(t, without, "\n  0:06.3    12  10")
}

func TestBarOf_FindsTheBeatThatANoteWasMeantFor(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		seconds, beat float64
		bar           int
	}{
		{0, 1, 1}, {0.01, 1, 1}, {0.29, 1.5, 1}, {2.39, 1, 2}, {2.32, 4.75, 1}, {2.4, 1, 2}, {4.79, 1, 3}, {0.46, 1.75, 1}, {0.59, 2, 1},
	} {
		bar, beat, ok := barOf(sampleBars, c.seconds)
		require.True(t, ok)
		assert.Equal(t, c.bar, bar, "%g s", c.seconds)
		assert.Equal(t, c.beat, beat, "%g s", c.seconds)
	}
	assert.Equal(t, "bar 2 (0:02.4)", span(sampleBars, 2.39, 4.7))
	assert.Equal(t, "0:02.4 to 0:04.7", span(nil, 2.39, 4.7))
}

func TestText_KeepsToTheWidthOfATerminal(t *testing.T) {
	t.Parallel()
	r := advised()
	r.Advice[0].Text = strings.Repeat("a long sentence about the hand ", 20)
	r.Input.Track = `track 2 "Bass" channels 1, 2, 3, 4: bass program 34, named so, one channel a string`
	for _, line := range strings.Split(textOf(t, r, sampleBars), "\n") {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, line)
	}
}

func TestText_SaysOfAShiftHowLongTheHandHad(t *testing.T) {
	t.Parallel()
	for ms, want := range map[float64]string{42.4: "42", 0: "0", -0.1: "overlap", -3011: "overlap", 10_000: "10000", 10_001: "rest"} {
		r := advised()
		r.Shifts = []session.ReviewShift{{GapMS: ms, Kind: "sure"}}
		assert.Regexp(t, `(?m)^ .* `+want+`  sure$`, textOf(t, r, nil))
		assert.NotContains(t, textOf(t, r, nil), " -")
	}
	assert.Equal(t, "0", gapText(session.ReviewShift{GapMS: math.Copysign(0, -1)}))
}

// The likeliest place to have moved from is not always where the note before was
// likeliest played, and that a hand moved does not tell where to: a ? says so, once
// explained.
func TestText_MarksAGuessedEndOfAMove(t *testing.T) {
	t.Parallel()
	r := advised()
	assert.NotContains(t, textOf(t, r, nil), fromMeans[:11])
	require.Greater(t, len(r.Shifts), 2)
	r.Shifts[1].From = 3
	text := textOf(t, r, nil)
	assert.Contains(t, text, "    time  from   to  frets")
	assert.Contains(t, text, "\n  0:04.8    2    5       3")
	assert.Contains(t, text, "\n  0:05.4    3?   9       4")
	assert.Contains(t, text, "\n  0:06.3   12   10?      2   53      30  likely 0.70\n")
	for _, means := range []string{fromMeans, toMeans} {
		assert.Equal(t, 1, strings.Count(strings.Join(strings.Fields(text), " "), means))
	}
	assert.Equal(t, "shift 3? to 9 sure", shiftMarker(r, r.Shifts[1]))
	assert.Equal(t, "shift 12 to 10? likely 0.70", shiftMarker(r, r.Shifts[3]))
	r.Shifts[3].Kind = "sure" // that it moved says not where to
	assert.Contains(t, textOf(t, r, nil), "10?      2   53      30  sure\n")
	for _, line := range strings.Split(text, "\n") {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, line)
	}
}

// "At least" counts shifts where a finger reached, for no window holds both notes.
func TestText_TellsOfFingersThatReached(t *testing.T) {
	t.Parallel()
	const reached = `a finger probably reached one fret out of the window: the fewest and "at least" know no reach and count shifts there instead.`
	r := advised()
	r.Shifts = nil
	assert.NotContains(t, textOf(t, r, nil), "reached")
	for i, want := range []string{"For one note ", "For two notes "} {
		r.Notes[i].Reached = true
		assert.Contains(t, strings.Join(strings.Fields(textOf(t, r, nil)), " "), want+reached+" none")
		assert.Contains(t, strings.ReplaceAll(words(sheetOf(t, SheetData{Review: r})), "&#34;", `"`), want+reached)
	}
}

func TestText_NeutralisesWhatFilesSay(t *testing.T) {
	t.Parallel()
	r := advised()
	bad := "x\x1b[31m\u202e\u009b2J\x00\xffy"
	r.Source, r.Input.Warnings, r.Input.Track, r.Marks[0].Text, r.Advice[0].Text, r.Input.Dropped[0].Reason, r.Shifts[0].Kind = bad, []string{bad}, bad, bad, bad, bad, bad
	text := textOf(t, r, nil)
	for _, c := range text {
		assert.False(t, c != '\n' && (c < 0x20 || c >= 0x7f && c <= 0x9f || c == 0x202e), "%U", c)
	}
	assert.Equal(t, 7, strings.Count(text, "x\uFFFD[31m"))
}

func TestText_FindsSomethingPlainToSay(t *testing.T) {
	t.Parallel()
	still := sample()
	still.Count = session.ReviewCount{Likely: 0.2}
	for i := range still.Notes {
		still.Notes[i].Probability = 0.8
	}
	likely := sample()
	likely.Count = session.ReviewCount{Likely: 0.4}
	likely.Notes = still.Notes
	some := sample()
	some.Count = session.ReviewCount{}
	most := sample()
	most.Count = session.ReviewCount{}
	for i := range most.Notes {
		most.Notes[i].Probability = 0.79
	}
	best := sample()
	best.Count = session.ReviewCount{AtLeast: 4, Likely: 4.6}
	best.Systems = map[string]session.ReviewSystem{"four": {Fewest: 4}}
	loose := sample()
	loose.Count = session.ReviewCount{AtLeast: 4, Likely: 9.2}
	loose.Systems = best.Systems
	guessed := sample()
	guessed.Count = session.ReviewCount{}
	for i := range guessed.Notes {
		guessed.Notes[i].Probability = 0.49
	}
	far := advised()
	far.Advice = far.Advice[len(far.Advice)-1:]
	for _, r := range []*session.Review{still, likely, some, most, best, loose, guessed} {
		r.ReachMM = nil
	}
	for want, r := range map[string]*session.Review{
		"No note was read":                                       {},
		"Nothing to change: the hand stayed in one":              still,
		"the hand probably stayed in one place throughout.":      likely,
		"probably stayed in one place throughout, though where":  some,
		"a guess, for where it lay is unsure for 40 of 40 notes": most,
		"is a guess for 40 of 40 notes":                          guessed,
		"Nothing to change: about 4.6 shifts":                    best,
		"no single passage stands out":                           loose,
		"what would save more lies beyond your reach":            far,
	} {
		assert.Contains(t, strings.Join(strings.Fields(headline(r, nil)), " "), want)
		assert.NotContains(t, textOf(t, r, nil), "NaN")
	}
}

// One rule says what is unsure, whatever range holds nine in ten.
func TestText_CountsUnsureNotesAsTheSheetDoes(t *testing.T) {
	t.Parallel()
	r := sample()
	assert.Contains(t, textOf(t, r, nil), "  hand    unsure for 5 of 40 notes (less than four-fifths sure)\n")
	for i := range r.Notes {
		r.Notes[i].Probability = 0.79
		r.Notes[i].Low, r.Notes[i].High = r.Notes[i].Position, r.Notes[i].Position
	}
	assert.Contains(t, textOf(t, r, nil), "unsure for 40 of 40 notes")
	assert.Contains(t, sheetOf(t, SheetData{Review: r}), "unsure for 40 of 40 notes")
	for i := range r.Notes {
		r.Notes[i].Probability, r.Notes[i].High = 0.8, r.Notes[i].Position+1
	}
	assert.Contains(t, textOf(t, r, nil), "at least four-fifths sure for every note\n")
	assert.Contains(t, sheetOf(t, SheetData{Review: r}), "at least four-fifths sure for every note")
	r.Input.Anchors = 1
	assert.Contains(t, textOf(t, r, nil), "at least four-fifths sure for every note; its place was told once\n")
	r.Input.Anchors, r.Notes[0].Probability = 3, 0.1
	assert.Contains(t, sheetOf(t, SheetData{Review: r}), "dashed and pale, as far as it could be off; its place was told three times.")
}

// Frets 3 to 6 are 116 mm on 864 mm of scale, 5 to 8 are 103: what lies beyond
// the reach is the reason why the mixed plan costs more than four fingers.
func TestText_SaysThatTheReachIsWhy(t *testing.T) {
	t.Parallel()
	said := func(reach float64, mixed int) string {
		r := advised()
		r.Systems = map[string]session.ReviewSystem{"four": {WidestMM: 115.9}, "three": {Fewest: 10, WidestMM: 79}}
		r.Mixed = session.ReviewMixed{Fewest: mixed, ThreeShare: 1, CrossoverFret: 3}
		r.Regions = []session.ReviewRegion{{Position: 1, Notes: 2}, {Position: 3, Notes: 8, Three: 7}}
		if r.ReachMM = &reach; reach == 0 {
			r.ReachMM = nil
		}
		return strings.Join(mixedLines(r), " ")
	}
	assert.Contains(t, said(105, 10), "Four fingers alone would need no shift, but with a stretch of 116 mm, beyond your reach of 105 mm")
	assert.Contains(t, said(105, 10), "four save seven shifts, but lie within your reach only from position 5 up.")
	assert.Contains(t, said(20, 10), "four save seven shifts, but lie nowhere within your reach.")
	for _, reach := range []float64{0, 116} {
		assert.NotContains(t, said(reach, 0), "reach")
		assert.Contains(t, said(reach, 0), "from there up four save seven shifts.")
	}
}

// The count is an expectation over all notes, the list what is likelier than
// not: where they differ, the list says why.
func TestText_SaysWhatIsListed(t *testing.T) {
	t.Parallel()
	r := sample()
	for likely, differs := range map[float64]bool{float64(len(r.Shifts)) + 0.4: false, float64(len(r.Shifts)) + 3: true, 1: true} {
		r.Count.Likely = likely
		assert.Equal(t, differs, strings.Contains(textOf(t, r, nil), "at least as likely as not"), likely)
	}
}

// What is forced with four fingers and then three is not what three alone need.
func TestText_NamesFingersThatChanged(t *testing.T) {
	t.Parallel()
	r := advised()
	r.Advice = nil
	r.Fingers, r.Changed = "three", []string{"four", "three"}
	r.Count = session.ReviewCount{AtLeast: 1, Likely: 3.4, Fewest: 1}
	for line := range strings.Lines(textOf(t, r, nil)) {
		assert.LessOrEqual(t, len(line), 81, line)
	}
	text := strings.Join(strings.Fields(textOf(t, r, nil)), " ")
	assert.Contains(t, text, "at least 1, likely 3.4, with the fingers declared for each note: four, then three")
	assert.Contains(t, text, "three (yours last)")
	assert.Contains(t, text, "the fewest possible with the fingers declared, four, then three, is 1;")
	page := sheetOf(t, SheetData{Review: r})
	assert.Contains(t, page, "four, then three fingers")
	assert.Contains(t, page, `<span class="yours">yours last</span>`)
}

func TestFingering_ShowsShiftsAndOpenStrings(t *testing.T) {
	t.Parallel()
	path := []session.ReviewStep{
		{String: 3, Fret: 3, Finger: 2, Position: 2}, {String: 3, Fret: 0}, {String: 2, Fret: 2, Finger: 1, Position: 2}, {String: 2, Fret: 7, Finger: 4, Position: 4},
	}
	assert.Equal(t, "at 2 to 5: string 3 frets 3 0, string 2 fret 2; then at 4 to 7: string 2 fret 7",
		fingering(session.ReviewAdvice{System: "four", Path: path}))
	assert.Equal(t, "string 3 fret 0", fingering(session.ReviewAdvice{System: "three", Path: path[1:2]}))
	assert.Empty(t, fingering(session.ReviewAdvice{System: "four"}))
}

// Three fingers play a share of the fretted notes (coach.MixedResult).
func TestText_SharesOutFrettedNotesAlone(t *testing.T) {
	t.Parallel()
	open := reviewOf("open.mid", at(1, [3]int{4, 0, 0}, [3]int{3, 0, 0}, [3]int{4, 0, 0}))
	assert.NotContains(t, textOf(t, open, nil), "Mixed, either")
	half := reviewOf("half.mid", at(1, [3]int{4, 0, 0}, [3]int{3, 1, 1}, [3]int{4, 0, 0}, [3]int{3, 3, 3}))
	half.Mixed.ThreeShare = 1 // of both fretted notes
	half.Regions = []session.ReviewRegion{{Position: 1, Notes: 2}}
	assert.Contains(t, strings.Join(strings.Fields(textOf(t, half, nil)), " "), "three fingers for 100 per cent of the fretted notes.")
}

// The summary fits 80 columns with every figure it may have.
func TestText_WrapsWhatWasRead(t *testing.T) {
	t.Parallel()
	r := sample()
	r.Input.Strings, r.Input.Slid = "inferred", 6
	r.Input.Dropped = make([]session.ReviewDropped, 19)
	r.Input.Channels = strings.Repeat("channels 1 2 3 4 are strings 4 3 2 1, ", 4)
	r.Marks = []session.ReviewMark{{Text: strings.Repeat("a mark that goes on ", 9)}}
	for range 40 {
		r.Notes = append(r.Notes, r.Notes[0])
	}
	text := textOf(t, r, nil)
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, uniseg.StringWidth(strings.TrimRight(line, "\n")), 80, line)
	}
	assert.Contains(t, text, "  notes   80 read (6 by a slide, not struck), 19 dropped, strings inferred\n          from pitch\n")
}

// Unicode Standard Annex 11: a letter of East Asia takes two columns.
func TestParagraph_CountsColumns(t *testing.T) {
	t.Parallel()
	for _, text := range []string{strings.Repeat("左手の小指 ", 20), strings.Repeat("左手の小指", 30), strings.Repeat("a", 200)} {
		got := Paragraph("      ", text)
		for line := range strings.Lines(got) {
			assert.LessOrEqual(t, uniseg.StringWidth(strings.TrimRight(line, "\n")), textWidth, line)
		}
		assert.Equal(t, strings.Join(strings.Fields(text), ""), strings.Join(strings.Fields(got), ""))
	}
}

// The listed and the written shift, halves of a millimetre and the capo.
func TestTexts_RoundAndCountOneWay(t *testing.T) {
	t.Parallel()
	s := session.ReviewShift{From: 3, To: 5, Kind: "likely", Probability: 0.997}
	assert.Equal(t, "likely >0.99", kindText(s))
	assert.Equal(t, "shift 3 to 5 likely >0.99", shiftMarker(&session.Review{}, s))
	r := advised()
	reach := 108.5
	r.ReachMM, r.Neck.Capo = &reach, 2
	four := r.Systems["four"]
	four.WidestMM = 128.5
	r.Systems["four"] = four
	r.Shifts[0].MM = 52.5
	text, page := textOf(t, r, nil), words(sheetOf(t, SheetData{Review: r}))
	for _, out := range []string{text, page} {
		assert.NotRegexp(t, `\b(108|128) mm`, out)
		assert.Contains(t, out, "109 mm")
		assert.Contains(t, out, "129 mm")
		assert.Contains(t, out, "frets count from the capo at fret 2")
	}
	assert.Regexp(t, `5 +3 +53 `, text)
	assert.Contains(t, page, "40 notes read, 1 dropped · strings")
	var b bytes.Buffer
	require.NoError(t, SystemsText(&b, Systems{Neck: coach.Neck{Open: []int{43}, Frets: 22, ScaleMM: 864}, ReachMM: 108.5, Regions: []coach.Region{{Position: 3}}}))
	assert.Contains(t, b.String(), "beyond the reach of 109 mm")
}

// A tenth of a shift among thousands, or of a hand that is a guess, tells nothing.
func TestTexts_CountLikelyShiftsAsFinelyAsTheyAreKnown(t *testing.T) {
	t.Parallel()
	r := advised()
	r.Count.Likely = 2790.6
	assert.Contains(t, textOf(t, r, nil), "likely 2791\n")
	assert.Contains(t, words(sheetOf(t, SheetData{Review: r})), "likely 2791 ")
	r.Count.Likely = 17.4
	assert.Contains(t, textOf(t, r, nil), "likely 17.4\n")
	for i := range r.Notes {
		r.Notes[i].Probability = 0.6
	}
	assert.Contains(t, textOf(t, r, nil), "likely 17\n")
	assert.Contains(t, Compare(r, r).Said[0], "(A 17, B 17)")
	r.Count.Likely = 1.4
	assert.Contains(t, textOf(t, r, nil), "likely 1.4\n")
}
