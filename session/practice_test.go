package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
)

func neck(t *testing.T) coach.Neck {
	t.Helper()
	n, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	return n
}

func meter(t *testing.T, bars int) Meter {
	t.Helper()
	m, err := NewMeter(2*time.Second, 120, 4, 1, bars)
	require.NoError(t, err)
	return m
}

// drive plays notes to a practice and a tracker on the clock of the events, as
// the owner of a session does: ticks at Next, settled estimates as they come.
// It stops when the practice is done or nothing more is due.
func drive(p Practice, n coach.Neck, s coach.System, notes []coach.Note) {
	tracker := coach.NewTracker(n, s, coach.Habits{})
	settle := func() {
		for _, e := range tracker.Settled(nil) {
			p.Settled(notes[e.Note], e)
		}
	}
	advance := func(to time.Duration) {
		for !p.Done() {
			at, ok := p.Next()
			if due, pending := tracker.Deadline(); pending && (!ok || due < at) {
				at, ok = due, true
			}
			if !ok || at > to {
				return
			}
			tracker.Advance(at)
			settle()
			p.Tick(at)
		}
	}
	position, from, to := p.Hand()
	for i, note := range notes {
		advance(note.At)
		if p.Done() {
			break
		}
		tracker.Note(note)
		if position > 0 && note.At >= from && note.At < to {
			tracker.Anchor(position)
			position = 0
		}
		p.Note(i, note)
		settle()
	}
	advance(time.Hour)
}

// steady plays places one a beat from start, connected.
func steady(n coach.Neck, start, beat time.Duration, places ...coach.Place) []coach.Note {
	var notes []coach.Note
	for i, p := range places {
		notes = append(notes, coach.Note{At: start + time.Duration(i)*beat, Pitch: n.Pitch(p), String: p.String, Velocity: 80, Sounding: i > 0})
	}
	notes[0].Gap = coach.Rest
	return notes
}

func places(steps []coach.Step) []coach.Place {
	var out []coach.Place
	for _, s := range steps {
		out = append(out, s.Place)
	}
	return out
}

func TestMeter_CountsInAndThenTheBars(t *testing.T) {
	t.Parallel()
	m := meter(t, 2)
	assert.Equal(t, 4*time.Second, m.First())
	assert.Equal(t, 8*time.Second, m.End())
	for at, want := range map[time.Duration][2]int{
		1999 * time.Millisecond: {0, 0},
		2 * time.Second:         {0, 1},
		3999 * time.Millisecond: {0, 4},
		4 * time.Second:         {1, 1},
		5500 * time.Millisecond: {1, 4},
		6 * time.Second:         {2, 1},
		9 * time.Second:         {2, 4},
	} {
		b := m.Pulse(at)
		assert.Equal(t, want, [2]int{b.Bar, b.Beat}, "%v", at)
	}
	next, ok := m.Next(0)
	assert.True(t, ok)
	assert.Equal(t, 2*time.Second, next)
	next, ok = m.Next(2 * time.Second)
	assert.True(t, ok)
	assert.Equal(t, 2500*time.Millisecond, next)
	_, ok = m.Next(7500 * time.Millisecond)
	assert.False(t, ok, "the end of the last bar is no beat")
}

func TestMeter_RefusesWhatCannotBeCounted(t *testing.T) {
	t.Parallel()
	for _, m := range []struct {
		tempo                float64
		beats, countIn, bars int
		want                 string
	}{
		{0, 4, 1, 8, "tempo 0"}, {601, 4, 1, 8, "tempo 601"}, {100, 0, 1, 8, "0 beats"}, {100, 4, 9, 8, "9 bars"}, {100, 4, 1, 0, "0 bars"},
	} {
		_, err := NewMeter(0, m.tempo, m.beats, m.countIn, m.bars)
		assert.ErrorContains(t, err, m.want)
	}
}

func round(t *testing.T, kind coach.RoundKind, bars, best int) *RoundPractice {
	t.Helper()
	r := coach.Round{Kind: kind, Neck: neck(t), System: coach.Four, Low: 3, High: 12, Budget: 1}
	p, err := NewRoundPractice(r, meter(t, bars), best)
	require.NoError(t, err)
	return p
}

