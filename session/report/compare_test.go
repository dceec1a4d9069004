package report

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// lesson compares the two recordings of the lesson phrase.
func lesson(t testing.TB) *Comparison {
	return Compare(recordedBy(t, "lesson-four", true, "four"), recordedBy(t, "lesson-three", true, "three"))
}

// What the second take changes is written in testdata/README.md: "F sharp for
// the second G of bar 2, no B flat in bar 3, and one G too many before bar 4".
func TestCompare_FindsWhatThePupilChanged(t *testing.T) {
	t.Parallel()
	c := lesson(t)
	assert.Equal(t, ComparedNotes{Same: 20, Wrong: 1, Missing: 1, Extra: 1, OtherHand: c.Notes.OtherHand, OtherHandUnsure: c.Notes.OtherHandUnsure, Complete: true}, c.Notes)
	var notes []string
	for _, p := range c.Partings {
		if p.Kind == "note" {
			notes = append(notes, p.Text)
		}
	}
	assert.Equal(t, []string{"B plays F#2 for G2.", "B leaves out Bb1.", "B adds G2."}, notes)
	assert.Contains(t, c.Said[0], "A, with four fingers, gets by with about")
	assert.Contains(t, c.Said[0], "fewer than B with three")
	assert.Equal(t, 0, c.A.Fewest)
	assert.Greater(t, c.A.Connection, c.B.Connection)
}

func TestCompare_FindsNothingBetweenATakeAndItself(t *testing.T) {
	t.Parallel()
	r := recorded(t, "demo", true)
	c := Compare(r, r)
	assert.Empty(t, c.Partings)
	assert.Equal(t, ComparedNotes{Same: len(r.Notes), Complete: true}, c.Notes)
	assert.Equal(t, "Both play the same notes.", c.Said[1])
	assert.Equal(t, c.A, c.B)
}

func TestCompare_IsTheSameTheOtherWayRound(t *testing.T) {
	t.Parallel()
	c := lesson(t)
	d := Compare(c.reviews[1], c.reviews[0])
	assert.Equal(t, c.Notes.Missing, d.Notes.Extra)
	assert.Equal(t, c.Notes.Extra, d.Notes.Missing)
	assert.Equal(t, c.Notes.Wrong, d.Notes.Wrong)
	assert.Equal(t, c.A, d.B)
	assert.Equal(t, c.B, d.A)
	assert.Contains(t, d.Said[0], "B, with four fingers, gets by")
}

func TestCompare_TellsPlacesAndShiftsApart(t *testing.T) {
	t.Parallel()
	a := reviewOf("a", at(2, [3]int{3, 5, 4}, [3]int{2, 2, 1}, [3]int{2, 3, 2}, [3]int{2, 5, 4}, [3]int{1, 2, 1}, [3]int{1, 4, 3}))
	b := reviewOf("b", append(at(2, [3]int{3, 5, 4}, [3]int{3, 7, 1}, [3]int{2, 3, 2}, [3]int{2, 5, 4}), at(1, [3]int{1, 2, 2}, [3]int{1, 4, 4})...))
	b.Count.Likely = a.Count.Likely
	c := Compare(a, b)
	require.Len(t, c.Partings, 2)
	assert.Equal(t, "E2: A on string 2 fret 2, B on string 3 fret 7.", c.Partings[0].Text)
	assert.Equal(t, "B shifts 2 to 1 for A2; A does not.", c.Partings[1].Text)
	assert.Equal(t, 1, c.Notes.OtherPlace)
	assert.Equal(t, 2, c.Notes.OtherHand)
	assert.Equal(t, 6, c.A.Places)
	assert.Equal(t, 1, c.A.Positions)
	assert.Equal(t, 2, c.B.Positions)
}

