package session

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
)

func rung(t *testing.T, kind coach.CellKind, position int) *RungPractice {
	t.Helper()
	p, err := NewRungPractice(neck(t), coach.Cell{Kind: kind, System: coach.Four, Position: position, String: 2}, meter(t, 1))
	require.NoError(t, err)
	return p
}

func TestRungPractice_JudgesAsSoonAsTheLastNoteSettles(t *testing.T) {
	t.Parallel()
	n := neck(t)
	for _, kind := range []coach.CellKind{coach.WindowCell, coach.FiveCell} {
		p := rung(t, kind, 7)
		notes := steady(n, p.First(), p.Beat, places(p.Cell().Steps(coach.CellPasses))...)
		for i, s := range p.Cell().Steps(coach.CellPasses) { // a shift takes its time
			if i > 0 && s.Position != p.Cell().Steps(coach.CellPasses)[i-1].Position {
				notes[i].Sounding, notes[i].Gap = false, 120*time.Millisecond
			}
		}
		drive(p, n, coach.Four, notes)
		a, ok := p.Attempt()
		require.True(t, ok)
		assert.True(t, a.Passed(), "%+v", a.Findings())
		v := p.View(p.now)
		assert.Equal(t, "passed", v.Call)
		assert.Len(t, v.Findings, 4)
		assert.Equal(t, v.Of, v.Score)
		assert.LessOrEqual(t, p.now, notes[len(notes)-1].At+2*time.Second, "no later than the last note settles")
	}
}

func TestRungPractice_ShowsTheNextNote(t *testing.T) {
	t.Parallel()
	n := neck(t)
	p := rung(t, coach.WindowCell, 7)
	assert.Equal(t, "four fingers, frets 7 to 10 on any string", p.View(0).Title)
	assert.Equal(t, "frets 7 to 10", p.View(p.now).Call)
	early := coach.Note{At: p.First() - time.Second, Pitch: 50}
	p.Note(0, early) // still counting in
	notes := steady(n, p.First(), p.Beat, places(p.Cell().Steps(2))...)
	p.Note(1, notes[0])
	p.Note(2, notes[1])
	p.Settled(coach.Note{}, coach.Estimate{Note: 0})
	assert.Empty(t, p.estimates, "a note before the attempt")
	v := p.View(p.now)
	assert.Equal(t, "finger 3, fret 9", v.Call)
	assert.Equal(t, "2 of 13 notes", v.Detail)
	assert.Equal(t, 9, v.Next.Place.Fret)
}

// A cell's string is named once the player has begun on one; a first note that is
// none of those asked names none.
func TestRungPractice_NamesTheStringThatWasChosen(t *testing.T) {
	t.Parallel()
	n := neck(t)
	for first, want := range map[coach.Place]int{{String: 2, Fret: 7}: 2, {String: 4, Fret: 7}: 4, {String: 4, Fret: 9}: 0} {
		p := rung(t, coach.WindowCell, 7)
		on := map[bool]string{true: "any string", false: "string " + fmt.Sprint(want)}[want == 0]
		assert.Zero(t, p.Chosen())
		p.Note(0, steady(n, p.First(), p.Beat, first)[0])
		p.End()
		assert.Equal(t, want, p.Chosen())
		assert.Equal(t, "four fingers, frets 7 to 10 on "+on, p.View(p.now).Title)
	}
}

// A window that held as far as can be told is said as a guess.
func TestRungPractice_SaysWhatIsAGuess(t *testing.T) {
	t.Parallel()
	for probability, want := range map[float64]string{0.7: "all four held, the window as a guess", 0.9: "all four held"} {
		p := RungPractice{cell: coach.Cell{Kind: coach.WindowCell, System: coach.Four, Position: 7, String: 1}, neck: neck(t)}
		p.pace = newPace(meter(t, 4))
		p.over = true
		p.attempt = coach.Attempt{Asked: 13, Heard: 13, Right: true, InOrder: true, FirstWrong: -1, OneWindow: probability, Connection: 1, Pairs: 12}
		assert.Equal(t, want, p.View(0).Detail)
	}
}

func TestRungPractice_SaysWhatDidNotHold(t *testing.T) {
	t.Parallel()
	n := neck(t)
	p := rung(t, coach.WindowCell, 7)
	line := places(p.Cell().Steps(coach.CellPasses))
	line[3].Fret++
	drive(p, n, coach.Four, steady(n, p.First(), p.Beat, line...))
	v := p.View(p.now)
	assert.Equal(t, "not yet: notes", v.Call)
	assert.Equal(t, "notes: note 4 is not the one asked (13 heard, 13 asked)", v.Detail)
}

func TestRungPractice_JudgesAPlayerWhoStops(t *testing.T) {
	t.Parallel()
	n := neck(t)
	p := rung(t, coach.WindowCell, 7)
	notes := steady(n, p.First(), p.Beat, places(p.Cell().Steps(coach.CellPasses))[:5]...)
	drive(p, n, coach.Four, notes)
	a, ok := p.Attempt()
	require.True(t, ok)
	assert.Equal(t, 5, a.Heard)
	assert.Equal(t, notes[4].At+4*p.Beat, p.now, "a bar after the last note")

	silent := rung(t, coach.WindowCell, 7)
	drive(silent, n, coach.Four, nil)
	assert.True(t, silent.Done())
	assert.Equal(t, silent.Meter.End(), silent.now)
	assert.Equal(t, "not yet: notes", silent.View(silent.now).Call)

	left := rung(t, coach.WindowCell, 7)
	left.Note(0, notes[0])
	left.End()
	left.End()
	a, ok = left.Attempt()
	require.True(t, ok)
	assert.Equal(t, 1, a.Heard)
}

func TestRungPractice_RefusesWhatDoesNotFit(t *testing.T) {
	t.Parallel()
	_, err := NewRungPractice(neck(t), coach.Cell{Kind: coach.FiveCell, System: coach.Four, Position: 19, String: 2}, meter(t, 1))
	assert.ErrorContains(t, err, "does not fit this neck")
}
