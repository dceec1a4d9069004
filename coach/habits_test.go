package coach

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// windowTake is a take of a hand that plays bound notes in windows of s and parts
// them where it moves. Like most lines it has more steps than leaps: within a
// window it goes no further than a fifth.
func windowTake(r *rand.Rand, n Neck, s System, count int, bound bool) []Note {
	var notes []Note
	position := 4
	at := time.Duration(0)
	for i := range count {
		note := Note{Velocity: 80, Sounding: bound}
		if !bound {
			note.Gap = 90 * tick
		}
		if i%9 == 8 {
			position = 2 + r.IntN(12)
			note.Sounding, note.Gap = false, 150*tick
		}
		p := Place{1 + r.IntN(n.Strings()), position + r.IntN(s.Width())}
		for i%9 != 8 && i > 0 && abs(n.Pitch(p)-notes[i-1].Pitch) > 7 {
			p = Place{1 + r.IntN(n.Strings()), position + r.IntN(s.Width())}
		}
		note.Pitch, note.String = n.Pitch(p), p.String
		at += 220 * tick
		note.At = at
		notes = append(notes, note)
	}
	notes[0].Gap, notes[0].Sounding = Rest, false
	return notes
}

func TestHabits_NothingLearntSaysNothing(t *testing.T) {
	t.Parallel()
	var h Habits
	assert.Zero(t, h.ShiftRate())
	assert.Zero(t, h.OpenShare())
	assert.Zero(t, h.Ahead())
	bound, silent := h.Touch()
	assert.Zero(t, bound)
	assert.Zero(t, silent)
	assert.Equal(t, Habits{}.Notes, NewTracker(fourStrings(t), Four, Habits{}).Habits().Notes)
	bound, silent = Habits{Bound: [boundBins]float64{3}}.Touch()
	assert.Equal(t, 1.0, bound)
	assert.Zero(t, silent, "no note is parted")
}

func TestHabits_TellTheUsualGapAndTheShiftRate(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, bound := range []bool{true, false} {
		tr := NewTracker(n, Four, Habits{})
		estimates(tr, windowTake(rand.New(rand.NewPCG(1, 1)), n, Four, 600, bound))
		h := tr.Habits()
		assert.InDelta(t, 600, h.Notes, 1e-9)
		assert.InDelta(t, 1.0/9*11/12, h.ShiftRate(), 0.03, "bound %v", bound)
		assert.Zero(t, h.OpenShare())
		share, silent := h.Touch()
		if bound {
			assert.Greater(t, share, 0.9, "one note in nine comes after a real gap")
		} else {
			assert.Less(t, share, 0.05)
			assert.InDelta(t, 90.0/220, silent, 1.0/partBins, "to the width of a bin")
		}
		assert.Greater(t, h.Ahead(), 0.5, "notes drawn from windows tell where the hand was before them")
		sum := 0.0
		for _, w := range h.Weight {
			sum += w
		}
		assert.InDelta(t, 1, sum, 1e-9)
	}
}

// What was learnt outlives a change of system, and any number of takes.
func TestHabits_AreKept(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	take := windowTake(rand.New(rand.NewPCG(3, 1)), n, Four, 300, true)
	tr := NewTracker(n, Four, Habits{})
	estimates(tr, take)
	before := tr.Habits()
	tr.SetSystem(Three)
	after := tr.Habits()
	assert.Equal(t, before.Notes, after.Notes)
	assert.InDelta(t, sum(before.Bound[:]), sum(after.Bound[:]), 1e-9)
	assert.InDelta(t, sum(before.Held[:]), sum(after.Held[:]), 1e-9)
	for k := range commonStyles {
		assert.InDelta(t, before.Free[k], after.Free[k], 1e-9)
		assert.InDelta(t, before.Moved[k], after.Moved[k], 1e-9)
	}
	h := Habits{}
	for range 12 {
		tr := NewTracker(n, Four, h)
		estimates(tr, take)
		h = tr.Habits()
		bound, _ := h.Touch()
		assert.Greater(t, bound, 0.9)
		known := NewTracker(n, Four, h).Habits()
		assert.InDelta(t, keptTouch, sum(known.Bound[:])+sum(known.Parted[:]), 4, "as much is kept of the touch, however many takes there were")
		assert.InDelta(t, keptTouch, sum(known.Ended[:])+sum(known.Held[:]), 4)
	}
}