// A place that is a guess in either take is none to be sure of; nor is a shift or
// a position less than four-fifths sure, nor one that the note before is not at.
func TestCompare_MarksWhatIsAGuess(t *testing.T) {
	t.Parallel()
	a := reviewOf("a", at(2, [3]int{3, 5, 4}, [3]int{2, 2, 1}, [3]int{2, 5, 4}, [3]int{2, 3, 2}))
	b := reviewOf("b", append(at(2, [3]int{3, 5, 4}, [3]int{3, 7, 1}), at(3, [3]int{2, 5, 3}, [3]int{2, 3, 1})...))
	b.Count.Likely = a.Count.Likely
	b.Input.Strings = "inferred"
	for i := range b.Notes {
		b.Notes[i].PlaceSure = 0.8
	}
	b.Notes[1].PlaceSure = 0.41
	b.Notes[3].Probability = 0.79
	b.Shifts = []session.ReviewShift{{Note: 2, From: 4, To: 3, Kind: "likely", Probability: 0.79}, {Note: 3, From: 3, To: 5, Kind: "sure", Probability: 0.9}}
	c := Compare(a, b)
	assert.Equal(t, ComparedNotes{Same: 4, OtherPlace: 1, OtherPlaceUnsure: 1, OtherHand: 2, OtherHandUnsure: 1, Complete: true}, c.Notes)
	assert.Contains(t, c.Said, "One note is the same, perhaps played in another place: where is less than four-fifths sure.")
	assert.NotContains(t, strings.Join(c.Said, " "), "same, played")
	require.Len(t, c.Partings, 2)
	assert.Equal(t, "E2: A on string 2 fret 2, B on string 3 fret 7?.", c.Partings[0].Text)
	assert.Equal(t, "B shifts 4? to 3? for G2, 3 to 5? for F2; A does not.", c.Partings[1].Text)
	a.Notes[2].Probability = 0.5
	assert.Contains(t, Compare(a, b).Partings[1].Text, "; A probably does not.")

	var text, sheet bytes.Buffer
	require.NoError(t, CompareText(&text, c, nil, nil))
	require.NoError(t, CompareSheet(&sheet, CompareData{Comparison: c}))
	assert.Regexp(t, `strings +told +inferred`, text.String())
	assert.Regexp(t, `hand unsure +0 +1`, text.String())
	assert.Regexp(t, `positions used +1 +2\n +places used +4 +4 \(3 sure\)\n`, text.String())
	page := words(sheet.String())
	for _, want := range []string{"strings told inferred", "hand unsure 0 1", "places used 4 4 (3 sure)", "so are the strings of B; unsure", "fret 7?."} {
		assert.Contains(t, page, want)
	}
	for _, out := range []string{strings.Join(strings.Fields(text.String()), " "), page} {
		assert.Contains(t, out, guessMeans)
	}
	var same bytes.Buffer
	require.NoError(t, CompareText(&same, Compare(a, a), nil, nil))
	assert.NotContains(t, same.String(), "?")

	b.Notes[1].PlaceSure = 0.8
	assert.Equal(t, 1, Compare(a, b).Notes.OtherPlace)
	assert.Zero(t, Compare(a, b).Notes.OtherPlaceUnsure)
}

// The second half of a take played with other fingers: the fewest are those of
// the fingers declared for each note, which are named in order.
func TestCompare_KnowsFingersThatChanged(t *testing.T) {
	t.Parallel()
	a, b := sample(), sample()
	a.Fingers, a.Changed = "three", []string{"four", "three"}
	a.Count = session.ReviewCount{AtLeast: 2, Likely: 2.3, Fewest: 2}
	a.Systems = map[string]session.ReviewSystem{"four": {Fewest: 1}, "three": {Fewest: 3}}
	b.Fingers, b.Systems, b.Count = "three", a.Systems, session.ReviewCount{AtLeast: 3, Likely: 5}
	c := Compare(a, b)
	assert.Equal(t, "A, with four, then three fingers, gets by with about three shifts fewer than B with three (2.3 against 5).", c.Said[0])
	assert.Equal(t, []int{2, 3}, []int{c.A.Fewest, c.B.Fewest})
	var text, sheet, doc bytes.Buffer
	require.NoError(t, CompareText(&text, c, nil, nil))
	assert.Regexp(t, `fingers +four, then three +three\n`, text.String())
	b.Notes[9].Fret++ // something to draw
	require.NoError(t, CompareSheet(&sheet, CompareData{Comparison: Compare(a, b)}))
	assert.Contains(t, words(sheet.String()), "A, four, then three fingers")
	require.NoError(t, CompareJSON(&doc, c))
	assert.Contains(t, doc.String(), "\"fingers\": \"three\",\n    \"fingers_changed\": [\"four\", \"three\"]")
	assert.Equal(t, 1, strings.Count(doc.String(), "fingers_changed"))
}

