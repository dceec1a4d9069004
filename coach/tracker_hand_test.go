package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One finger per fret, one-octave C major from string 3 fret 3: 2 4 | 1 2 4 |
// 1 3 4 with no shift (common practice, in many method books).
func TestTracker_PlaysTheMajorScaleInOnePosition(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	places := []Place{{3, 3}, {3, 5}, {2, 2}, {2, 3}, {2, 5}, {1, 2}, {1, 4}, {1, 5}}
	got := estimates(NewTracker(n, Four, Habits{}), lineAt(n, true, append(places, places...)...))
	var fingers []int
	for _, e := range got[len(places):] {
		assert.Equal(t, 2, e.Position)
		assert.False(t, e.Extended)
		fingers = append(fingers, e.Finger)
	}
	assert.Equal(t, []int{2, 4, 1, 2, 4, 1, 3, 4}, fingers)
}

func TestTracker_KnowsAShiftThatNoWindowSpares(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	notes := lineAt(n, true, Place{2, 2}, Place{2, 5}, Place{2, 3}, Place{2, 12}, Place{2, 9}, Place{2, 11})
	for i := range notes[1:] {
		notes[i+1].Gap = 150 * tick
	}
	got := estimates(NewTracker(n, Four, Habits{}), notes)
	for i, e := range got {
		assert.Equal(t, i == 3, e.Sure, "note %d", i)
	}
	assert.Greater(t, got[3].Moved, 0.99)
	assert.Equal(t, 2, got[3].From)
	assert.Equal(t, 9, got[3].Position)
}

// With the pitch alone nothing is sure while another place would spare the shift.
func TestTracker_IsNotSureWhereAnotherStringWouldDo(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, known := range []bool{true, false} {
		got := estimates(NewTracker(n, Four, Habits{}), lineAt(n, known, Place{3, 3}, Place{3, 9}, Place{3, 3}))
		assert.Equal(t, known, got[1].Sure)
	}
}

func TestTracker_HonoursTheTeacherAtOnce(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	notes := lineAt(n, true, Place{2, 5}, Place{2, 6}, Place{2, 5}, Place{2, 6}, Place{2, 5})
	for position := 3; position <= 5; position++ {
		tr := NewTracker(n, Four, Habits{})
		tr.Note(notes[0])
		tr.Note(notes[1])
		tr.Anchor(position)
		e := tr.Newest()
		assert.Equal(t, position, e.Position)
		assert.InDelta(t, 1, e.Probability, 1e-9)
		assert.Equal(t, [2]int{position, position}, [2]int{e.Low, e.High})
		for _, note := range notes[2:] {
			tr.Note(note)
		}
		tr.End()
		for i, e := range tr.Settled(nil) {
			assert.Equal(t, position, e.Position, "note %d: no reason to move", i)
		}
	}
}

