package coach

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// at is a settled note of which everything is known.
func at(ms int, position, fret int) Estimate {
	return Estimate{At: time.Duration(ms) * time.Millisecond, Position: position, Low: position, High: position,
		Probability: 1, Place: Place{2, fret}, PlaceProbability: 1, Finger: Four.FingerAt(fret - position), From: position, Settled: true}
}

// heard is the note of e, with its string told.
func heard(r Round, e Estimate) Note {
	return Note{At: e.At, Pitch: r.Neck.Pitch(e.Place), String: e.Place.String}
}

func add(s *Scorer, e Estimate) { s.Add(heard(s.round, e), e) }

func score(r Round, notes ...Estimate) Score {
	s := NewScorer(r, 0)
	for _, e := range notes {
		add(s, e)
	}
	return s.Score(r.Length())
}

// eighths fills the round with eighth notes in the window that holds.
func eighths(r Round, position func(bar int) int) []Estimate {
	var notes []Estimate
	step := int(r.Beat/time.Millisecond) / 2
	for i := range r.Bars * r.Beats * 2 {
		p := position(1 + i/(2*r.Beats))
		notes = append(notes, at(i*step, p, p+i%4))
	}
	return notes
}

func TestScorer_HoldCostsWhatLeavesTheWindow(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundHold)
	p := r.Calls()[0].Position
	notes := eighths(r, func(int) int { return p })
	full := score(r, notes...)
	assert.Equal(t, 80, full.Of)
	assert.Equal(t, 80, full.Points)
	assert.Empty(t, full.Losses)
	assert.True(t, full.Enough)

	out := at(2100, p+6, p+7)
	notes[8] = out
	got := score(r, notes...)
	assert.Equal(t, 78, got.Points)
	require.Len(t, got.Losses, 1)
	assert.Equal(t, 2, got.Losses[0].Bar)
	assert.Contains(t, got.Losses[0].Text, "is out of window")

	away := eighths(r, func(bar int) int {
		if bar == 3 {
			return p + 8
		}
		return p
	})
	assert.Equal(t, 70, score(r, away...).Points, "a bar loses no more than it is worth")
}

func TestScorer_DoubtfulNotesCostNothing(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundHold)
	p := r.Calls()[0].Position
	for name, change := range map[string]func(*Estimate){
		"provisional":         func(e *Estimate) { e.Settled = false },
		"position in doubt":   func(e *Estimate) { e.Probability = Sure - 0.01 },
		"string in doubt":     func(e *Estimate) { e.PlaceProbability = Sure - 0.01 },
		"could be the window": func(e *Estimate) { e.Low, e.High = p, e.Position },
	} {
		e := at(100, p+6, p+4) // where a finger of the window could have stretched to
		assert.Equal(t, 8, score(r, e).Points)
		change(&e)
		got := score(r, e, at(200, p, p))
		assert.Equal(t, 10, got.Points, name)
		assert.Equal(t, 2, got.Notes)
		if name != "could be the window" {
			assert.Equal(t, 1, got.Doubtful, name)
		}
	}
	assert.Equal(t, 10, score(r, at(100, p, p+4)).Points, "an extension leaves the hand where it is")
	assert.Equal(t, 10, score(r, at(100, p+6, 0)).Points, "an open string needs no hand")
	assert.Equal(t, 10, score(r, at(100, p+1, p+1)).Points, "the window holds this note")

	b := plan(bass4(t), RoundBudget)
	b.Budget = 0
	moved := at(500, 9, 9)
	moved.Moved = Sure - 0.01
	assert.Zero(t, score(b, at(0, 1, 1), moved).Shifts)
	moved.Moved, moved.Settled = 1, false
	assert.Zero(t, score(b, at(0, 1, 1), moved).Shifts)

	c := plan(bass4(t), RoundCall)
	q := c.Calls()[0].Position
	doubt := at(100, q+4, q+4)
	doubt.Probability = 0.5
	assert.Equal(t, time.Duration(100)*time.Millisecond, score(c, doubt).Arrivals[0].After, "the doubt is the player's")
}