func TestRoundPractice_BeatsScoresAndEnds(t *testing.T) {
	t.Parallel()
	n := neck(t)
	p := round(t, coach.RoundHold, 2, 15)
	assert.Equal(t, 0, p.View(0).Beat)
	position := p.View(0).Position
	var line []coach.Place
	for i := range 8 {
		line = append(line, coach.Place{String: 2, Fret: position + i%4})
	}
	drive(p, n, coach.Four, steady(n, p.First(), p.Beat, line...))
	for i := range 12 {
		at := 2*time.Second + time.Duration(i)*p.Beat
		v := p.View(at)
		assert.Equal(t, [2]int{i / 4, i%4 + 1}, [2]int{v.Bar, v.Beat}, "at %v", at)
	}
	assert.True(t, p.Done())
	v := p.View(p.Meter.End())
	assert.Equal(t, []int{20, 20, 15}, []int{v.Score, v.Of, v.Best})
	assert.True(t, v.Done)
	assert.Equal(t, coach.Four.Window(position), v.Call)
	assert.Empty(t, v.Detail)
	assert.Equal(t, 8, p.Score().Notes)
	assert.Equal(t, 2, p.Plan().Bars)
	_, ok := p.Next()
	assert.False(t, ok)
}

func TestRoundPractice_SaysAtOnceWhatCost(t *testing.T) {
	t.Parallel()
	n := neck(t)
	p := round(t, coach.RoundHold, 2, 0)
	far := p.View(p.now).Position + 7
	var line []coach.Place
	for i := range 4 {
		line = append(line, coach.Place{String: 2, Fret: far + i}, coach.Place{String: 3, Fret: far + i})
	}
	drive(p, n, coach.Four, steady(n, p.First(), p.Beat, line...))
	v := p.View(p.now)
	assert.Less(t, v.Score, v.Of)
	assert.Regexp(t, `^bar \d: fret \d+ on string \d is out of window \d+ to \d+: -2(; where|$)`, v.Detail)
	assert.Equal(t, "hold the window", v.Title)
}

func TestRoundPractice_CallsOnTheBarLine(t *testing.T) {
	t.Parallel()
	p := round(t, coach.RoundCall, 8, 0)
	var called []int
	for bar := range 8 {
		at := p.First() + time.Duration(bar)*4*p.Beat
		p.Tick(at)
		before := p.View(at - 1).Position
		if v := p.View(at); bar == 0 || v.Position != before {
			called = append(called, v.Position)
		}
	}
	p.Tick(p.Meter.End())
	for bar, c := range p.Plan().Calls()[1:] { // each is shown half a bar ahead
		half := p.First() + time.Duration(8*bar+6)*p.Beat
		frets := coach.Four.Frets(c.Position, "-")
		assert.NotContains(t, p.View(half-1).Call, "next")
		v := p.View(half)
		assert.Equal(t, "next "+frets, v.Brief)
		assert.Equal(t, coach.Four.Frets(v.Position, "-")+", next "+frets, v.Call)
		assert.NotEqual(t, c.Position, v.Position)
		assert.Equal(t, coach.Four.Window(c.Position), p.View(half+2*p.Beat).Call)
	}
	var want []int
	for _, c := range p.Plan().Calls() {
		want = append(want, c.Position)
	}
	assert.Equal(t, want, called)
	assert.True(t, p.Done())
	v := p.View(p.now)
	assert.Zero(t, v.Score)
	assert.Contains(t, v.Detail, "too few for a score")
}

func TestRoundPractice_WaitsForTheLastNoteToSettle(t *testing.T) {
	t.Parallel()
	p := round(t, coach.RoundBudget, 1, 0)
	p.Note(3, coach.Note{At: p.First(), Pitch: 40, String: 2})
	p.Settled(coach.Note{}, coach.Estimate{Note: 2, At: p.First() - time.Second})
	p.Tick(p.Meter.End())
	assert.False(t, p.Done())
	p.Note(4, coach.Note{At: p.Meter.End() + time.Second})
	p.Settled(coach.Note{}, coach.Estimate{Note: 3, At: p.First(), Settled: true, Position: 2, Probability: 1, Place: coach.Place{String: 2, Fret: 2}, PlaceProbability: 1})
	assert.True(t, p.Done())
	assert.Equal(t, 1, p.Score().Notes)
	assert.Equal(t, "0 of 1 shift used", p.View(p.now).Call)
	p.Settled(coach.Note{}, coach.Estimate{Note: 4})
	p.Note(5, coach.Note{At: p.First()})
	assert.Equal(t, 1, p.Score().Notes)

	cut := round(t, coach.RoundBudget, 1, 0)
	cut.Note(0, coach.Note{At: cut.First()})
	cut.End()
	assert.True(t, cut.Done())
}

