package coach

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func fourStrings(t testing.TB) Neck {
	t.Helper()
	n, err := ParseNeck("bass4")
	require.NoError(t, err)
	return n
}

const tick = time.Millisecond

// lineAt is notes at places, a quarter of a second apart, with gaps of 40 ms.
func lineAt(n Neck, known bool, places ...Place) []Note {
	notes := make([]Note, len(places))
	for i, p := range places {
		notes[i] = Note{At: time.Duration(i) * 250 * tick, Gap: 40 * tick, Pitch: n.Pitch(p), Velocity: 90}
		if known {
			notes[i].String = p.String
		}
	}
	notes[0].Gap = Rest
	return notes
}

func estimates(t *Tracker, notes []Note) []Estimate {
	for _, n := range notes {
		t.Note(n)
	}
	t.End()
	return t.Settled(nil)
}

// noise is a line of every kind of note an input can bring, sense or not.
func noise(r *rand.Rand, n Neck, count int) []Note {
	notes := make([]Note, count)
	at := time.Duration(0)
	pitch := n.Open[0]
	for i := range notes {
		if i > 0 {
			at += time.Duration(r.IntN(300)) * tick
			if r.IntN(12) == 0 {
				at += time.Duration(r.IntN(2000)) * tick
			}
			if r.IntN(10) == 0 {
				at = notes[i-1].At + time.Duration(r.IntN(25))*tick
			}
		}
		note := Note{At: at, Gap: time.Duration(r.IntN(300)) * tick, Velocity: 1 + r.IntN(127), Sounding: r.IntN(3) == 0}
		if note.Sounding {
			note.Gap = 0
		}
		step := r.IntN(15) - 7
		pitch = min(127, max(0, pitch+step))
		switch r.IntN(20) {
		case 0:
			pitch = r.IntN(128)
		case 1:
			note.Slide = step
		case 2:
			note.Slide = r.IntN(60) - 30
		}
		note.Pitch = pitch
		if r.IntN(2) == 0 {
			note.String = r.IntN(n.Strings()+3) - 1
		}
		notes[i] = note
	}
	return notes
}

func necks(t *testing.T) []Neck {
	four := fourStrings(t)
	capo, err := four.WithCapo(3)
	require.NoError(t, err)
	drop, err := ParseNeck("D1 A1 D2 G2")
	require.NoError(t, err)
	return []Neck{
		four, capo, drop,
		{Open: []int{67, 62, 57, 52, 47, 42, 37, 32}, Frets: 36, ScaleMM: 900},
		{Open: []int{40}, Frets: 12, ScaleMM: 500},
		{Open: []int{45, 40}, Frets: 1, ScaleMM: 500},
		{Open: []int{28, 45, 33}, Frets: 14, ScaleMM: 700}, // strings out of order
	}
}

func TestTracker_SettlesAfterTwoNotesOrTwoSeconds(t *testing.T) {
	t.Parallel()
	tr := NewTracker(fourStrings(t), Four, Habits{})
	_, ok := tr.Deadline()
	assert.False(t, ok)
	assert.Zero(t, tr.Newest())
	tr.Note(Note{At: 0, Gap: Rest, Pitch: 36, String: 3})
	tr.Note(Note{At: 100 * tick, Pitch: 38, String: 3})
	assert.Empty(t, tr.Settled(nil))
	tr.Note(Note{At: 200 * tick, Pitch: 40, String: 2})
	got := tr.Settled(nil)
	require.Len(t, got, 1)
	assert.Equal(t, 0, got[0].Note)
	assert.True(t, got[0].Settled)
	at, ok := tr.Deadline()
	assert.True(t, ok)
	assert.Equal(t, 2100*tick, at)
	tr.Advance(2099 * tick)
	assert.Empty(t, tr.Settled(nil))
	pending := tr.Pending(nil)
	require.Len(t, pending, 2)
	assert.False(t, pending[0].Settled)
	assert.Equal(t, pending[1], tr.Newest())
	tr.Advance(2100 * tick)
	assert.Len(t, tr.Settled(nil), 1)
	tr.End()
	got = tr.Settled(nil)
	require.Len(t, got, 1)
	assert.Equal(t, got[0], tr.Newest())
}

// Two takes that are alike up to two seconds after a note give the same answer for it.
func TestTracker_LateNotesTellNothingOfSettledOnes(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	notes := lineAt(n, true, Place{2, 5}, Place{2, 7}, Place{1, 5})
	notes[2].At = notes[1].At + settleAfter
	other := append([]Note{}, notes...)
	other[2].Pitch, other[2].String = n.Pitch(Place{4, 15}), 4
	a, b := estimates(NewTracker(n, Four, Habits{}), notes), estimates(NewTracker(n, Four, Habits{}), other)
	assert.Equal(t, a[:2], b[:2])
	other[2].At -= tick
	c := estimates(NewTracker(n, Four, Habits{}), other)
	assert.NotEqual(t, a[1].Probability, c[1].Probability, "a note in time must tell something")
}