// A style that a system does not have waits for one that does, in the same take
// and from take to take.
func TestHabits_KeepStylesThatASystemDoesNotHave(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	little := slices.IndexFunc(styles[:], func(st style) bool { return st.up == 1 && st.down == leaders })
	h := Habits{Notes: 5000}
	h.Weight[little], h.Weight[0] = 0.75, 0.25
	other := NewTracker(n, Three, h)
	estimates(other, windowTake(rand.New(rand.NewPCG(3, 1)), n, Three, 300, true))
	left := other.Habits()
	require.True(t, left.Valid())
	assert.InDelta(t, 1, sum(left.Weight[:]), 1e-9)
	next := NewTracker(n, Four, left)
	assert.Greater(t, next.weights[little], 0.65)
	other.SetSystem(Four)
	assert.Equal(t, next.weights, other.weights)
}

// A rival that begins anew cannot foretell its first note, and is not credited
// with it.
func TestRival_IsNotCreditedWithANoteItBeginsWith(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	take := windowTake(rand.New(rand.NewPCG(4, 1)), n, Four, rivalEvery+1, true)
	estimates(tr, take[:rivalEvery])
	r := *tr.rivals[0]
	tr.Note(take[rivalEvery])
	assert.Equal(t, r.log, tr.rivals[0].log)
	assert.Equal(t, r.own, tr.rivals[0].own)
}

// In each stretch a rival begins anew and first finds the hand: until then
// neither is credited.
func TestRival_FindsTheHandBeforeItIsHeard(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	take := windowTake(rand.New(rand.NewPCG(4, 1)), n, Four, rivalEvery+rivalBurst+1, true)
	r := tr.rivals[0]
	for i, note := range take {
		tr.Note(note)
		if i == rivalEvery {
			assert.Equal(t, *tr.melody, *r.tracker.melody)
			assert.Greater(t, r.tracker.relay, r.tracker.heard+rivalBurst, "laid with it, and not again before the next stretch")
		}
		switch own := &r.tracker.frame(r.tracker.count - 1).link; i {
		case 0, rivalEvery:
			assert.Equal(t, first, *own, "note %d", i)
		default:
			assert.NotEqual(t, first, *own, "note %d", i)
		}
		assert.Equal(t, max(0, min(i, rivalStart-1))+min(max(0, i+1-rivalEvery-rivalWarm), rivalBurst-rivalWarm), r.heard, "note %d", i)
	}
}

// A rival's styles wake too, though the note at which they do is the first that it
// hears anew.
func TestRival_WakesItsStyles(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	r := tr.rivals[0].tracker
	slept := false
	for _, note := range windowTake(rand.New(rand.NewPCG(4, 1)), n, Four, ((2*napEvery-rivalStart)/rivalBurst+1)*rivalEvery+1, true) {
		tr.Note(note)
		slept = slept || len(r.awake) < commonStyles
	}
	assert.True(t, slept)
	require.Equal(t, 2*napEvery+1, r.notes)
	assert.Len(t, r.awake, len(r.everyone))
	assert.Len(t, r.frame(r.count-1).ears, len(r.everyone))
}

// A declaration made on the way is judged as soon as one made before, and a
// wrong one stays named however long the take.
func TestTracker_LooksAfterASwap(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	const before = 300
	tr := NewTracker(n, Four, Habits{})
	for i, note := range followingTake(rand.New(rand.NewPCG(5, 0)), n, Four, before+6*rivalEvery) {
		if i == before {
			tr.SetSystem(Three)
		}
		tr.Note(note)
		if i >= before+2*looksNotes {
			got, ok := tr.Looks()
			require.True(t, ok, "note %d", i)
			require.Equal(t, Four.Name, got.Name)
		}
	}
}

