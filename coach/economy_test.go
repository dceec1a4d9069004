package coach

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mustNeck parses a neck and gives it frets.
func mustNeck(t testing.TB, open string, frets int) Neck {
	t.Helper()
	n, err := ParseNeck(open)
	require.NoError(t, err)
	n.Frets = frets
	require.NoError(t, n.Validate())
	return n
}

// line makes notes a quarter of a second apart, on strings not told.
func line(pitches ...int) []Note {
	notes := make([]Note, len(pitches))
	for i, p := range pitches {
		notes[i] = Note{At: time.Duration(i) * 250 * time.Millisecond, Pitch: p, Velocity: 80}
	}
	return notes
}

// places makes notes likewise, on strings told.
func places(n Neck, at ...Place) []Note {
	notes := make([]Note, len(at))
	for i, p := range at {
		notes[i] = Note{At: time.Duration(i) * 250 * time.Millisecond, Pitch: n.Pitch(p), String: p.String, Velocity: 80}
	}
	return notes
}

// scale is a major scale of one octave from root upwards.
func scale(root int) []Note {
	return line(root, root+2, root+4, root+5, root+7, root+9, root+11, root+12)
}

func chromatic(from, to int) []Note {
	var pitches []int
	for p := from; p <= to; p++ {
		pitches = append(pitches, p)
	}
	return line(pitches...)
}

func economyOf(n Neck, s System, notes []Note) *Economy {
	e := NewEconomy(n, s)
	for _, note := range notes {
		e.Note(note)
	}
	return e
}

// withoutOpen is an Economy to which open strings do not exist.
func withoutOpen(n Neck, s System) *Economy {
	e := NewEconomy(n, s)
	for i, open := range n.Open {
		e.cover.on[open][i+1] = 0
		e.cover.places[open] &^= 1 << (i + 1)
	}
	for _, open := range n.Open {
		e.cover.on[open][0] = 0
		for _, m := range e.cover.on[open][1:] {
			e.cover.on[open][0] |= m
		}
	}
	return e
}

// Source: exhaustive search over all places and positions, four-string bass
// with 24 frets, any string, done apart from this program; the last two
// columns without open strings.
func TestEconomy_ShiftsOfScales(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 24)
	for _, c := range []struct {
		name                            string
		notes                           []Note
		four, three, stopped4, stopped3 int
	}{
		{"C2 major", scale(36), 0, 1, 0, 3},
		{"G1 major", scale(31), 0, 0, 0, 3},
		{"F1 major", scale(29), 0, 0, 1, 3},
		{"F1 to G3 chromatic", chromatic(29, 55), 2, 8, 6, 8},
	} {
		assert.Equal(t, c.four, economyOf(n, Four, c.notes).Fewest().Shifts, "%s, four", c.name)
		assert.Equal(t, c.three, economyOf(n, Three, c.notes).Fewest().Shifts, "%s, three", c.name)
		four, three := withoutOpen(n, Four), withoutOpen(n, Three)
		for _, note := range c.notes {
			four.Note(note)
			three.Note(note)
		}
		assert.Equal(t, c.stopped4, four.Fewest().Shifts, "%s without open strings, four", c.name)
		assert.Equal(t, c.stopped3, three.Fewest().Shifts, "%s without open strings, three", c.name)
	}
}

// Source: common practice: five frets on one string are one shift of one fret
// for four fingers. The three-finger hand plays them 1-1-2-4-4, two frets of
// travel in two shifts, or takes the two frets at once; no way travels less.
func TestEconomy_FiveFretsOnOneString(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 24)
	notes := places(n, Place{2, 5}, Place{2, 6}, Place{2, 7}, Place{2, 8}, Place{2, 9})
	four, three := economyOf(n, Four, notes), economyOf(n, Three, notes)
	assert.Equal(t, Cost{1, 1, n.StretchMM(5, 4)}, four.Fewest())
	assert.Equal(t, 1, four.LeastTravel())
	assert.Equal(t, Cost{1, 2, n.StretchMM(5, 3)}, three.Fewest())
	assert.Equal(t, 2, three.LeastTravel())
	assert.Equal(t, 5, mustPlay(t, n, Three, notes, []int{5, 6, 6, 6, 7}, []int{1, 1, 2, 3, 3}))
}