// Bars that hold nothing but guesses are named; where most are, there is no
// score.
func TestRoundPractice_SaysWhatIsAGuess(t *testing.T) {
	t.Parallel()
	for guesses, want := range map[int]string{
		0: "",
		1: "where the hand was is a guess in 1 of 4 bars, which do not count",
		3: "no score: where the hand was is a guess in 3 of 4 bars; --strings or longer notes help",
	} {
		p := round(t, coach.RoundHold, 4, 0)
		position := p.Plan().Calls()[0].Position
		for bar := range 4 {
			e := coach.Estimate{Note: bar, At: p.First() + time.Duration(bar)*4*p.Beat, Settled: true, Position: position,
				Probability: 0.9, Place: coach.Place{String: 2, Fret: position}, PlaceProbability: 0.9}
			if bar < guesses {
				e.Probability = 0.4
			}
			p.Note(bar, coach.Note{At: e.At})
			p.Settled(coach.Note{At: e.At}, e)
		}
		p.Tick(p.Meter.End())
		require.True(t, p.Done())
		v := p.View(p.now)
		assert.Equal(t, want, v.Detail)
		assert.Equal(t, []int{4, guesses}, []int{v.Notes, v.Doubtful})
		if guesses == 3 {
			assert.Zero(t, v.Of)
		} else {
			assert.Equal(t, []int{40 - 10*guesses, 40 - 10*guesses}, []int{v.Score, v.Of})
		}
	}
}

// A budget asks for no place, so it is not where the hand was that is a guess.
func TestRoundPractice_SaysWhatABudgetGuesses(t *testing.T) {
	t.Parallel()
	p := round(t, coach.RoundBudget, 2, 0)
	for bar, moved := range []float64{0, 0.5} {
		n := coach.Note{At: p.First() + time.Duration(4*bar)*p.Beat, Pitch: 45, String: 2}
		p.Note(bar, n)
		p.Settled(n, coach.Estimate{Note: bar, At: n.At, Settled: true, Position: 7, Probability: 0.4, Moved: moved,
			Place: coach.Place{String: 2, Fret: 7}, PlaceProbability: 1})
	}
	p.Tick(p.Meter.End())
	v := p.View(p.now)
	assert.Equal(t, "whether the hand shifted is a guess in 1 of 2 bars, which do not count", v.Detail)
	assert.Equal(t, []int{10, 10, 1}, []int{v.Score, v.Of, v.Doubtful})
}

// A bar in which no note was struck is named for what it is. In bars, one letter
// each: s is sure, g a guess, - silent.
func TestRoundPractice_SaysWhatWasSilent(t *testing.T) {
	t.Parallel()
	for bars, want := range map[string]string{
		"sss-": "no note was struck in 1 of 4 bars, which do not count",
		"s-gs": "where the hand was is a guess in 1 of 4 bars and no note was struck in 1 of 4 bars, which do not count",
		"s---": "no score: no note was struck in 3 of 4 bars",
	} {
		p := round(t, coach.RoundHold, 4, 0)
		position := p.Plan().Calls()[0].Position
		index := 0
		for bar, kind := range bars {
			for beat := 0; kind != '-' && beat < 4; beat++ {
				n := coach.Note{At: p.First() + time.Duration(4*bar+beat)*p.Beat, Pitch: 45, String: 2}
				e := coach.Estimate{Note: index, At: n.At, Settled: true, Position: position, Probability: 0.9,
					Place: coach.Place{String: 2, Fret: position}, PlaceProbability: 1}
				if kind == 'g' {
					e.Probability = 0.4
				}
				p.Note(index, n)
				p.Settled(n, e)
				index++
			}
		}
		p.Tick(p.Meter.End())
		assert.Equal(t, want, p.View(p.now).Detail)
	}
}

