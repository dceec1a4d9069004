package coach

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// attempt is a learner's attempt at a cell as the tracker hears it.
func attempt(n Neck, c Cell, l *learner) Attempt {
	notes := l.play(n, c.Steps(CellPasses))
	return JudgeCell(n, c, notes, track(n, c.System, notes, c.Position))
}

func TestJudgeCell_PassesASteadyPlayerEverywhere(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for _, kind := range []CellKind{WindowCell, FiveCell} {
		for _, s := range Systems {
			for position := 1; position <= 12; position++ {
				for seed := range uint64(5) {
					l := newLearner(seed)
					l.mute = seed%2 == 1
					a := attempt(n, Cell{kind, s, position, 2}, l)
					require.True(t, a.Passed(), "%s %s at %d, seed %d: %+v", s.Name, kind, position, seed, a.Findings())
				}
			}
		}
	}
}

func TestJudgeCell_SaysWhatDidNotPass(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	cell := Cell{WindowCell, Four, 7, 2}
	for name, change := range map[string]func(*learner){
		"notes":      func(l *learner) { l.slip = 0.3 },
		"evenness":   func(l *learner) { l.jitter = 0.3 },
		"connection": func(l *learner) { l.breath = 150 * time.Millisecond },
	} {
		l := newLearner(3)
		change(l)
		a := attempt(n, cell, l)
		assert.False(t, a.Passed(), name)
		for _, f := range a.Findings() {
			if f.Name == "window" && name == "notes" {
				continue // a wrong note may lie out of the window
			}
			assert.Equal(t, f.Name != name, f.Passed, "%s: %+v", name, f)
			assert.NotEmpty(t, f.Text)
		}
	}
}

func TestJudgeCell_HearsAHandThatLeftTheWindow(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	cell := Cell{WindowCell, Four, 5, 2}
	notes := newLearner(1).play(n, cell.Steps(CellPasses))
	estimates := track(n, Four, notes, 5)
	require.True(t, JudgeCell(n, cell, notes, estimates).Passed())
	estimates[4].Moved = 0.9
	a := JudgeCell(n, cell, notes, estimates)
	assert.False(t, a.Passed())
	assert.InDelta(t, 0.1, a.OneWindow, 1e-9)
	assert.LessOrEqual(t, a.OneWindowLow, a.OneWindow)
	assert.Contains(t, a.Findings()[1].Text, "the hand stayed")
}

func TestJudgeCell_TellsOrderFromPitch(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	cell := Cell{WindowCell, Four, 5, 2}
	play := func() []Note { return newLearner(1).play(n, cell.Steps(CellPasses)) }
	judge := func(notes []Note) Attempt { return JudgeCell(n, cell, notes, track(n, Four, notes, 5)) }

	swapped := play()
	swapped[2].Pitch, swapped[3].Pitch = swapped[3].Pitch, swapped[2].Pitch
	a := judge(swapped)
	assert.True(t, a.Right)
	assert.False(t, a.InOrder)
	assert.Equal(t, 2, a.FirstWrong)
	assert.Equal(t, "the right notes, out of order from note 3 on", a.Findings()[0].Text)

	a = judge(play()[:9])
	assert.False(t, a.Right)
	assert.Equal(t, 9, a.FirstWrong)
	assert.Equal(t, "9 of 13 notes heard", a.Findings()[0].Text)

	extra := play()
	extra = append(extra, extra[len(extra)-1])
	extra[13].At += time.Second
	a = judge(extra)
	assert.False(t, a.Right || a.InOrder)
	assert.Equal(t, 13, a.FirstWrong)
	assert.Equal(t, "note 14 is not the one asked (14 heard, 13 asked)", a.Findings()[0].Text)

	wrong := play()
	wrong[5].Pitch++ // to one of the cell's, which is then struck once too often
	a = judge(wrong)
	assert.False(t, a.Right)
	assert.Equal(t, 5, a.FirstWrong)
	assert.Zero(t, a.WrongString)

	elsewhere := play()
	for _, str := range []int{1, 3} { // the same pitches five frets lower, or higher
		for i := range elsewhere {
			elsewhere[i].String = str
		}
		a = judge(elsewhere)
		assert.False(t, a.Right || a.OnTrust)
		assert.Equal(t, 0, a.FirstWrong)
		assert.Equal(t, fmt.Sprintf("note 1: the pitch asked, but at another fret, on string %d", str), a.Findings()[0].Text)
	}

	untold := play()
	for i := range untold {
		untold[i].String = 0
	}
	swapped = slices.Clone(untold)
	swapped[2].Pitch, swapped[3].Pitch = swapped[3].Pitch, swapped[2].Pitch
	assert.True(t, judge(swapped).Right)
	a = judge(untold)
	assert.True(t, a.Passed() && a.OnTrust)
	assert.Regexp(t, "^a guess: the hand stayed, probability .*, if it began there$", a.Findings()[1].Text)
	assert.True(t, a.Findings()[1].Guess, "however probable: nobody heard where it began")
	assert.NotContains(t, judge(play()).Findings()[1].Text, "if it began there")
}