// mustPlay checks that a hand at these positions puts these fingers (counted
// within the system from 1) on the notes and returns the number of notes.
func mustPlay(t *testing.T, n Neck, s System, notes []Note, positions, nth []int) int {
	t.Helper()
	for i, note := range notes {
		fret, ok := n.Fret(note.Pitch, note.String)
		require.True(t, ok)
		require.Equal(t, fret, positions[i]+s.Fingers[nth[i]-1].Offset, "note %d", i)
	}
	return len(notes)
}

// Source: common practice: all twelve notes of one region of a neck in fourths
// take five frets, so one finger a fret needs one shift of one fret.
func TestEconomy_TwelveNotesOfOneRegion(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 24)
	var at []Place
	for s := 4; s >= 1; s-- {
		for f := 5; f <= 9; f++ {
			at = append(at, Place{s, f})
		}
	}
	pitches := map[int]bool{}
	for _, p := range at {
		pitches[n.Pitch(p)%12] = true
	}
	require.Len(t, pitches, 12)
	// Up one string and down the next, the hand moves once on each.
	var turning []Place
	for s := range 4 {
		five := slices.Clone(at[5*s : 5*s+5])
		if s%2 == 1 {
			slices.Reverse(five)
		}
		turning = append(turning, five...)
	}
	assert.Equal(t, Cost{4, 4, n.StretchMM(5, 4)}, economyOf(n, Four, places(n, turning...)).Fewest())
	assert.Equal(t, Cost{1, 1, n.StretchMM(5, 4)}, economyOf(n, Four, places(n, at[:5]...)).Fewest())
}

// Before the first fretted note nothing has happened; open strings and notes
// off the neck never count.
func TestEconomy_OpenStringsAskNothing(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	e := NewEconomy(n, Four)
	for _, pitch := range []int{28, 33, 38, 43, 12, 100, -3, 400} {
		e.Note(Note{Pitch: pitch})
		e.Note(Note{Pitch: pitch, String: 99})
		e.Note(Note{Pitch: pitch, String: -1})
	}
	assert.Zero(t, e.Position())
	assert.Equal(t, Cost{}, e.Fewest())
	assert.Zero(t, e.LeastTravel())
	for _, note := range places(n, Place{3, 3}, Place{3, 0}, Place{3, 12}, Place{4, 0}) {
		e.Note(note)
	}
	assert.Equal(t, Cost{1, 6, n.StretchMM(3, 4)}, e.Fewest())
	assert.Equal(t, 9, e.Position())
}

// A pitch told on a string that does not have it counts as untold.
func TestEconomy_WrongStringIsNoString(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := []Note{{Pitch: 36, String: 1}, {Pitch: 29, String: 2}, {Pitch: 40, String: 5}}
	untold := line(36, 29, 40)
	assert.Equal(t, economyOf(n, Four, untold).Fewest(), economyOf(n, Four, notes).Fewest())
}

// A2 and B2 lie on the G string at frets 2 and 4. Struck together each needs a
// string of its own: D fret 7 and G fret 4, which four fingers hold from
// position 4 and three cannot hold, so that for them the two notes count one
// after another. Counted by hand.
func TestEconomy_GripNeedsAStringForEachNote(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := append(places(n, Place{3, 2}, Place{3, 4}, Place{3, 2}), line(45, 47)...)
	for i := range notes {
		notes[i].At = time.Duration(i) * time.Second
	}
	for _, c := range []struct {
		name        string
		late        time.Duration
		sounding    bool
		four, three Cost
	}{
		{"struck together", gripWindow, true, Cost{1, 2, n.StretchMM(2, 4)}, Cost{0, 0, n.StretchMM(2, 3)}},
		{"first released", gripWindow, false, Cost{0, 0, n.StretchMM(2, 4)}, Cost{0, 0, n.StretchMM(2, 3)}},
		{"too late", gripWindow + time.Millisecond, true, Cost{0, 0, n.StretchMM(2, 4)}, Cost{0, 0, n.StretchMM(2, 3)}},
	} {
		notes[4].At, notes[4].Sounding = notes[3].At+c.late, c.sounding
		assert.Equal(t, c.four, economyOf(n, Four, notes).Fewest(), c.name)
		assert.Equal(t, c.three, economyOf(n, Three, notes).Fewest(), c.name)
	}
}