func TestTracker_TakesTheHandWhereTheTeacherPutsIt(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	notes := lineAt(n, true, Place{2, 5}, Place{2, 7}, Place{2, 12}, Place{2, 13})
	t.Run("away from the newest note", func(t *testing.T) {
		tr := NewTracker(n, Four, Habits{})
		tr.Note(notes[0])
		tr.Note(notes[1])
		tr.Anchor(11)
		assert.Equal(t, 11, tr.Newest().Position)
		tr.Note(notes[2])
		tr.Note(notes[3])
		tr.End()
		got := tr.Settled(nil)
		assert.LessOrEqual(t, got[1].Position, 7, "the note before was not played there")
		assert.Equal(t, 11, got[2].Position)
		assert.Equal(t, 11, got[3].Position)
	})
	t.Run("after the newest note has settled", func(t *testing.T) {
		tr := NewTracker(n, Four, Habits{})
		tr.Note(notes[0])
		tr.Advance(notes[0].At + settleAfter)
		was := tr.Newest()
		tr.Anchor(3)
		tr.Anchor(4)
		assert.Equal(t, 4, tr.Newest().Position)
		assert.Equal(t, []Estimate{was}, tr.Settled(nil), "what has settled stays")
		tr.Note(notes[1])
		assert.Equal(t, 4, tr.Newest().Position)
		assert.Less(t, tr.Newest().Moved, 0.1, "it may have been there before")
	})
	t.Run("where it cannot have been", func(t *testing.T) {
		for name, between := range map[string][]Note{
			"at once":                          nil,
			"after an open string":             {{At: 250 * tick, Gap: 40 * tick, Pitch: n.Pitch(Place{2, 0}), String: 2}},
			"after a note that no string has":  {{At: 250 * tick, Gap: 40 * tick, Pitch: 5}},
			"before a note that no string has": {{At: 4 * time.Second, Gap: 2 * time.Second, Pitch: 5}},
		} {
			tr := NewTracker(n, Four, Habits{})
			tr.Note(notes[0])
			for i := 0; i < len(between) && between[i].At < time.Second; i++ {
				tr.Note(between[i])
			}
			tr.Advance(3 * time.Second)
			before := tr.Newest().Position
			tr.Anchor(11)
			for i := 0; i < len(between) && between[i].At > time.Second; i++ {
				tr.Note(between[i])
			}
			tr.Note(Note{At: 5 * time.Second, Gap: time.Second, Pitch: n.Pitch(Place{2, 12}), String: 2})
			e := tr.Newest()
			assert.Equal(t, 11, e.Position, name)
			assert.Greater(t, e.Moved, 0.99, name)
			assert.Equal(t, before, e.From, name)
			assert.True(t, e.Sure, name)
		}
	})
	t.Run("while nothing is known of it", func(t *testing.T) {
		high := lineAt(n, false, Place{2, 9}, Place{2, 10}, Place{4, -1}, Place{4, 20}, Place{4, 21})
		for name, say := range map[string]func(*Tracker){
			"before the first note": func(tr *Tracker) { tr.Anchor(19) },
			"after a swap": func(tr *Tracker) {
				tr.Note(high[0])
				tr.SetSystem(Three)
				tr.Anchor(19)
			},
			"before a swap": func(tr *Tracker) {
				tr.Note(high[0])
				tr.Advance(high[0].At + settleAfter)
				tr.Anchor(19)
				tr.SetSystem(Three)
			},
			"before a swap that takes the position away": func(tr *Tracker) {
				tr.SetSystem(Three)
				tr.Anchor(20)
				tr.SetSystem(Four)
			},
			"before a note that no string has": func(tr *Tracker) {
				tr.Anchor(19)
				tr.Note(high[2])
			},
		} {
			tr := NewTracker(n, Four, Habits{})
			say(tr)
			tr.Note(high[3])
			assert.Equal(t, 19, tr.Newest().Position, name)
			assert.Equal(t, Place{4, 20}, tr.Newest().Place, name)
			tr.Note(high[4])
			assert.Equal(t, 19, tr.Newest().Position, name)
		}
	})
	t.Run("nonsense", func(t *testing.T) {
		tr := NewTracker(n, Four, Habits{})
		tr.Anchor(3)
		tr.Note(notes[0])
		was := tr.Newest()
		tr.Anchor(0)
		tr.Anchor(99)
		assert.Equal(t, was, tr.Newest())
		off := NewTracker(n, Four, Habits{})
		off.Note(Note{Gap: Rest, Pitch: 127})
		off.Anchor(3)
		assert.Zero(t, off.Newest().Position)
	})
}

func TestTracker_OneReachIsNoShift(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	var places []Place
	for range 4 {
		places = append(places, Place{3, 5}, Place{3, 8}, Place{2, 5}, Place{2, 8}, Place{1, 7}, Place{1, 5})
	}
	places = append(places, Place{1, 9}, Place{1, 8}, Place{1, 5}, Place{2, 8})
	notes := lineAt(n, true, places...)
	for i := range notes[1:] {
		notes[i+1].Gap, notes[i+1].Sounding = 0, true // bound: no time to move
		if notes[i+1].At-notes[i].At <= gripWindow {
			t.Fatal("meant as a line")
		}
	}
	got := estimates(NewTracker(n, Four, Habits{}), notes)
	e := got[24]
	assert.True(t, e.Extended)
	assert.Equal(t, 4, e.Finger)
	assert.Equal(t, 5, e.Position)
	assert.Less(t, e.Moved+got[25].Moved+got[26].Moved, 1.0)
}

// A finger that reaches a fret out of the window is no shift: that no window
// holds both notes makes none sure.
func TestTracker_IsNotSureWhereTheHandReachedOut(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	places := []Place{{2, 5}, {2, 7}, {2, 8}, {3, 5}, {3, 7}, {2, 5}, {2, 9}, {2, 5}, {3, 5}, {3, 7}, {2, 5}, {2, 7}}
	notes := lineAt(n, true, places...)
	for i := range notes[1:] {
		notes[i+1].Gap, notes[i+1].Sounding = 2*tick, false
	}
	for _, e := range estimates(NewTracker(n, Four, Habits{}), notes) {
		if e.Moved < 0.5 {
			assert.False(t, e.Sure, "note %d", e.Note)
		} else {
			assert.NotEqual(t, e.From, e.Position, "note %d", e.Note)
		}
	}
}