// The hand can move while an open string rings, so that the gap after it says
// less.
func TestMovesHeard_ReadsAGapAfterAnOpenStringFaintly(t *testing.T) {
	t.Parallel()
	var m movesHeard
	m.read([moveClasses]float64{0.5, 0.1, 0.9})
	assert.Equal(t, [moveClasses]float64{0.5, 0.1, 0.9}, m[0])
	assert.InDeltaSlice(t, []float64{0.5, openGap*0.1 + (1-openGap)*0.5, openGap*0.9 + (1-openGap)*0.5}, m[1][:], 1e-12)
}

// Beside an edge a product may be rounded over it.
func TestPartBin_IsTheBinThatItsEdgesTell(t *testing.T) {
	t.Parallel()
	for i, edge := range partEdges[:partBins] {
		assert.Equal(t, i, partBin(edge))
		assert.Equal(t, i, partBin(math.Nextafter(edge, 1)))
		assert.Equal(t, max(0, i-1), partBin(math.Nextafter(edge, 0)), "below %g", edge)
	}
	assert.Equal(t, partBins-1, partBin(1))
}

// What was learnt of the touch comes into force whichever note's turn it is, the
// second of a double stop included, which teaches none.
func TestTracker_LaysTheTouchOfDoubleStops(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, alone := range []int{0, 1} {
		tr := NewTracker(n, Four, Habits{})
		for i := range alone + 2*4*touchOften {
			note := Note{At: time.Duration(300*i) * tick, Gap: 50 * tick, Pitch: n.Pitch(Place{3, 5}), String: 3}
			if i >= alone && (i-alone)%2 == 1 {
				note = Note{At: time.Duration(300*(i-1)+5) * tick, Sounding: true, Pitch: n.Pitch(Place{2, 7}), String: 2}
			}
			tr.Note(note)
		}
		tr.End()
		touch := tr.touches[tr.leading()]
		laid := touch.asParted.n
		touch.lay()
		assert.Greater(t, laid, 0.9*touch.asParted.n, "%d notes before", alone)
	}
}

// A gap is the longer of two: worked by hand for a touch and a move that are
// even over one bin each.
func TestTouch_ReadsAGapAsTheLongerOfTwo(t *testing.T) {
	t.Parallel()
	var player touch
	player.parted[4] = 1e9  // silent for 20 to 25 per cent: 50 to 62.5 of 250 ms
	player.need[0][5] = 1e9 // 55 to 75 ms
	player.shown = 1e12
	player.lay()
	var r reading
	player.read(&r, gap{silent: 60, between: 250}, 0, 1e9)
	assert.InDelta(t, 1/12.5, r.like[0], 1e-4, "a share of its bin")
	assert.InDelta(t, 1/12.5*5/20+1.0/20*10/12.5, r.like[1], 1e-4, "the touch with the move done in time, or the move with the touch done before")
	assert.InDelta(t, (1.0/20*10/12.5)/r.like[1], r.needed[0], 1e-3)
}

// followingTake is a take of a hand of s that follows a line of steps: it moves
// only when it must, no further than it must, and leaves a gap only then.
func followingTake(r *rand.Rand, n Neck, s System, count int) []Note {
	place, position := Place{2, 7}, 6
	var places []Place
	var moved []bool
	for range count {
		next := Place{place.String + r.IntN(3) - 1, place.Fret + r.IntN(7) - 3}
		for next.String < 1 || next.String > n.Strings() || next.Fret < 3 || next.Fret > 14 || next == place {
			next = Place{place.String + r.IntN(3) - 1, place.Fret + r.IntN(7) - 3}
		}
		place = next
		to := min(max(position, place.Fret-s.Width()+1), place.Fret)
		places, moved = append(places, place), append(moved, to != position)
		position = to
	}
	notes := lineAt(n, true, places...)
	for i := range notes[1:] {
		notes[i+1].Gap = time.Duration(r.IntN(6)) * tick
		if moved[i+1] {
			notes[i+1].Gap = time.Duration(70+r.IntN(60)) * tick
		}
	}
	return notes
}