// The declared system changes in mid-line: the hand stays and the counts go on.
func TestEconomy_SetSystemKeepsTheHand(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	e := NewEconomy(n, Four)
	e.SetSystem(Three)
	e.SetSystem(Four)
	for _, note := range places(n, Place{3, 2}, Place{3, 5}) {
		e.Note(note)
	}
	require.Equal(t, 2, e.Position())
	e.SetSystem(Three)
	for _, note := range places(n, Place{3, 3}, Place{3, 4}) {
		e.Note(note)
	}
	assert.Equal(t, Cost{0, 0, n.StretchMM(2, 4)}, e.Fewest())
	e.Note(places(n, Place{3, 5})[0])
	assert.Equal(t, Cost{1, 1, n.StretchMM(2, 4)}, e.Fewest())
	e.Reset()
	assert.Equal(t, Cost{}, e.Fewest())
	assert.Zero(t, e.Position())
	for _, note := range places(n, Place{3, 2}, Place{3, 5}) {
		e.Note(note)
	}
	assert.Equal(t, 1, e.Fewest().Shifts, "three fingers after Reset")
}

// Rule of the model (DEVELOPERS.md): the difference of the two systems changes at certain
// notes only, by one shift each time, and the changes add up to it. Regions
// book every change.
func TestEconomy_DifferencesTelescope(t *testing.T) {
	t.Parallel()
	for _, told := range []bool{true, false} {
		n := mustNeck(t, "E1 A1 D2 G2", 24)
		four, three, regions := NewEconomy(n, Four), NewEconomy(n, Three), NewRegions(n)
		before, changes := 0, 0
		for _, note := range wandering(n, 2000, told) {
			four.Note(note)
			three.Note(note)
			regions.Note(note, 1)
			difference := three.Fewest().Shifts - four.Fewest().Shifts
			require.GreaterOrEqual(t, difference, 0, "the window of four contains the window of three")
			require.LessOrEqual(t, max(difference-before, before-difference), 1)
			if difference != before {
				changes++
			}
			before = difference
		}
		require.Greater(t, changes, 50)
		var sum Region
		for _, at := range regions.All() {
			sum.Four += at.Four
			sum.Three += at.Three
		}
		assert.Equal(t, four.Fewest().Shifts, sum.Four)
		assert.Equal(t, three.Fewest().Shifts, sum.Three)
	}
}

// Sources: midiin reads files of at most 64 MiB;
// RP-001: a note takes three bytes of it at least, a delta time and, under running
// status, key and velocity. Each may move the hand over the longest neck.
func TestEconomy_HasRoomForTheLongestFile(t *testing.T) {
	t.Parallel()
	const notes = 64 << 20 / 3
	const travel = notes * (MaxFrets - 1)
	assert.Greater(t, unreached/shiftCost, notes)
	assert.Greater(t, shiftCost/fretCost, travel)
	assert.Greater(t, noteMask, notes)
	assert.Greater(t, mixedShiftCost/mixedFretCost, travel)
	assert.Greater(t, unreached/mixedShiftCost, rebaseAt+2, "no two hands differ by more shifts")
}

// Nothing is allocated per note, grips included.
func TestEconomy_AllocatesNothing(t *testing.T) {
	n := mustNeck(t, "E1 A1 D2 G2", 24)
	notes := wandering(n, 512, false)
	for i := range notes {
		notes[i].Sounding = i%3 == 0
	}
	four, loose, mixed, regions := NewEconomy(n, Four), NewAsYouGo(n, Four), NewMixed(n, 105), NewRegions(n)
	i := 0
	assert.Zero(t, testing.AllocsPerRun(2000, func() {
		note := notes[i%len(notes)]
		i++
		four.Note(note)
		four.Fewest()
		four.LeastTravel()
		four.Position()
		loose.Note(note)
		mixed.Note(note)
		mixed.Result()
		regions.Note(note, 1)
	}))
}

// A clone goes its own way, with another system too.
func TestEconomy_CloneLeavesTheOriginalAlone(t *testing.T) {
	t.Parallel()
	n := neckOf(4, 22)
	notes := wandering(n, 400, true)
	e := economyOf(n, Four, notes[:200])
	c := e.Clone()
	c.SetSystem(Three)
	both := economyOf(n, Four, notes[:200])
	both.SetSystem(Three)
	for _, note := range notes[200:] {
		e.Note(note)
		c.Note(note)
		both.Note(note)
	}
	assert.Equal(t, economyOf(n, Four, notes).Fewest(), e.Fewest())
	assert.Equal(t, both.Fewest(), c.Fewest())
	assert.NotEqual(t, e.Fewest(), c.Fewest())
}