// timed gives a take its onsets, in ms; every note lasts until the next.
func timed(onsets ...int) *session.Review {
	var line []touch
	for i := range onsets {
		line = append(line, at(2, [3]int{2, 2 + i%4, 1 + i%4})...)
	}
	r := reviewOf("x", line)
	for i, ms := range onsets {
		r.Notes[i].At = float64(ms) / 1000
		r.Notes[i].Off = r.Notes[i].At + 0.1
		if i+1 < len(onsets) {
			r.Notes[i].Off = float64(onsets[i+1]) / 1000
		}
	}
	return r
}

func onsets(r *session.Review, from, to int) []time.Duration {
	var out []time.Duration
	for _, n := range r.Notes[from : to+1] {
		out = append(out, seconds(n.At))
	}
	return out
}

func TestCompare_MeasuresEvennessWhereIntervalsWereMeantEqual(t *testing.T) {
	t.Parallel()
	machine := timed(0, 500, 1000, 1500, 2000)
	player := timed(0, 520, 980, 1530, 2010)
	c := Compare(machine, player)
	assert.Zero(t, c.A.Evenness)
	assert.InDelta(t, coach.Evenness(onsets(player, 0, 4)), c.B.Evenness, 1e-12)

	// Four quarters, a half note, four eighths: two runs, at whatever tempo.
	mixed := timed(0, 500, 1000, 1500, 2000, 3000, 3250, 3500, 3750, 4000)
	slower := timed(0, 600, 1200, 1800, 2400, 3600, 3900, 4200, 4500, 4800)
	c = Compare(mixed, slower)
	assert.InDelta(t, 0, c.A.Evenness, 1e-9)
	assert.InDelta(t, 0, c.B.Evenness, 1e-9)

	// By hand: the eighths last 260 240 260 240, 10 off 250 each: 4% over four
	// intervals; the quarters 0% over four. sqrt((4*0.04^2 + 4*0)/8) = 2.83%.
	uneven := timed(0, 500, 1000, 1500, 2000, 3000, 3260, 3500, 3760, 4000)
	c = Compare(mixed, uneven)
	assert.Zero(t, c.A.Evenness)
	assert.InDelta(t, 0.0283, c.B.Evenness, 0.0001)
	// What was meant is read from both: one wild take alone would break the run.
	wild := timed(0, 420, 980, 1400, 1960)
	assert.InDelta(t, coach.Evenness(onsets(wild, 0, 4)), Compare(machine, wild).B.Evenness, 1e-12)
	assert.InDelta(t, coach.Evenness(onsets(wild, 0, 4)), Compare(wild, machine).A.Evenness, 1e-12)
	assert.True(t, math.IsNaN(Compare(timed(0, 500, 1000), timed(0, 500, 1000)).A.Evenness), "three notes are no run")
}

func TestCompare_CountsConnectedPairs(t *testing.T) {
	t.Parallel()
	r := timed(0, 500, 1000, 1500, 2000, 3000, 3500)
	r.Notes[0].Off = 0.440 // 60 ms of silence: more than coach.LegatoGap
	r.Notes[1].Off = 0.960 // 40 ms: connected
	r.Notes[2].Off = 1.600 // over the next: connected
	r.Notes[4].Off = 2.400 // 600 ms: another passage, no pair
	r.Shifts = []session.ReviewShift{{Note: 6, Kind: "sure"}}
	share, pairs := connection(r)
	assert.Equal(t, 4, pairs)
	assert.InDelta(t, 0.75, share, 1e-12)
}

