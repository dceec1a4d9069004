package coach

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// played is a note with the position of the hand that played it, surely.
func played(a *Adviser, i int, n Note, position int, moved float64) (Advice, bool) {
	e := Estimate{Note: i, At: n.At, Position: position, Probability: 1, Moved: moved, Settled: true}
	if n.String > 0 {
		e.Place, e.PlaceProbability = Place{n.String, n.Pitch - a.own.neck.Open[n.String-1]}, 1
	}
	return a.Add(n, e)
}

// told plays notes as one passage with a hand at these positions and returns
// what is said when it ends.
func told(t *testing.T, a *Adviser, notes []Note, positions ...int) (Advice, bool) {
	t.Helper()
	require.Len(t, positions, len(notes))
	for i, n := range notes {
		moved := 0.0
		if i > 0 && positions[i] != positions[i-1] {
			moved = 1
		}
		said, ok := played(a, 100+i, n, positions[i], moved)
		require.False(t, ok, "note %d: %s", i, said.Text)
	}
	return a.Close()
}

// fourFrets is E string 5 and 8, A string 5 and 8: one window of four, and a
// shift for three at every change.
func fourFrets(n Neck) []Note {
	return places(n, Place{4, 5}, Place{4, 8}, Place{3, 5}, Place{3, 8})
}

// Rule of the model (DEVELOPERS.md): to a three-finger player the other system saves moves.
// Counted by hand: three fingers reach 5 and 8 from no window, so each of the
// three changes is a shift; four stay at 5. 34 in, frets 5 to 8: 103 mm.
func TestAdviser_SpeaksForTheOtherSystem(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	said, ok := told(t, NewAdviser(n, Three, 0), fourFrets(n), 5, 6, 5, 6)
	require.True(t, ok)
	assert.Equal(t, "Four fingers in window 5 to 8: no shift instead of 3. From A1 to F2 with 1-2-3-4, stretch 103 mm (reach unknown).", said.Text)
	path := said.Path
	said.Text, said.Path = "", nil
	assert.Equal(t, Advice{First: 100, Last: 103, Kind: AdviceSystem, System: "four", ShiftsNow: 3, ShiftsThen: 0,
		StretchMM: n.StretchMM(5, 4), WithinReach: true}, said)
	assert.Equal(t, []Step{{100, Place{4, 5}, 1, 5}, {101, Place{4, 8}, 4, 5}, {102, Place{3, 5}, 1, 5}, {103, Place{3, 8}, 4, 5}}, path)

	said, ok = told(t, NewAdviser(n, Three, 105), fourFrets(n), 5, 6, 5, 6)
	require.True(t, ok)
	assert.True(t, said.WithinReach)
	assert.Equal(t, "Four fingers in window 5 to 8: no shift instead of 3. From A1 to F2 with 1-2-3-4, stretch 103 mm (your reach: 105).", said.Text)
}

// Rule of the model (DEVELOPERS.md): beyond reach, say so and do not recommend. The strings
// are not told: no other place of these pitches is any better for three.
func TestAdviser_DoesNotRecommendBeyondReach(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 8)
	notes := places(n, Place{4, 1}, Place{4, 4}, Place{4, 1}, Place{4, 4})
	said, ok := told(t, NewAdviser(n, Three, 105), notes, 1, 2, 1, 2)
	require.True(t, ok)
	assert.Equal(t, AdviceSystem, said.Kind)
	assert.False(t, said.WithinReach)
	assert.Equal(t, "Four fingers in window 1 to 4: no shift instead of 3, but the stretch is 130 mm and your reach 105. From F1 to Ab1 stay with three.", said.Text)
}

// A smaller saving within reach is worth more than a larger one beyond it.
func TestAdviser_PrefersWindowsWithinReach(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	// Three: 4, 7, 4, 7 on one string and 9, 12, 9 on the next: six shifts.
	// Four: two windows, 4 to 7 (109 mm) and 9 to 12 (82 mm), one shift. Within
	// 105 mm fret 4 and fret 7 need windows of their own: four shifts.
	notes := places(n, Place{4, 4}, Place{4, 7}, Place{4, 4}, Place{4, 7}, Place{3, 9}, Place{3, 12}, Place{3, 9})
	said, ok := told(t, NewAdviser(n, Three, 0), notes, 4, 5, 4, 5, 9, 10, 9)
	require.True(t, ok)
	assert.Equal(t, [2]int{6, 1}, [2]int{said.ShiftsNow, said.ShiftsThen})
	a := NewAdviser(n, Three, 105)
	require.NotContains(t, positionsOf(a.otherReach), 4)
	said, ok = told(t, a, notes[2:], 4, 5, 9, 10, 9)
	require.True(t, ok)
	assert.True(t, said.WithinReach, said.Text)
	assert.LessOrEqual(t, said.StretchMM, 105.0)
}