func TestJudgeCell_NothingHeardPassesNothing(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	a := JudgeCell(n, Cell{WindowCell, Four, 5, 2}, nil, nil)
	assert.False(t, a.Passed())
	assert.Equal(t, 0, a.FirstWrong)
	assert.True(t, math.IsNaN(a.Evenness))
	assert.True(t, math.IsNaN(a.Connection))
	for _, f := range a.Findings() {
		assert.False(t, f.Passed, f.Name)
		assert.NotContains(t, f.Text, "NaN")
	}
}

// A shift that the cell asks for breaks the line and is no fault of it.
func TestJudgeCell_ShiftsAskedBreakNoConnection(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	l := newLearner(2)
	l.travel = 300 * time.Millisecond
	a := attempt(n, Cell{FiveCell, Three, 5, 2}, l)
	assert.Equal(t, 1.0, a.Connection)
	assert.Equal(t, a.Asked-1-a.ShiftsAsked, a.Pairs)
	assert.Equal(t, 8, a.ShiftsAsked)
	assert.Contains(t, a.Findings()[1].Text, "no shift but the 8 asked")
}

// A hand that never moved made no shift beyond those asked, and none of those either.
func TestFindings_ClaimNoShiftThatWasNotMade(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	c := Cell{FiveCell, Four, 9, 2}
	var notes []Note
	for _, s := range c.Steps(CellPasses) {
		notes = append(notes, places(n, s.Place)...)
	}
	f := JudgeCell(n, c, notes, make([]Estimate, len(notes))).Findings()
	assert.Equal(t, Finding{Name: "window", Passed: true, Text: "no shift but the 4 asked, probability 1.00 (at least 0.50)"}, f[1])
}

func TestFindings_CountOneAsOne(t *testing.T) {
	t.Parallel()
	f := Attempt{Asked: 1, Heard: 1, Right: true, InOrder: true, ShiftsAsked: 1, Connection: 1, Pairs: 1}.Findings()
	assert.Equal(t, "1 of 1 note right and in order", f[0].Text)
	assert.Contains(t, f[1].Text, "no shift but the 1 asked")
	assert.Contains(t, f[3].Text, "100 per cent of 1 pair connected")
}

// Against the distribution of the number of shifts, enumerated over every set
// of moves that are independent or all the same.
func TestStayed_BoundsTheProbability(t *testing.T) {
	t.Parallel()
	est := func(moved ...float64) []Estimate {
		out := make([]Estimate, 1+len(moved))
		for i, m := range moved {
			out[i+1].Moved = m
		}
		return out
	}
	for _, moved := range [][]float64{{0.1, 0.2}, {0.5, 0.5, 0.1}, {0, 0, 0}, {0.9}, {0.3, 0.3, 0.3, 0.3, 0.3}} {
		high, low := stayed(est(moved...), 0)
		independent, widest := 1.0, 0.0
		for _, m := range moved {
			independent *= 1 - m
			widest = max(widest, m)
		}
		assert.LessOrEqual(t, low, independent+1e-12)
		assert.GreaterOrEqual(t, high, independent-1e-12)
		assert.GreaterOrEqual(t, high, 1-widest-1e-12, "all moves at once: P(none) is 1 less the widest")
		assert.InDelta(t, 1-widest, high, 1e-12)
	}
	high, low := stayed(est(1, 0.2, 0, 1), 2)
	assert.InDelta(t, 0.8, high, 1e-12)
	assert.InDelta(t, 0.8, low, 1e-12)
	high, low = stayed(est(0.5, 0.4), 1)
	assert.InDelta(t, 0.6, high, 1e-12)
	assert.InDelta(t, high, low, 1e-12, "never over the upper bound")
	high, low = stayed(est(0.4), 2)
	assert.Equal(t, []float64{1, 1}, []float64{high, low})
	high, low = stayed(nil, 0)
	assert.Equal(t, []float64{1, 1}, []float64{high, low})
}