// A2 lies at fret 2 of string 1 and at fret 7 of string 2. Heard by its pitch
// alone it may have been played in window 5 to 8, whatever the tracker makes of
// it; E1 lies nowhere there.
func TestScorer_APitchThatTheWindowHoldsIsNotOut(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	r := Round{Kind: RoundHold, Neck: n, System: Four, Low: 5, High: 5, Bars: 4, Beats: 4, Beat: time.Second / 2}
	require.NoError(t, r.Validate())
	low := at(100, 1, 2)
	low.Place.String = 1
	lower := at(200, 1, 1)
	lower.Place.String = 4
	for _, told := range []struct {
		strings                     bool
		points, doubtful, alone, of int
	}{{true, 6, 0, 0, 10}, {false, 8, 1, 1, 0}} {
		s, alone := NewScorer(r, 0), NewScorer(r, 0)
		for _, e := range []Estimate{low, lower} {
			note := heard(r, e)
			if !told.strings {
				note.String = 0
			}
			s.Add(note, e)
			if e == low {
				alone.Add(note, e)
			}
		}
		got := s.Score(r.Length())
		assert.Equal(t, [2]int{told.points, told.doubtful}, [2]int{got.Points, got.Doubtful})
		got = alone.Score(r.Length())
		assert.Equal(t, told.alone, got.Unclear, "a bar of such notes alone is a guess")
		assert.Equal(t, told.of, got.Of, "of one bar played of four")
	}

	// Nor does it show that a call was not followed.
	r.Kind, r.High, r.Bars = RoundCall, 12, 2
	p := r.Calls()[0].Position
	s := NewScorer(r, 0)
	e := low
	pitch := n.Pitch(Place{2, p})
	s.Add(Note{At: e.At, Pitch: pitch}, e)
	assert.Equal(t, 100*time.Millisecond, s.Score(r.Length()).Arrivals[0].After)
	s = NewScorer(r, 0)
	s.Add(Note{At: e.At, Pitch: pitch, String: 1}, e)
	assert.Equal(t, time.Duration(unheard), s.Score(r.Length()).Arrivals[0].After)
}

// A bar in which every note is doubtful gives nothing and takes nothing.
func TestScorer_GivesNoPointForAGuess(t *testing.T) {
	t.Parallel()
	for _, kind := range []RoundKind{RoundHold, RoundBudget, RoundCall} {
		r := plan(bass4(t), kind)
		r.Bars = 4
		notes := eighths(r, func(bar int) (position int) {
			position = 5
			for _, c := range r.Calls() {
				if c.Bar <= bar {
					position = c.Position
				}
			}
			return position
		})
		assert.Equal(t, 40, score(r, notes...).Points, kind)
		doubt := func(from, to int) {
			for i := range notes {
				if bar := 1 + int(notes[i].At/r.Bar()); bar >= from && bar <= to {
					notes[i].Probability, notes[i].Moved = Sure-0.01, Sure-0.01
				}
			}
		}
		doubt(2, 2)
		got := score(r, notes...)
		assert.Equal(t, []int{30, 30, 1}, []int{got.Points, got.Of, got.Unclear}, kind)
		assert.True(t, got.Enough)
		doubt(3, 4)
		got = score(r, notes...)
		assert.Equal(t, []int{10, 10, 3}, []int{got.Points, got.Of, got.Unclear}, kind)
		assert.False(t, got.Enough, "most bars are guesses")

		half := NewScorer(r, 0)
		add(half, notes[8])
		assert.Zero(t, half.Score(notes[8].At).Unclear, "a bar that goes on may still become clear")
		assert.Equal(t, 1, half.Score(2*r.Bar()).Unclear)
	}
	call := plan(bass4(t), RoundCall)
	call.Bars = 2
	doubt := at(100, call.Calls()[0].Position, call.Calls()[0].Position)
	doubt.Probability = 0.5
	got := score(call, doubt, at(2100, doubt.Position, doubt.Position))
	assert.Equal(t, []int{10, 10}, []int{got.Points, got.Of}, "the bar that is clear")
	call.Bars = 4
	elsewhere := at(100, 19, 19) // on which string is not known
	elsewhere.PlaceProbability = 0.5
	second := call.Calls()[1].Position
	for _, later := range []Estimate{at(3500, call.Calls()[0].Position, call.Calls()[0].Position), at(2100, 19, 19)} {
		got = score(call, elsewhere, later, at(4000, second, second), at(6000, second, second))
		assert.Equal(t, []int{20, 30}, []int{got.Points, got.Of}, "a call loses no more than its clear bar")
	}
	call.Bars = 2
	got = score(call, at(100, 19, 19), at(2100, 19, 19))
	assert.Equal(t, []int{0, 20}, []int{got.Points, got.Of})
}

