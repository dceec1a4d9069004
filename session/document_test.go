package session

import (
	"context"
	"math"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/midiin"
)

// leap goes from the first fret to the twelfth of one string after a silence
// of 50 ms; the second note is not released.
func leap(t *testing.T, head ...string) *Recording {
	t.Helper()
	var track smf.Track
	for _, text := range head {
		track.Add(0, smf.MetaText(text))
	}
	track.Add(480, midi.NoteOn(0, 29, 90)) // 480 ticks are 500 ms: RP-001's tempo where none is told
	track.Add(480, midi.NoteOff(0, 29))
	track.Add(48, midi.NoteOn(0, 40, 80))
	track.Close(960)
	s := smf.New()
	s.TimeFormat = smf.MetricTicks(480)
	require.NoError(t, s.Add(track))
	data, err := s.Bytes()
	require.NoError(t, err)
	f, err := midiin.ReadFile("leap.mid", data, midiin.FileOptions{})
	require.NoError(t, err)
	return NewRecording(f)
}

func TestReview_TellsGapsAndEndsWithTheFile(t *testing.T) {
	t.Parallel()
	r, err := leap(t).Review(context.Background(), plainSetup(t, map[string]string{"neck": "E1"}))
	require.NoError(t, err)
	require.Len(t, r.Notes, 2)
	assert.Equal(t, []float64{0.5, 1, 1.05, 2.05}, []float64{r.Notes[0].At, r.Notes[0].Off, r.Notes[1].At, r.Notes[1].Off})
	assert.EqualValues(t, 90, r.Notes[0].Velocity)
	require.Len(t, r.Shifts, 1)
	assert.Equal(t, 50.0, r.Shifts[0].GapMS)
	assert.Equal(t, "sure", r.Shifts[0].Kind)
}

// Lengths are rounded where they are shown, once: 863.6 mm 2^(-1/12) behind the capo.
func TestReview_KeepsLengthsExactAndTellsTheCapo(t *testing.T) {
	t.Parallel()
	r, err := leap(t).Review(context.Background(), plainSetup(t, map[string]string{"capo": "1"}))
	require.NoError(t, err)
	assert.Equal(t, 1, r.Neck.Capo)
	assert.InDelta(t, 863.6*math.Exp2(-1.0/12), r.Neck.ScaleMM, 1e-9)
}

func TestRecording_KnowsATakeByItsHead(t *testing.T) {
	t.Parallel()
	plain := leap(t, "a text", "neck=bass5")
	assert.False(t, plain.Owned())
	_, told := plain.Lookup("neck")
	assert.False(t, told)

	take := leap(t, midiin.TakeMark, "neck=bass5", "started=2026-11-25T20:14:05Z", "no field")
	assert.True(t, take.Owned())
	neck, told := take.Lookup("neck")
	assert.True(t, told)
	assert.Equal(t, "bass5", neck)
	at, err := take.Started()
	require.NoError(t, err)
	assert.Equal(t, time.Date(2026, 11, 25, 20, 14, 5, 0, time.UTC), at)
}

// An old take may hold any reach: it is read as if none were known, and says so where
// no other one is given.
func TestRecording_LeavesOutAReachThatNoHandHas(t *testing.T) {
	t.Parallel()
	take := leap(t, midiin.TakeMark, "neck=bass5", "reach=999mm")
	text, told := take.Lookup("reach")
	assert.True(t, told, "the profile's is not this take's")
	assert.Empty(t, text)
	setup, err := Resolve(Layer{Origin: FromTake, Lookup: take.Lookup}).Setup()
	require.NoError(t, err)
	require.Zero(t, setup.ReachMM)
	r, err := take.Review(t.Context(), setup)
	require.NoError(t, err)
	require.Len(t, r.Input.Warnings, 1)
	assert.Contains(t, r.Input.Warnings[0], "reach in the head of the take: a reach of 999 mm is no hand's")

	setup.ReachMM = 105
	r, err = take.Review(t.Context(), setup)
	require.NoError(t, err)
	assert.Empty(t, r.Input.Warnings)
	text, _ = leap(t, midiin.TakeMark, "reach=99mm").Lookup("reach")
	assert.Equal(t, "99mm", text)
}

// Counts restarted on the way begin at nothing; what the hand did stays.
func TestPipeline_RestartedCountsBeginAtNothing(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"neck": "E1", "input": "keyboard"}))
	strike := func(at time.Duration, pitch byte) {
		p.Event(midiin.Event{At: at, Data: [3]byte{0x90, pitch, 90}})
		p.Event(midiin.Event{At: at + 200*time.Millisecond, Data: [3]byte{0x80, pitch, 0}})
	}
	for i, pitch := range []byte{29, 41, 29, 41} {
		strike(time.Duration(i)*time.Second, pitch)
	}
	p.Advance(10 * time.Second)
	require.Greater(t, p.Snapshot().Take.Likely, 2.5)
	p.Do(Action{Kind: Forget})
	assert.Less(t, p.Snapshot().Take.Likely, 0.01)
	strike(11*time.Second, 29)
	strike(12*time.Second, 41)
	p.Advance(20 * time.Second)
	after := p.Snapshot().Take.Likely
	assert.InDelta(t, 1, after, 0.1, "from the new first note, not into it")
	assert.Equal(t, 3, p.load(p.now).Wide, "the notes on the first fret, not those on the thirteenth")
}