func TestTracker_AnswersDoNotDependOnTicks(t *testing.T) {
	t.Parallel()
	for i, n := range necks(t) {
		for _, s := range Systems {
			r := rand.New(rand.NewPCG(uint64(i), 1))
			notes := noise(r, n, 600)
			notes[0].Pitch = 127 // nowhere on the neck
			batch, live := NewTracker(n, s, Habits{}), NewTracker(n, s, Habits{})
			want := estimates(batch, notes)
			var got []Estimate
			now := time.Duration(0)
			for _, note := range notes {
				for now < note.At {
					now = min(note.At, now+time.Duration(1+r.IntN(200))*tick)
					if at, ok := live.Deadline(); ok && r.IntN(2) == 0 {
						live.Advance(min(at, now))
					}
					live.Advance(now)
					live.Newest()
					live.Pending(nil)
					live.Expected()
				}
				live.Note(note)
				got = live.Settled(got)
			}
			live.End()
			got = live.Settled(got)
			assert.Equal(t, want, got)
			assert.Equal(t, batch.Expected(), live.Expected())
			assert.Equal(t, batch.LogLikelihood(), live.LogLikelihood())
			assert.Equal(t, batch.Habits(), live.Habits())
		}
	}
}

func TestTracker_EstimatesAreSound(t *testing.T) {
	t.Parallel()
	for i, n := range necks(t) {
		for _, s := range Systems {
			tr := NewTracker(n, s, Habits{})
			notes := noise(rand.New(rand.NewPCG(uint64(i), 2)), n, 1500)
			positions := n.Positions(s.Width())
			sum, found := 0.0, false
			for j, e := range estimates(tr, notes) {
				require.Equal(t, j, e.Note)
				require.True(t, e.Settled)
				places := n.Places(nil, notes[j].Pitch)
				found = found || len(places) > 0
				if !found {
					require.Zero(t, e.Position, "nothing to place was heard yet")
					continue
				}
				require.True(t, 1 <= e.Low && e.Low <= e.Position && e.Position <= e.High && e.High <= positions, "%+v", e)
				require.True(t, e.Probability > 0 && e.Probability <= 1, "%+v", e)
				require.True(t, e.Moved >= 0 && e.Moved <= 1, "%+v", e)
				require.Equal(t, e.Moved >= 0.5 && e.From != e.Position, e.From != e.Position, "%+v", e)
				if len(places) == 0 {
					require.Zero(t, e.Place)
					continue
				}
				require.Contains(t, places, e.Place)
				require.True(t, e.PlaceProbability > 0 && e.PlaceProbability <= 1, "%+v", e)
				if str := notes[j].String; str >= 1 && str <= n.Strings() {
					if _, ok := n.Fret(notes[j].Pitch, str); ok {
						require.Equal(t, str, e.Place.String, "a string told is taken")
						require.Equal(t, 1.0, e.PlaceProbability)
					}
				}
				sum += e.Moved
			}
			assert.InDelta(t, sum, tr.Expected(), 1e-9)
		}
	}
}

func TestTracker_AllocatesNothingInTheSteadyState(t *testing.T) {
	n := fourStrings(t)
	for _, known := range []bool{true, false} {
		tr := NewTracker(n, Four, Habits{})
		notes := benchLine(n, known)
		var settled []Estimate
		i := 0
		step := func() {
			tr.Note(notes[i%len(notes)])
			tr.Newest()
			settled = tr.Settled(settled[:0])
			i++
		}
		for range 64 {
			step()
		}
		assert.Zero(t, testing.AllocsPerRun(2000, step), "string known: %v", known)
	}
}

func TestNewTracker_PanicsOnMisuse(t *testing.T) {
	t.Parallel()
	assert.Panics(t, func() { NewTracker(Neck{}, Four, Habits{}) })
	assert.Panics(t, func() { NewTracker(fourStrings(t), System{Name: "none"}, Habits{}) })
	tr := NewTracker(fourStrings(t), Four, Habits{})
	assert.Panics(t, func() { tr.SetSystem(System{}) })
}

func TestTracker_SetSystemSettlesAndGoesOn(t *testing.T) {
	t.Parallel()
	n := fourStrings(t)
	tr := NewTracker(n, Four, Habits{})
	notes := lineAt(n, true, Place{2, 5}, Place{2, 7}, Place{1, 5}, Place{1, 7}, Place{2, 5})
	for _, note := range notes[:3] {
		tr.Note(note)
	}
	tr.SetSystem(Three)
	assert.Len(t, tr.Settled(nil), 3)
	for _, note := range notes[3:] {
		tr.Note(note)
	}
	tr.End()
	got := tr.Settled(nil)
	require.Len(t, got, 2)
	assert.Equal(t, 3, got[0].Note)
	assert.Equal(t, 5, got[1].Position, "three fingers reach frets 5 to 7 from one position only")
}
