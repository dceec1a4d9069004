package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Worked by hand: 8 of 10 notes crossing from a fretted one were held, 1 of 10
// on one string, none off open strings.
func TestSustain_ReadsByCrossing(t *testing.T) {
	t.Parallel()
	s := sustain{ended: [crossings]float64{9e6, 2e6, 1e6}, held: [crossings]float64{1e6, 8e6, 0}}
	held, ended := s.read(true, 1), s.read(false, 1)
	all := 9.0 / 21 // of any note, to be held
	assert.InDelta(t, 0.1/all, held[sameString], 1e-5)
	assert.InDelta(t, 0.8/all, held[otherString], 1e-5)
	assert.InDelta(t, 0, held[offOpen], 1e-5)
	assert.InDelta(t, 0.9/(1-all), ended[sameString], 1e-5)
	assert.InDelta(t, 0.2/(1-all), ended[otherString], 1e-5)
	assert.InDelta(t, 1/(1-all), ended[offOpen], 1e-5)

	ended = s.read(false, 0.5)
	assert.InDelta(t, (1+0.2/(1-all))/2, ended[otherString], 1e-5, "as probable as not to be cut short")
}

// Common practice: a string sounds one note at a time. The same pitches, bound
// by ringing on, are on two strings where notes that end might be on one.
func TestTracker_NotesThatRingOnAreOnTwoStrings(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	places := []Place{{3, 5}, {3, 7}, {3, 5}, {3, 7}, {3, 5}, {3, 7}}
	apart := func(rings bool) (two int) {
		notes := lineAt(n, false, places...)
		for i := range notes[1:] {
			if notes[i+1].Gap = 3 * tick; rings {
				notes[i+1].Gap, notes[i+1].Sounding = 0, true
			}
		}
		got := estimates(NewTracker(n, Four, Habits{}), notes)
		for i := range got[1:] {
			if got[i+1].Place.String != got[i].Place.String {
				two++
			}
		}
		return two
	}
	assert.Zero(t, apart(false))
	assert.Equal(t, len(places)-1, apart(true))
}

// A player whose every note rings on was heard with strings told. What is later
// cut short, on no string told, is as it would be without that knowledge.
func TestSustain_SaysNothingOfNotesCutShort(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	var ringing, scale []Place
	for i := range 120 {
		ringing = append(ringing, Place{1 + i%4, 5 + i%3})
	}
	notes := lineAt(n, true, ringing...)
	for i := range notes[1:] {
		notes[i+1].Gap, notes[i+1].Sounding = 0, true
	}
	tr := NewTracker(n, Four, Habits{})
	estimates(tr, notes)
	other := tr.Habits().Held[otherString]
	require.Greater(t, other, 80.0)

	up := []Place{{3, 3}, {3, 5}, {2, 2}, {2, 3}, {2, 5}, {1, 2}, {1, 4}, {1, 5}}
	for range 5 {
		scale = append(scale, up...)
	}
	shifts := map[bool]float64{}
	for _, known := range []bool{true, false} {
		h := tr.Habits()
		if !known {
			h.Ended, h.Held = [crossings]float64{}, [crossings]float64{}
		}
		later := NewTracker(n, Four, h)
		notes := lineAt(n, false, scale...)
		for i := range notes[1:] {
			notes[i+1].Gap = 120 * tick
		}
		estimates(later, notes)
		shifts[known] = later.Expected()
	}
	assert.InDelta(t, shifts[false], shifts[true], 0.5)
}

// Keys know no strings. On pitches that one string alone has, the tracker learns
// it, and stops reading strings from notes that ring on.
func TestSustain_IsUnlearntFromWhoeverPlaysKeys(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	assert.Less(t, tr.sustain.read(true, 1)[sameString], 0.3)
	var line []Place
	for i := range 120 {
		line = append(line, Place{4, 1 + i%4}) // below A1: the lowest string's own
	}
	notes := lineAt(n, false, line...)
	for i := range notes[1:] {
		notes[i+1].Gap, notes[i+1].Sounding = 0, true
	}
	estimates(tr, notes)
	assert.Greater(t, tr.sustain.read(true, 1)[sameString], 0.95)

	assert.Zero(t, tr.Habits().Overlap(), "none was heard on another string")
	again := NewTracker(n, Four, tr.Habits())
	assert.Greater(t, again.sustain.read(true, 1)[sameString], 0.95, "what was learnt is kept")
	assert.Zero(t, Habits{}.Overlap())
}

// A note that no string has may ring on, but tells nothing of the strings of the
// notes about it.
func TestSustain_IsNotReadAfterANoteThatNoStringHas(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	notes := lineAt(n, false, Place{3, 5}, Place{3, 5}, Place{3, 7}, Place{3, 7}, Place{3, 5})
	for i := range notes[1:] {
		notes[i+1].Gap, notes[i+1].Sounding = 0, true
		notes[i+1].At += time.Second // so that an anchor finds the note before settled
	}
	notes[1].Pitch, notes[3].Pitch = 10, 10
	for i, note := range notes {
		if i == 4 {
			tr.End()
			tr.Anchor(4)
		}
		tr.Note(note)
		if f := tr.frame(i); f.link == struck {
			assert.Equal(t, [crossings]float64{1, 1, 1}, f.tells[f.ears[0]].strings, "note %d", i)
		}
	}
	tr.End()
	assert.Zero(t, tr.sustain.notes())
}

// Anchored at the eleventh fret, both notes can only lie on the second string,
// though others have them too.
func TestSustain_LearnsTheCrossingThatThereWas(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	for _, note := range lineAt(n, false, Place{2, 12}, Place{2, 13}) {
		tr.Note(note)
		tr.Anchor(11)
	}
	tr.End()
	f := tr.frame(1)
	assert.InDeltaSlice(t, []float64{f.tells[tr.heaviest(f.ears)].reading.share(), 0, 0}, tr.sustain.ended[:], 1e-3)
	assert.Zero(t, tr.sustain.held)
}