func TestTracker_LooksLikeTheSystemThatPlays(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	for _, played := range Systems {
		for _, declared := range Systems {
			tr := NewTracker(n, declared, Habits{})
			estimates(tr, followingTake(rand.New(rand.NewPCG(5, 1)), n, played, 1200))
			got, ok := tr.Looks()
			assert.Equal(t, played.Name != declared.Name, ok, "%s declared, %s played", declared.Name, played.Name)
			if ok {
				assert.Equal(t, played.Name, got.Name)
			}
			if played.Name != declared.Name {
				right := NewTracker(n, played, Habits{})
				estimates(right, followingTake(rand.New(rand.NewPCG(5, 1)), n, played, 1200))
				assert.Greater(t, right.LogLikelihood(), tr.LogLikelihood(), "a wrong declaration shows as low likelihood")
			}
		}
	}
}

// A third system needs no new code, even one whose fingers leave frets out.
func TestTracker_TakesAnySystem(t *testing.T) {
	t.Parallel()
	spread := System{"spread", []Finger{{1, 0}, {4, 4}}}
	n := fourStrings(t)
	got := estimates(NewTracker(n, spread, Habits{}), lineAt(n, true, Place{2, 5}, Place{2, 9}, Place{3, 5}, Place{3, 9}))
	for _, e := range got[1:] {
		assert.Equal(t, 5, e.Position)
	}
	short := Neck{Open: []int{40, 35}, Frets: 3, ScaleMM: 800}
	for _, e := range estimates(NewTracker(short, spread, Habits{}), lineAt(short, true, Place{1, 2}, Place{2, 3}, Place{1, 1})) {
		assert.Equal(t, 1, e.Position)
	}
}

// What is damaged or made up gives no answer that is no number: it is not valid, or
// the hand is followed with it, and what is left after it is valid again.
func TestHabits_AtTheirBoundsGiveNumbers(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	r := rand.New(rand.NewPCG(5, 1))
	take := windowTake(r, n, Four, 60, true)
	some := []float64{0, 5e-324, 1e-3, 1, 300, mostHeard / 2}
	for i := range 150 {
		var h Habits
		for _, counts := range habitCounts(&h) {
			for _, count := range counts {
				*count = some[r.IntN(len(some))]
			}
		}
		h.Shifts, h.Open = min(h.Shifts, h.Notes), min(h.Open, h.Notes)
		h.Weight = [len(styles)]float64{}
		h.Weight[r.IntN(len(styles))] = float64(r.IntN(2))
		for k := range h.Moved {
			h.Moved[k] = min(h.Moved[k], h.Free[k])
		}
		require.True(t, h.Valid())
		tr := NewTracker(n, Systems[i%2], h)
		for _, e := range estimates(tr, take) {
			require.True(t, e.Moved >= 0 && e.Moved <= 1+1e-9, "%v after %+v", e.Moved, h)
		}
		require.True(t, tr.Habits().Valid(), "%+v", tr.Habits())
	}
}

// habitCounts are the numbers of h, field by field.
func habitCounts(h *Habits) [][]*float64 {
	all := [][]*float64{{&h.Notes, &h.Shifts, &h.Open}}
	for _, counts := range [][]float64{
		h.Bound[:], h.Parted[:], h.NearTimes[:], h.FarTimes[:], h.Ended[:], h.Held[:], h.Weight[:], h.Free[:], h.Moved[:],
	} {
		var field []*float64
		for i := range counts {
			field = append(field, &counts[i])
		}
		all = append(all, field)
	}
	return all
}

func TestHabits_ThatNobodyLeftAreNotValid(t *testing.T) {
	t.Parallel()
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 1e11, 1e308} {
		for field := range habitCounts(&Habits{}) {
			h := Habits{Notes: 10}
			counts := habitCounts(&h)[field]
			*counts[len(counts)-1] = bad
			assert.False(t, h.Valid(), "%v in field %d", bad, field)
		}
	}
	for _, h := range []Habits{{Notes: 1, Shifts: 2}, {Notes: 1, Open: 2}, {Notes: 1, Moved: [len(styles)]float64{1}}, {Weight: [len(styles)]float64{1, 1}}} {
		assert.False(t, h.Valid(), "%+v", h)
	}
	assert.True(t, Habits{}.Valid())
}