func positionsOf(m uint64) (all []int) {
	for p := range 64 {
		if m>>p&1 == 1 {
			all = append(all, p)
		}
	}
	return all
}

// Rule of the model (DEVELOPERS.md): place: the own system does it with fewer shifts in
// another place. The hand moved twice, one window would have done.
func TestAdviser_ShowsABetterPlace(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	notes := places(n, Place{4, 7}, Place{4, 8}, Place{3, 5}, Place{4, 8})
	said, ok := told(t, NewAdviser(n, Four, 0), notes, 7, 7, 4, 7)
	require.True(t, ok)
	assert.Equal(t, AdvicePlace, said.Kind)
	assert.Equal(t, "four", said.System)
	assert.Equal(t, [2]int{2, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
	assert.Equal(t, "Window 5 to 8: no shift instead of 2. From B1 to C2, begin with finger 3 on the E string at fret 7.", said.Text)

	// Two sure moves and one doubtful one: the doubtful one is not held against
	// the player.
	a := NewAdviser(n, Four, 0)
	for i, note := range notes {
		_, ok := played(a, i, note, 5, []float64{0, 0.85, 0.85, 0.85}[i])
		require.False(t, ok)
	}
	_, ok = a.Close()
	assert.False(t, ok)
	for i, note := range notes {
		e := Estimate{Note: i, Sure: i == 2}
		_, ok := a.Add(note, e)
		require.False(t, ok)
	}
	said, ok = a.Close()
	require.True(t, ok)
	assert.Equal(t, [2]int{1, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
}

// The same pitches may lie together on other strings.
func TestAdviser_ShowsOtherStrings(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	// C2 E2 G2 C2 on the E string alone lie at frets 8 12 15 8, two shifts at
	// least; on the A and D strings at 3, 2 and 5, or at 15 and 14 and 17.
	notes := places(n, Place{4, 8}, Place{4, 12}, Place{4, 15}, Place{4, 8})
	said, ok := told(t, NewAdviser(n, Four, 0), notes, 8, 12, 12, 8)
	require.True(t, ok)
	assert.Equal(t, AdvicePlace, said.Kind)
	assert.Equal(t, [2]int{2, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
	assert.True(t, strings.HasPrefix(said.Text, "Other strings, window "), said.Text)

	// G2 and D2, stopped high up on the E string, are also the open strings.
	notes = places(n, Place{4, 15}, Place{4, 10}, Place{4, 15})
	said, ok = told(t, NewAdviser(n, Four, 0), notes, 12, 10, 12)
	require.True(t, ok)
	assert.Equal(t, "Other strings, open strings alone: no shift instead of 2. From G2 to G2.", said.Text)
}

// Rule of the model (DEVELOPERS.md): relief: three fingers, no more shifts, less stretch, low
// on the neck. 34 in, frets 2 to 5 (where 2 to 4 would do): 122 mm and 84 mm.
func TestAdviser_OffersRelief(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	low := places(n, Place{4, 2}, Place{4, 4}, Place{3, 2}, Place{3, 4})
	high := places(n, Place{4, 12}, Place{4, 14}, Place{3, 12}, Place{3, 14})
	a := NewAdviser(n, Four, 0)
	said, ok := told(t, a, low, 2, 2, 2, 2)
	require.True(t, ok)
	assert.Equal(t, AdviceRelief, said.Kind)
	assert.Equal(t, "three", said.System)
	assert.Equal(t, [2]int{0, 0}, [2]int{said.ShiftsNow, said.ShiftsThen})
	assert.Equal(t, "Three fingers are enough in window 2 to 4: 84 mm instead of 122. From F#1 to C#2 with 1-2-4 and no more shifts.", said.Text)

	_, ok = told(t, a, low, 2, 2, 2, 2)
	assert.False(t, ok, "the same relief twice running")
	_, ok = told(t, a, high, 12, 12, 12, 12)
	assert.False(t, ok, "high up no window is wide")
	_, ok = told(t, NewAdviser(n, Three, 0), low, 2, 2, 2, 2)
	assert.False(t, ok, "three fingers have no relief to offer from four")
	_, ok = told(t, NewAdviser(n, Four, 0), places(n, Place{4, 2}, Place{4, 3}, Place{3, 2}, Place{3, 3}), 2, 2, 2, 2)
	assert.False(t, ok, "two frets do not stretch any hand")
	_, ok = told(t, NewAdviser(n, Four, 0), low[:3], 2, 2, 2)
	assert.False(t, ok, "three notes are too few")
	for lowest, wide := range map[int]bool{5: true, 6: false} { // alone where four play it narrowest
		_, ok = told(t, NewAdviser(n, Four, 0), places(n, Place{4, lowest}, Place{4, lowest + 2}, Place{3, lowest}, Place{3, lowest + 2}), lowest, lowest, lowest, lowest)
		assert.Equal(t, wide, ok, "reach not known, from fret %d", lowest)
	}
	one := mustNeck(t, "E1", 22)
	_, ok = told(t, NewAdviser(one, Four, 0), places(one, Place{1, 2}, Place{1, 4}, Place{1, 2}, Place{1, 11}), 2, 2, 2, 11)
	assert.True(t, ok, "one of its windows is low")
	_, ok = told(t, NewAdviser(n, Four, 140), low, 2, 2, 2, 2)
	assert.False(t, ok, "well within this player's reach")
	_, ok = told(t, NewAdviser(n, Four, 80), high, 12, 12, 12, 12)
	assert.False(t, ok, "69 mm are not wide for 80")
	_, ok = told(t, NewAdviser(n, Four, 72), high, 12, 12, 12, 12)
	assert.True(t, ok, "69 mm are wide for 72")
}

// Rule of the model (DEVELOPERS.md): where pitch does not tell, say so: no relief for a hand
// whose place is in doubt.
func TestAdviser_OffersNoReliefOnDoubt(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	low := places(n, Place{4, 2}, Place{4, 4}, Place{3, 2}, Place{3, 4})
	for _, probability := range []float64{0.79, 0.8} {
		a := NewAdviser(n, Four, 0)
		for i, note := range low {
			e := Estimate{Note: i, Position: 2, Place: Place{note.String, note.Pitch - n.Open[note.String-1]}, PlaceProbability: probability}
			note.String = 0
			_, ok := a.Add(note, e)
			require.False(t, ok)
		}
		_, ok := a.Close()
		assert.Equal(t, probability >= 0.8, ok)
	}
}

// Counted alone, four never needs more shifts than three: a four-finger player
// whose hand made no needless move hears nothing of moves.
func TestAdviser_SaysNothingWhereNothingIsToSay(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	_, ok := told(t, NewAdviser(n, Four, 0), fourFrets(n), 5, 5, 5, 5)
	assert.False(t, ok)
	_, ok = NewAdviser(n, Four, 0).Close()
	assert.False(t, ok, "no note at all")
	_, ok = told(t, NewAdviser(n, Three, 0), append(places(n, Place{4, 0}, Place{3, 0}), fourFrets(n)[:2]...), 5, 5, 5, 6)
	assert.False(t, ok, "two fretted notes are no passage")
}

// Rule of the model (DEVELOPERS.md): passages end at gaps over 400 ms and after 24 notes.
func TestAdviser_SplitsPassages(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Three, 0)
	var said []Advice
	add := func(i int, gap time.Duration) {
		note := fourFrets(n)[i%4]
		note.Gap = gap
		if s, ok := played(a, i, note, 5, 0); ok {
			said = append(said, s)
		}
	}
	for i := range 4 {
		add(i, PassageGap)
	}
	require.Empty(t, said, "400 ms are not over 400 ms")
	add(4, PassageGap+1)
	require.Len(t, said, 1)
	assert.Equal(t, [2]int{0, 3}, [2]int{said[0].First, said[0].Last})
	for i := 5; i < 27; i++ {
		add(i, 0)
	}
	require.Len(t, said, 1)
	add(27, 0)
	require.Len(t, said, 1, "what comes next may be a rest")
	add(28, 0)
	require.Len(t, said, 2)
	assert.Equal(t, [2]int{4, 27}, [2]int{said[1].First, said[1].Last})
	assert.Len(t, said[1].Path, 24)
	_, ok := a.Close()
	assert.False(t, ok, "one note is no passage")

	for i := 28; i < 32; i++ {
		add(i, 0)
	}
	a.SetSystem(Four)
	_, ok = a.Close()
	assert.False(t, ok, "a passage with both systems is judged by neither")
	for i := 32; i < 36; i++ {
		add(i, 0)
	}
	_, ok = a.Close()
	assert.False(t, ok, "four fingers need nothing else here")
}

// Whatever is played, whatever the tracker says of it: what the advice claims
// is true. Costs are those of Economy and of the path itself.
func TestAdviser_ClaimsOnlyWhatIsTrue(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(41, 42))
	kinds := map[AdviceKind]int{}
	beyond := 0
	for range 6000 {
		n := neckOf(4+r.IntN(2), 12+r.IntN(12))
		own, reach := Systems[r.IntN(2)], []float64{0, 90, 105, 120}[r.IntN(4)]
		from, length := r.IntN(50), 3+r.IntN(12)
		notes := wandering(n, 80, r.IntN(2) == 0)
		if r.IntN(2) == 0 {
			notes = settled(n, 80, r.IntN(2) == 0)
		}
		notes = notes[from : from+length]
		a := NewAdviser(n, own, reach)
		moves, started := 0, false
		for i, note := range notes {
			e := Estimate{Note: i + 7, Position: 1 + r.IntN(n.Frets), Sure: r.IntN(30) == 0}
			if r.IntN(4) == 0 {
				e.Moved = r.Float64()
			}
			if at := n.Places(nil, note.Pitch); len(at) > 0 {
				e.Place, e.PlaceProbability = at[r.IntN(len(at))], 0.6+0.4*r.Float64()
			}
			if started && (e.Sure || e.Moved >= 0.9) {
				moves++
			}
			started = started || e.Place.Fret > 0
			_, ok := a.Add(note, e)
			require.False(t, ok)
		}
		said, ok := a.Close()
		if !ok {
			continue
		}
		kinds[said.Kind]++
		s, err := ParseSystem(said.System)
		require.NoError(t, err)
		fewest := economyOf(n, own, notes).Fewest().Shifts

		require.Equal(t, [2]int{7, 6 + len(notes)}, [2]int{said.First, said.Last})
		require.Equal(t, max(moves, fewest), said.ShiftsNow)
		require.Len(t, said.Path, len(notes))
		asked := make([]Note, len(notes))
		steps := make([]Step, len(notes))
		for i, step := range said.Path {
			require.Equal(t, i+7, step.Note)
			asked[i] = Note{Pitch: notes[i].Pitch}
			step.Note = i
			steps[i] = step
		}
		cost := costOf(t, n, s, groups(n, asked, func(int) System { return s }, fitsSomewhere(n)), steps)
		require.Equal(t, said.ShiftsThen, cost.Shifts)
		require.Equal(t, reach == 0 || math.Round(said.StretchMM) <= math.Round(reach), said.WithinReach)
		require.Contains(t, said.Text, ".")

		switch said.Kind {
		case AdviceSystem:
			require.Equal(t, own.Other().Name, said.System)
			require.Less(t, said.ShiftsThen, fewest)
			require.Equal(t, Three.Name, own.Name, "four never needs more shifts than three")
			if !said.WithinReach {
				beyond++
				require.Contains(t, said.Text, "stay with three")
			}
		case AdvicePlace:
			require.Equal(t, own.Name, said.System)
			require.Less(t, said.ShiftsThen, said.ShiftsNow)
			require.True(t, said.WithinReach)
		case AdviceRelief:
			require.Equal(t, Three.Name, said.System)
			require.LessOrEqual(t, said.ShiftsThen, said.ShiftsNow)
		}
	}
	for _, kind := range []AdviceKind{AdviceSystem, AdvicePlace, AdviceRelief} {
		assert.Greater(t, kinds[kind], 10, kind)
	}
	assert.Greater(t, beyond, 20)
}

// A passage in one window without a needless move costs no memory.
func TestAdviser_AllocatesNothingWhenSilent(t *testing.T) {
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	a := NewAdviser(n, Four, 0)
	notes := fourFrets(n)
	i := 0
	assert.Zero(t, testing.AllocsPerRun(1000, func() {
		a.Add(notes[i%len(notes)], Estimate{Note: i, Position: 5})
		i++
	}))
}