// A bar in which no note is struck keeps to no window and no budget. A call tells
// what silence costs by itself.
func TestScorer_GivesNoPointForSilence(t *testing.T) {
	t.Parallel()
	for _, kind := range []RoundKind{RoundHold, RoundBudget} {
		r := plan(bass4(t), kind)
		notes := eighths(r, func(int) int { return r.Low })
		if kind == RoundHold {
			p := r.Calls()[0].Position
			notes = eighths(r, func(int) int { return p })
		}
		got := score(r, notes[:8]...)
		assert.Equal(t, []int{10, 10, 7}, []int{got.Points, got.Of, got.Silent}, kind)
		assert.False(t, got.Enough, "one bar of eight was played")
		got = score(r, notes[:32]...)
		assert.Equal(t, []int{40, 40, 4}, []int{got.Points, got.Of, got.Silent}, kind)
		assert.True(t, got.Enough)
		notes[0].Probability, notes[0].Moved = Sure-0.01, Sure-0.01
		s := NewScorer(r, 0)
		for _, e := range append(notes[:1:1], notes[8:32]...) {
			add(s, e)
		}
		got = s.Score(r.Length())
		assert.Equal(t, []int{30, 30, 1, 4}, []int{got.Points, got.Of, got.Unclear, got.Silent}, kind)
		assert.False(t, got.Enough, "guesses and silence together are most of the bars")
		assert.Zero(t, s.Score(5*r.Bar()-1).Silent, "a note may still come")
	}
	call := plan(bass4(t), RoundCall)
	p := call.Calls()[0].Position
	got := score(call, at(0, p, p))
	assert.Equal(t, []int{20, 80, 0}, []int{got.Points, got.Of, got.Silent})
}

func TestScorer_BudgetCountsSureShifts(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundBudget)
	shift := func(ms, position int) Estimate {
		e := at(ms, position, position)
		e.Moved, e.Sure = 1, true
		return e
	}
	got := score(r, at(0, 1, 1), shift(500, 6), shift(3000, 1), at(3500, 1, 2), shift(6100, 9), at(7000, 9, 10), at(7500, 9, 9), at(9000, 9, 9))
	assert.Equal(t, 3, got.Shifts)
	assert.Equal(t, []int{30, 40, 4}, []int{got.Points, got.Of, got.Silent})
	assert.True(t, got.Enough)
	require.Len(t, got.Losses, 1)
	assert.Equal(t, "bar 4: sure shift 3, with 2 in the budget", got.Losses[0].Text)

	first := score(r, shift(0, 9))
	assert.Zero(t, first.Shifts, "the way to the first note is free")
	assert.False(t, first.Enough)

	open := at(1000, 6, 0)
	open.Moved = 0.9
	arrived := at(1500, 6, 6)
	arrived.Sure = true
	assert.Equal(t, 1, score(r, at(0, 1, 1), open, arrived).Shifts, "a shift under an open string is one shift")
	arrived.Sure = false
	assert.Equal(t, 1, score(r, at(0, 1, 1), open, arrived).Shifts, "also where the note after it forces none")
	reached := at(500, 1, 5)
	reached.Sure, reached.Extended, reached.Moved = true, true, 0.1
	assert.Zero(t, score(r, at(0, 1, 1), reached).Shifts, "a finger reached, the hand stayed")

	many := []Estimate{at(0, 1, 1)}
	for i := range 30 {
		many = append(many, shift(100+500*i, 1+5*(i%2)))
	}
	assert.Zero(t, score(r, many...).Points, "never under nothing")
}

// A budget asks whether the hand shifted, and not where it is: octaves between two
// places are no guess where each shift is sure, nor is a hand that surely stays.
func TestScorer_BudgetNeedsNoPlace(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	r := plan(n, RoundBudget)
	for bars, want := range map[int][]int{1: {7, 30, 80}, 2: {3, 70, 80}, 8: {0, 80, 80}} { // so many bars at fret 5, then at fret 11
		var notes []Note
		for i := range r.Bars * r.Beats {
			at := Place{4, 5 + 6*(i/r.Beats/bars%2)}
			if i%2 == 1 { // the octave
				at = Place{2, at.Fret + 2}
			}
			notes = append(notes, Note{At: time.Duration(i) * r.Beat, Sounding: i > 0, Pitch: n.Pitch(at), String: at.String, Velocity: 80})
		}
		s := NewScorer(r, 0)
		for i, e := range track(n, Four, notes, 0) {
			assert.Less(t, e.Probability, Sure, "where the hand is is a guess")
			s.Add(notes[i], e)
		}
		got := s.Score(r.Length())
		assert.Equal(t, want, []int{got.Shifts, got.Points, got.Of}, "shifts after %d bars", bars)
		assert.True(t, got.Enough)
	}
}