func TestCompare_SaysWhereTakesHaveTooLittleInCommon(t *testing.T) {
	t.Parallel()
	a, b := timed(make([]int, 3000)...), timed(make([]int, 3000)...)
	for i := range b.Notes {
		b.Notes[i].Pitch = 100
	}
	c := Compare(a, b)
	assert.False(t, c.Notes.Complete)
	assert.Contains(t, c.Said, "The takes have too little in common to be compared to the end: compared were the first 2048 of A's 3000 notes and the first 2048 of B's 3000 notes, with 2048 wrong, 0 missing and 0 extra in B.")
	assert.Contains(t, c.Said[0], "none of the longer one's first 2048 notes matches")
	assert.NotContains(t, strings.Join(c.Said, " "), "of 3000 notes.")
	assert.Equal(t, []int{2048, 2048}, []int{c.A.Compared, c.B.Compared})
	short := Compare(timed(0, 500), b)
	assert.Contains(t, strings.Join(short.Said, " "), "compared were all of A and the first 2048 of B's 3000 notes")
	assert.Equal(t, mostEdits, c.Notes.Wrong+c.Notes.Missing+c.Notes.Extra)
	assert.NoError(t, CompareSheet(&bytes.Buffer{}, CompareData{Comparison: c}))
}

func TestCompare_SaysWhereTakesAreNotOnePhrase(t *testing.T) {
	t.Parallel()
	const no = "These are not the same phrase: only "
	c := Compare(recorded(t, "demo", true), recordedBy(t, "lesson-four", true, "four"))
	assert.True(t, c.Notes.Complete)
	assert.Contains(t, c.Said[0], no)
	assert.NotContains(t, lesson(t).Said[0], no)

	whole := timed(0, 500, 1000, 1500, 2000, 2500)
	half, less := Compare(whole, timed(0, 500, 1000)), Compare(timed(0, 500), whole)
	assert.NotContains(t, strings.Join(half.Said, " "), no, "half of it is a phrase broken off")
	assert.Equal(t, no+"2 of the longer one's 6 notes match, so what follows says little.", less.Said[0])
}

func TestCompareJSON_IsOneDocument(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	require.NoError(t, CompareJSON(&b, Compare(timed(0, 500), timed(0, 500, 900))))
	var doc map[string]any
	require.NoError(t, json.Unmarshal(b.Bytes(), &doc))
	assert.Equal(t, "stillhand-comparison", doc["format"])
	assert.Equal(t, []any{map[string]any{"a": 0.0, "b": 0.0, "kind": "same"}, map[string]any{"a": 1.0, "b": 1.0, "kind": "same"}, map[string]any{"a": nil, "b": 2.0, "kind": "extra"}}, doc["columns"])
	for _, take := range []string{"a", "b"} {
		for _, field := range strings.Fields("source fingers strings notes compared unsure length_s at_least likely fewest positions positions_sure places places_sure evenness connection pairs") {
			assert.Contains(t, doc[take], field)
		}
		assert.Nil(t, doc[take].(map[string]any)["evenness"], "too few notes")
	}
	for _, field := range strings.Fields("said notes partings columns version") {
		assert.Contains(t, doc, field)
	}
}