// Who has told the strings already is not told to.
func TestRoundPractice_SaysWhatHelpsWhereItDoes(t *testing.T) {
	t.Parallel()
	p := round(t, coach.RoundHold, 1, 0)
	n := coach.Note{At: p.First(), Pitch: 40, String: 3}
	p.Note(0, n)
	p.Settled(n, coach.Estimate{At: n.At, Settled: true, Position: 7, Probability: 0.4, Place: coach.Place{String: 3, Fret: 7}, PlaceProbability: 1})
	p.Tick(p.Meter.End())
	assert.Equal(t, "no score: where the hand was is a guess in 1 of 1 bar", p.View(p.now).Detail)
	assert.Equal(t, "0 notes in 1 bar: too few for a score", round(t, coach.RoundHold, 1, 0).Doubt())
}

func TestRoundPractice_RefusesAnImpossiblePlan(t *testing.T) {
	t.Parallel()
	_, err := NewRoundPractice(coach.Round{Kind: coach.RoundCall, Neck: neck(t), System: coach.Four, Low: 5, High: 6}, meter(t, 4), 0)
	assert.ErrorContains(t, err, "at least 4 positions")
}

// Whoever begins before bar 1 is told so, and not that another note was wrong.
func TestPractice_SaysThatANoteCameTooSoon(t *testing.T) {
	t.Parallel()
	n := neck(t)
	line := func(beats int) (*RungPractice, []coach.Note) { // so many beats before bar 1
		p := rung(t, coach.WindowCell, 7)
		return p, steady(n, p.First()-time.Duration(beats)*p.Beat, p.Beat, places(p.Cell().Steps(coach.CellPasses))...)
	}
	p, notes := line(1)
	drive(p, n, coach.Four, notes)
	assert.Equal(t, "notes: a note came before bar 1 and was not counted (12 of 13 heard)", p.View(p.now).Detail)
	p, notes = line(2)
	drive(p, n, coach.Four, notes)
	assert.Equal(t, "notes: 2 notes came before bar 1 and were not counted (11 of 13 heard)", p.View(p.now).Detail)

	// A note tried out before the cell takes nothing from it.
	p, notes = line(0)
	tried := notes[0]
	tried.At = p.First() - p.Beat
	drive(p, n, coach.Four, append([]coach.Note{tried}, notes...))
	a, _ := p.Attempt()
	assert.True(t, a.Passed(), "%+v", a.Findings())
	assert.Equal(t, "13 of 13 notes right and in order; 1 before bar 1 not counted", a.Findings()[0].Text)
	// One in the first half, while the hand finds its place, is none of it.
	p, notes = line(0)
	tried.At = p.First() - 3*p.Beat
	drive(p, n, coach.Four, append([]coach.Note{tried}, notes...))
	a, _ = p.Attempt()
	assert.Equal(t, "13 of 13 notes right and in order", a.Findings()[0].Text)

	r := round(t, coach.RoundBudget, 2, 0)
	var scale []coach.Place
	for i := range 9 {
		scale = append(scale, coach.Place{String: 2, Fret: 5 + i%4})
	}
	drive(r, n, coach.Four, steady(n, r.First()-r.Beat, r.Beat, scale...))
	v := r.View(r.now)
	assert.Equal(t, 8, v.Notes)
	assert.Equal(t, "a note came before bar 1 and was not counted", v.Detail)
}

// Whoever plays during the count-in is told to wait.
func TestPractice_CountInSaysWait(t *testing.T) {
	t.Parallel()
	for _, p := range []Practice{rung(t, coach.WindowCell, 5), round(t, coach.RoundHold, 4, 0)} {
		first := p.Clock().First()
		if r, ok := p.(*RungPractice); ok {
			r.Why = "Why it is today's rung, in a line too long for the one that the beat leaves."
		}
		assert.Contains(t, p.View(0).Detail, "wait", "a beat before the first")
		assert.Contains(t, p.View(first-1).Detail, "wait")
		assert.NotContains(t, p.View(first).Detail, "wait")
	}
}