func TestScorer_TakesNotesOfItsTimeOnly(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundHold)
	p := r.Calls()[0].Position
	s := NewScorer(r, 10*time.Second)
	for _, ms := range []int{9000, 9749, 26000, 30000} {
		add(s, at(ms, p+6, p+6))
	}
	assert.Zero(t, s.Score(time.Minute).Notes)
	add(s, at(9800, p, p)) // a little ahead of the first beat
	add(s, at(25999, p, p))
	assert.Equal(t, 2, s.Score(time.Minute).Notes)
	assert.Equal(t, 80, s.Score(0).Points)
}

// A score that was handed out stays as it was.
func TestScorer_ScoresAreValues(t *testing.T) {
	t.Parallel()
	r := plan(bass4(t), RoundHold)
	p := r.Calls()[0].Position
	s := NewScorer(r, 0)
	add(s, at(0, p+6, p+6))
	before := s.Score(0)
	want := before.Losses[0]
	add(s, at(2000, p+9, p+9))
	_ = s.Score(0)
	assert.Equal(t, []Loss{want}, before.Losses)

	c := plan(bass4(t), RoundCall)
	s = NewScorer(c, 0)
	p = c.Calls()[0].Position
	add(s, at(0, p, p))
	for i := range 3 {
		add(s, at(500+i, p+7, p+7))
	}
	early := s.Score(4 * c.Bar()) // the second call is over and nobody came
	last := early.Losses[3]
	add(s, at(510, p+7, p+7))
	assert.Equal(t, last, early.Losses[3])
}

// improviser plays a round with a known hand: random notes of the window, the
// hand moving late beats after each call, with the silence a shift takes.
func improviser(n Neck, r Round, late float64, seed uint64) []Note {
	rng := rand.New(rand.NewPCG(seed, 5))
	calls := r.Calls()
	hand := calls[0].Position
	var notes []Note
	for i := range r.Bars * r.Beats * 2 {
		beat := float64(i) / 2
		k := min(i/(2*r.Beats*BarsPerCall), len(calls)-1)
		gap := time.Duration(0)
		if calls[k].Position != hand && beat-float64(k*BarsPerCall*r.Beats) >= late {
			hand, gap = calls[k].Position, 130*time.Millisecond
		}
		place := Place{2 + rng.IntN(2), hand + rng.IntN(4)}
		notes = append(notes, Note{At: time.Duration(beat * float64(r.Beat)), Gap: gap, Sounding: gap == 0,
			Pitch: n.Pitch(place), String: place.String, Velocity: 80})
	}
	return notes
}

// From notes to score through the tracker: a hand that is there on the beat
// loses next to nothing, and being later costs more.
func TestScorer_FollowsARealHand(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	r := plan(n, RoundCall)
	r.Bars = 16
	last := 1 << 20
	for _, late := range []float64{0, 2, 5, 8} {
		sum, of := 0, 0
		for seed := range uint64(20) {
			r.Nth = int(seed)
			got := score(r, track(n, Four, improviser(n, r, late, seed), 0)...)
			sum, of = sum+got.Points, of+got.Of
		}
		mean := 1000 * sum / of
		t.Logf("%g beats late: %d points in a thousand, %d of %d could be had", late, mean, of/20, 160)
		assert.Less(t, mean, last)
		if late == 0 {
			assert.Greater(t, mean, 968) // 155 of 160
		}
		last = mean
	}
	hold := plan(n, RoundHold)
	for seed := range uint64(20) {
		hold.Nth = int(seed)
		got := score(hold, track(n, Four, improviser(n, hold, 0, seed), 0)...)
		assert.Equal(t, got.Of, got.Points, "a hand that stays loses nothing, seed %d: %+v", seed, got.Losses)
	}
}