func TestTracker_ASlideIsAShiftOfItsFrets(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, known := range []bool{true, false} {
		notes := lineAt(n, known, Place{2, 5}, Place{2, 8}, Place{2, 10}, Place{2, 7}, Place{2, 10})
		notes[2].Slide = 2
		got := estimates(NewTracker(n, Four, Habits{}), notes)
		require.Greater(t, got[2].Moved, 0.95)
		assert.True(t, got[2].Sure)
		if known {
			assert.Equal(t, got[1].Position+2, got[2].Position)
			assert.Equal(t, got[1].Place.String, got[2].Place.String)
		}
	}
}

// Of a double stop either string may slide, while the other one rings.
func TestTracker_ASlideBeginsAtTheNoteBeforeOnItsString(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, order := range [][]Place{{{2, 5}, {1, 7}}, {{1, 7}, {2, 5}}} {
		notes := lineAt(n, true, append(order, Place{2, 7}, Place{3, 7})...)
		notes[1].At, notes[1].Gap, notes[1].Sounding = notes[0].At+10*tick, 0, true
		notes[2].Slide, notes[2].Gap, notes[2].Sounding = 2, 0, true
		got := estimates(NewTracker(n, Four, Habits{}), notes)
		assert.Equal(t, got[1].Position+2, got[2].Position, "%v", order)
		assert.True(t, got[2].Sure, "%v", order)
		assert.Greater(t, got[2].Moved, 0.95, "%v", order)
	}
}

func TestTracker_NotesStruckTogetherAreOneGrip(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	places := []Place{{3, 5}, {1, 7}, {3, 7}, {1, 9}, {3, 5}, {1, 7}}
	for _, known := range []bool{true, false} {
		notes := lineAt(n, known, places...)
		for i := 1; i < len(notes); i += 2 {
			notes[i].At = notes[i-1].At + 12*tick
			notes[i].Gap, notes[i].Sounding = 0, true
		}
		got := estimates(NewTracker(n, Four, Habits{}), notes)
		for i := 1; i < len(got); i += 2 {
			assert.Less(t, got[i].Moved, 0.02, "no shift inside a grip, string known: %v", known)
			assert.NotEqual(t, got[i-1].Place.String, got[i].Place.String)
			assert.False(t, got[i].Sure)
		}
	}
}

// No window holds frets 2 and 9: the two are taken one after another.
func TestTracker_AnImpossibleGripIsPlayedOneAfterAnother(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	notes := lineAt(n, true, Place{3, 2}, Place{1, 9}, Place{1, 9})
	notes[1].At, notes[1].Gap, notes[1].Sounding = 10*tick, 0, true
	got := estimates(NewTracker(n, Four, Habits{}), notes)
	assert.Greater(t, got[1].Moved, 0.99)
	assert.True(t, got[1].Sure)
}

// Behind a capo, and on a retuned string, the same hand shapes are the same.
func TestTracker_CapoAndTuningOnlyChangePitches(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	places := []Place{{3, 3}, {3, 5}, {2, 2}, {2, 5}, {1, 4}, {1, 5}, {1, 9}, {2, 7}, {2, 10}, {3, 0}, {3, 8}}
	plain := estimates(NewTracker(n, Four, Habits{}), lineAt(n, true, places...))
	capo, err := n.WithCapo(2)
	require.NoError(t, err)
	drop, err := ParseNeck("D1 A1 D2 G2")
	require.NoError(t, err)
	high, err := ParseNeck("F1 Bb1 Eb2 Ab2")
	require.NoError(t, err)
	for _, other := range []Neck{capo, drop, high} {
		got := estimates(NewTracker(other, Four, Habits{}), lineAt(other, true, places...))
		for i := range places {
			assert.Equal(t, plain[i].Position, got[i].Position, "note %d", i)
			assert.Equal(t, plain[i].Finger, got[i].Finger, "note %d", i)
			assert.Equal(t, places[i], got[i].Place)
		}
	}
}

func TestTracker_AnOpenStringTellsLittle(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	got := estimates(NewTracker(n, Four, Habits{}), lineAt(n, true, Place{1, 9}, Place{1, 12}, Place{4, 0}, Place{1, 10}))
	assert.Equal(t, 9, got[2].Position)
	assert.Zero(t, got[2].Finger)
	assert.Less(t, got[2].Moved, 0.2)
}