func TestCompareText_PutsTheTakesSideBySide(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	require.NoError(t, CompareText(&b, lesson(t), nil, nil))
	text := b.String()
	for _, want := range []string{"A  lesson-four.mid\nB  lesson-three.mid\nA, with four fingers,", "Where they part", "B plays F#2 for G2."} {
		assert.Contains(t, text, want)
	}
	assert.Regexp(t, `fingers +four +three\n`, text)
	assert.Regexp(t, `\n  A 0:[0-9.]+: B leaves out Bb1\.\n`, text, "whose clock it is, where one take has no such note")
	assert.Regexp(t, `\n  B 0:[0-9.]+: B adds G2\.\n`, text)
	for _, line := range strings.Split(text, "\n") {
		assert.LessOrEqual(t, len(line), 80, line)
	}
	b.Reset()
	require.NoError(t, CompareText(&b, lesson(t), steady{time.Minute / 84}, steady{time.Minute / 80}))
	for _, want := range []string{"Bar 2 beat 2: B plays F#2 for G2.", "A bar 3 beat 2: B leaves out Bb1.", "B bar 3 beat 4.75: B adds G2."} { // as the scores say
		assert.Contains(t, b.String(), want)
	}
}

func TestCompareSheet_EscapesEveryText(t *testing.T) {
	t.Parallel()
	const evil = "</style><script>alert(1)</script><img src=x>\x1b\u202e"
	a, b := sample(), sample()
	b.Notes[3].Pitch++
	for _, r := range []*session.Review{a, b} {
		poison(reflect.ValueOf(r).Elem(), evil)
		r.Neck.Strings = []string{"G2", "D2", "A1", "E1"}
	}
	for name, write := range map[string]func(*bytes.Buffer) error{
		"sheet": func(w *bytes.Buffer) error {
			return CompareSheet(w, CompareData{Comparison: Compare(a, b), Title: evil, Note: evil, Student: evil, Date: evil})
		},
		"text": func(w *bytes.Buffer) error { return CompareText(w, Compare(a, b), nil, nil) },
	} {
		var w bytes.Buffer
		require.NoError(t, write(&w))
		page := w.String()
		assert.NotContains(t, page, "\x1b", name)
		assert.NotContains(t, page, "\u202e", name)
		if name == "sheet" {
			assert.NotContains(t, page, "<script")
			assert.NotContains(t, page, "<img")
			for _, picture := range svgPattern.FindAllString(page, -1) {
				assert.NoError(t, wellFormed(picture))
			}
		}
	}
}

// Where places are a guess, "the same places" is one too; and a phrase played under
// another hand is not the same.
func TestCompare_SaysNowhereNoMoreThanIsKnown(t *testing.T) {
	t.Parallel()
	said := func(a, b *session.Review) (text, page string) {
		var line, sheet bytes.Buffer
		c := Compare(a, b)
		require.NoError(t, CompareText(&line, c, nil, nil))
		require.NoError(t, CompareSheet(&sheet, CompareData{Comparison: c}))
		return strings.Join(strings.Fields(line.String()), " "), words(sheet.String())
	}
	check := func(a, b *session.Review, wants ...string) {
		t.Helper()
		text, page := said(a, b)
		for _, want := range wants {
			assert.Contains(t, text, want)
			assert.Contains(t, page, want)
		}
	}
	r := inPlace(5, 200, "four")
	check(r, r, "Nowhere: the same notes in the same places, with the same shifts.")
	moved := inPlace(5, 200, "four")
	for i := range moved.Notes {
		moved.Notes[i].Position = 4
	}
	check(r, moved, "Seven notes are the same in the same place, played from another position.",
		"Nowhere: the same notes in the same places, though not all from the same positions, with the same shifts.")
	moved.Notes[0].Probability = 0.7
	check(r, moved, "Six notes are the same in the same place, played", "One note is the same in the same place, perhaps played from another position: that is less than four-fifths sure.")
	hand := inPlace(5, 200, "four")
	hand.Notes[0].Probability = 0.7
	check(hand, hand, "Nowhere that is known: the same notes in the same places, probably with the same shifts; where the hand lay is less than four-fifths sure for 1 of 8 notes.")
	guess := inPlace(5, 200, "four")
	guess.Input.Strings = "inferred"
	for i := range guess.Notes {
		guess.Notes[i].PlaceSure = 0.4
	}
	check(guess, guess, "Nowhere that is known: the same notes probably in the same places, with the same shifts; where or with which finger is less than four-fifths sure for 8 of 8 notes.")
}