// Worked by hand: intervals 400, 600 ms have mean 500 and standard deviation
// 100, a coefficient of variation of one fifth, at any tempo.
func TestEvenness_IsFreeOfTheTempo(t *testing.T) {
	t.Parallel()
	ms := func(at ...int) []time.Duration {
		out := make([]time.Duration, len(at))
		for i, a := range at {
			out[i] = time.Duration(a) * time.Millisecond
		}
		return out
	}
	assert.InDelta(t, 0.2, Evenness(ms(0, 400, 1000)), 1e-12)
	assert.InDelta(t, 0.2, Evenness(ms(70, 470, 1070)), 1e-12)
	assert.InDelta(t, 0.2, Evenness(ms(0, 800, 2000)), 1e-12)
	assert.Equal(t, 0.0, Evenness(ms(0, 500, 1000, 1500)))
	assert.True(t, math.IsNaN(Evenness(ms(0, 500))))
	assert.True(t, math.IsNaN(Evenness(ms(5, 5, 5))))
}

// LegatoGap is the longest silence that still counts as connected.
func TestJudgeCell_ConnectsUpToTheLegatoGap(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	c := Cell{WindowCell, Four, 5, 2}
	for gap, want := range map[time.Duration]float64{LegatoGap: 1, LegatoGap + 1: 0} {
		var notes []Note
		for _, s := range c.Steps(CellPasses) {
			notes = append(notes, places(n, s.Place)...)
			notes[len(notes)-1].Gap = gap
		}
		assert.Equal(t, want, JudgeCell(n, c, notes, make([]Estimate, len(notes))).Connection)
	}
}

func TestRung_NamesItsCell(t *testing.T) {
	t.Parallel()
	c, err := Rung{FiveCell, "three", 7}.Cell(2)
	require.NoError(t, err)
	assert.Equal(t, Cell{FiveCell, Three, 7, 2}, c)
	_, err = Rung{FiveCell, "seven", 7}.Cell(2)
	assert.Error(t, err)
}

// What came before the first bar stands beside what is missing after it, and for it
// where the very first note is not the one asked.
func TestFindings_SayWhatCameTooSoon(t *testing.T) {
	t.Parallel()
	for wrong, want := range map[int]string{
		0: "a note came before bar 1 and was not counted (12 of 13 heard)",
		3: "note 4 is not the one asked (12 heard, 13 asked); 1 before bar 1 not counted",
	} {
		f := Attempt{Asked: 13, Heard: 12, FirstWrong: wrong, Early: 1}.Findings()
		assert.Equal(t, want, f[0].Text)
	}
}

// A figure that failed is not shown as one that would have passed, and one that
// passed is shown as it is.
func TestAttempt_AFailedFigureIsNotShownAsItsBorder(t *testing.T) {
	t.Parallel()
	finding := func(i int, edit func(*Attempt)) Finding {
		a := Attempt{Asked: 13, Heard: 13, Right: true, InOrder: true, FirstWrong: -1, OneWindow: 1, OneWindowLow: 1, Pairs: 12}
		edit(&a)
		return a.Findings()[i]
	}
	for f, want := range map[float64]string{0.0996: "10.0", 0.1: "10.0", 0.1004: "10.1", 0.104: "10.4"} {
		got := finding(2, func(a *Attempt) { a.Evenness = f })
		assert.Equal(t, Finding{Name: "evenness", Passed: f <= MaxEvenness, Text: "times between notes vary by " + want + " per cent (at most 10)"}, got)
	}
	for connected, want := range map[float64]string{39: "79", 39.2: "80", 39.3: "80", 38.5: "79"} {
		got := finding(3, func(a *Attempt) { a.Connection, a.Pairs = connected/49, 49 })
		assert.Equal(t, Finding{Name: "connection", Passed: connected/49 >= MinConnection, Text: want + " per cent of 49 pairs connected (at least 80)"}, got)
	}
	for bounds, want := range map[[2]float64]string{{0.496, 0.496}: "0.49", {0.2, 0.499}: "0.20 to 0.49", {0.499, 0.5}: "0.50", {0.3, 0.503}: "0.30 to 0.50", {0.3, 0.799}: "0.30 to 0.80", {0.3, 0.8}: "0.30 to 0.80"} {
		got := finding(1, func(a *Attempt) { a.OneWindowLow, a.OneWindow = bounds[0], bounds[1] })
		want = "the hand stayed, probability " + want + " (at least 0.50)"
		passed := bounds[1] >= MinOneWindow
		guess := passed && bounds[1] < Sure
		if guess {
			want = "a guess: " + want
		}
		assert.Equal(t, Finding{Name: "window", Passed: passed, Guess: guess, Text: want}, got)
	}
}