// The hand of a new count may come from anywhere, in all columns alike, whatever it
// did just before: after a rest, with a shift that is still provisional, and on hold.
func TestPipeline_RestartedCountsHaveAFreeStart(t *testing.T) {
	t.Parallel()
	for name, restart := range map[string]func(p *Pipeline) time.Duration{
		"after a rest": func(p *Pipeline) time.Duration {
			p.Advance(6 * time.Second)
			p.Do(Action{Kind: Forget})
			return 7 * time.Second
		},
		"provisional": func(p *Pipeline) time.Duration {
			struck(p, 29, 1600*time.Millisecond, 200*time.Millisecond)
			p.Do(Action{Kind: Forget})
			return 2 * time.Second
		},
		"on hold": func(p *Pipeline) time.Duration {
			p.Do(Action{Kind: Hold})
			p.Do(Action{Kind: Forget})
			p.Do(Action{Kind: Hold})
			return 2 * time.Second
		},
	} {
		for _, strings := range []string{"1=1,2=2,3=3,4=4", ""} {
			set := map[string]string{"neck": "E1", "input": "keyboard"}
			if strings != "" {
				set = map[string]string{"strings": strings}
			}
			p := NewPipeline(plainSetup(t, set))
			strike := func(string int, key byte, at time.Duration) {
				p.Event(midiin.Event{At: at, Data: [3]byte{0x90 | byte(string-1), key, 90}})
				p.Event(midiin.Event{At: at + 200*time.Millisecond, Data: [3]byte{0x80 | byte(string-1), key, 0}})
			}
			for i, key := range []byte{40, 41, 42, 40} { // fret 12 on
				strike(4, key, time.Duration(i)*400*time.Millisecond)
			}
			at := restart(p)
			zero := map[string]int{"four": 0, "three": 0}
			none := Counts{Fewest: zero, AsYouGo: zero}
			check := func() {
				t.Helper()
				s := p.Snapshot()
				for _, c := range []Counts{s.Take, s.LastMinute} {
					assert.InDelta(t, 0, c.Likely, 0.2, name)
					c.Likely = 0
					assert.Equal(t, none, c, name)
				}
				assert.Zero(t, s.Mixed, name)
			}
			check()
			if strings != "" {
				strike(3, 33, at) // open: asks for no hand
				check()
				at += 300 * time.Millisecond
			}
			for _, key := range []byte{31, 32, 31, 32, 31} { // frets 3 and 4
				strike(4, key, at)
				check()
				at += 300 * time.Millisecond
			}
			p.Advance(at + 5*time.Second)
			check()
			strike(4, 40, at+6*time.Second)
			p.Advance(at + 12*time.Second)
			assert.InDelta(t, 1, p.Snapshot().Take.Likely, 0.2, "the next one counts")
			assert.Equal(t, 1, p.Snapshot().Take.AtLeast)
			plain := p.Whole(p.Snapshot()).Take
			assert.GreaterOrEqual(t, plain.AtLeast, 2, "the take has all")
			p.End(at + 20*time.Second)
			assert.Equal(t, plain.AtLeast, p.Review("x", "", nil).Count.AtLeast)
		}
	}
}

// The crossover told is that of the regions told beside it, where the hand was
// inferred: added up from the lowest, three fingers cost nothing below.
func TestReview_CrossoverIsThatOfItsRegions(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile("../testdata/demo.mid")
	require.NoError(t, err)
	f, err := midiin.ReadFile("demo.mid", data, midiin.FileOptions{})
	require.NoError(t, err)
	r, err := NewRecording(f).Review(context.Background(), plainSetup(t, nil))
	require.NoError(t, err)
	below, above := 0, 0
	for _, x := range r.Regions {
		if x.Position < r.Mixed.CrossoverFret {
			below += x.Three - x.Four
		} else {
			above += x.Three - x.Four
		}
	}
	assert.LessOrEqual(t, below, 0)
	assert.Positive(t, above)
	assert.Equal(t, r.Systems["three"].Fewest-r.Systems["four"].Fewest, below+above)
}

// A take may be anybody's: what was learnt is left out where it cannot be, and that is said.
func TestRecording_LeavesOutHabitsThatNobodyLeft(t *testing.T) {
	t.Parallel()
	for habits, kept := range map[string]bool{
		`{"Notes":300,"Shifts":20}`:           true,
		`{"Notes":1e308,"Shifts":1e308}`:      false,
		`{"Notes":-5}`:                        false,
		`{"Notes":1e999}`:                     false,
		`{"Notes":10,"Weight":[1e308,1e308]}`: false,
		`{"Notes":10,"Weight":[0.5,0.5]}`:     false,
	} {
		take := leap(t, midiin.TakeMark, "neck=bass4", "habits="+habits)
		h, ok := take.Habits()
		assert.Equal(t, kept, ok, habits)
		setup, err := Resolve(Layer{Origin: FromTake, Lookup: take.Lookup}).Setup()
		require.NoError(t, err)
		setup.Habits = h
		r, err := take.Review(t.Context(), setup)
		require.NoError(t, err)
		assert.Equal(t, kept, len(r.Input.Warnings) == 0, "%s: %v", habits, r.Input.Warnings)
		assert.False(t, math.IsNaN(r.Count.Likely) || r.Count.Likely > float64(len(r.Notes)), habits)
	}
}
