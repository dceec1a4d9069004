package session

import (
	"context"
	"encoding/json"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
	"stillhand/testdata"
)

func plainSetup(t testing.TB, values map[string]string) Setup {
	t.Helper()
	s, err := Resolve(layer(FromFlag, values)).Setup()
	require.NoError(t, err)
	return s
}

func recording(t testing.TB, name string) *Recording {
	t.Helper()
	data, err := testdata.Files.ReadFile(name)
	require.NoError(t, err)
	f, err := midiin.ReadFile(name, data, midiin.FileOptions{})
	require.NoError(t, err)
	return NewRecording(f)
}

// document is the review of a finished pipeline as text, to be compared whole.
func document(t testing.TB, p *Pipeline) string {
	t.Helper()
	text, err := json.MarshalIndent(p.Review("x", "", nil), "", " ")
	require.NoError(t, err)
	return string(text)
}

// feed gives p all of events, letting time pass at each of ticks as well.
func feed(p *Pipeline, events []midiin.Event, end time.Duration, ticks func(from, to time.Duration) []time.Duration) {
	var last time.Duration
	for _, e := range events {
		for _, at := range ticks(last, e.At) {
			p.Advance(at)
		}
		p.Event(e)
		last = e.At
	}
	for _, at := range ticks(last, end) {
		p.Advance(at)
	}
	p.End(end)
}

func noTicks(time.Duration, time.Duration) []time.Duration { return nil }

var everyInput = map[string]map[string]string{
	"demo.mid":   {},
	"band.mid":   {},
	"pickup.mid": {"input": "pickup", "reach": "100mm"},
}

func TestPipeline_AnswersDoNotDependOnTicks(t *testing.T) {
	t.Parallel()
	for name, values := range everyInput {
		rec := recording(t, name)
		events, err := rec.Events(context.Background())
		require.NoError(t, err)
		setup := plainSetup(t, values)
		batch := NewPipeline(setup)
		feed(batch, events, rec.File.Length(), noTicks)
		want := document(t, batch)
		for seed := range uint64(4) {
			random := rand.New(rand.NewPCG(seed, 1))
			ticked := NewPipeline(setup)
			feed(ticked, events, rec.File.Length(), func(from, to time.Duration) (at []time.Duration) {
				for t := from; t < to; t += time.Duration(random.IntN(60)) * time.Millisecond {
					at = append(at, t)
					// Wake just when the pipeline asks to be woken, as the live loop does.
					if d, ok := ticked.Deadline(); ok && d > t && d <= to {
						at = append(at, d)
						t = d
					}
				}
				return at
			})
			require.Equal(t, want, document(t, ticked), "%s, seed %d", name, seed)
		}
	}
}

// script is a source that plays events as they are stamped.
type script struct{ events []midiin.Event }

func (s script) Name() string { return "script" }

func (s script) Run(ctx context.Context, emit func(midiin.Event)) error {
	for _, e := range s.events {
		emit(e)
	}
	return nil
}

// log records what a take would hold.
type log struct{ events []midiin.Event }

func (l *log) Event(e midiin.Event) { l.events = append(l.events, e) }
func (l *log) Action(at time.Duration, text string) {
	l.events = append(l.events, midiin.Event{At: at, Kind: midiin.Marker, Text: text})
}
func (l *log) Status() (string, string) { return "take.mid", "" }
func (l *log) Changed() <-chan struct{} { return nil }
func (l *log) Ready(context.Context)    {}

func TestLive_AgreesWithReviewOfItsTake(t *testing.T) {
	t.Parallel()
	for name, values := range everyInput {
		rec := recording(t, name)
		events, err := rec.Events(context.Background())
		require.NoError(t, err)
		setup := plainSetup(t, values)
		take := &log{}
		live := NewLive(LiveOptions{Setup: setup, Source: script{events}, Recorder: take})
		require.NoError(t, live.Run(context.Background()))
		require.Zero(t, live.Latest().Lost)
		require.True(t, live.Latest().Ended)

		reviewed := NewPipeline(setup)
		feed(reviewed, take.events, rec.File.Length(), noTicks)
		assert.Equal(t, document(t, reviewed), document(t, live.Pipeline()), name)
		direct := NewPipeline(setup)
		feed(direct, events, rec.File.Length(), noTicks)
		assert.Equal(t, len(direct.record.notes), len(live.Pipeline().record.notes), name)
	}
}

// The count belongs to the fingers declared for each note: with four fingers
// frets 3 to 6 of one string are one window, and so are 3 to 5 with three after.
func TestPipeline_NamesFingersThatChanged(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	at := time.Duration(0)
	play := func(pitches ...byte) {
		for _, pitch := range pitches {
			p.Event(midiin.Event{At: at, Data: [3]byte{0x90, pitch, 90}})
			p.Event(midiin.Event{At: at + 200*time.Millisecond, Data: [3]byte{0x80, pitch, 0}})
			at += 250 * time.Millisecond
		}
	}
	swap := func() { p.Advance(at); p.Do(Action{Kind: Swap}) }
	assert.Equal(t, []string{"four"}, p.Snapshot().Declared)
	swap()
	swap() // before the first note nothing has been counted
	play(31, 32, 33, 34, 31, 34)
	assert.Equal(t, []string{"four"}, p.Snapshot().Declared)
	swap()
	play(31, 32, 33)
	s := p.Snapshot()
	assert.Equal(t, []string{"four", "three"}, s.Declared)
	assert.Less(t, s.Take.AtLeast, s.Take.Fewest["three"], "which is why they are named")
	assert.Equal(t, "four, then three", FingersText(s.Declared))
	for range 10 {
		swap()
		play(31)
	}
	assert.Equal(t, "four and three by turns", FingersText(p.Snapshot().Declared))
	assert.LessOrEqual(t, len(p.Snapshot().Declared), mostDeclared+1)
	p.Do(Action{Kind: Forget})
	assert.Equal(t, []string{"three"}, p.Snapshot().Declared, "the counts start again")
	p.End(at)
	assert.Greater(t, len(p.Review("x", "", nil).Changed), 1)
}

func TestPipeline_HoldStopsCountingNotTheRecord(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	at := time.Duration(0)
	play := func(pitch byte) {
		p.Event(midiin.Event{At: at, Data: [3]byte{0x90, pitch, 90}})
		p.Event(midiin.Event{At: at + 200*time.Millisecond, Data: [3]byte{0x80, pitch, 0}})
		at += 250 * time.Millisecond
	}
	play(33)
	p.Do(Action{Kind: Hold})
	play(45)
	play(57)
	p.Do(Action{Kind: Hold})
	play(35)
	assert.Equal(t, []int{2, 2, 0}, []int{p.Snapshot().Notes, p.Snapshot().OnHold, p.Snapshot().Dropped})
	p.End(at)
	r := p.Review("x", "", nil)
	assert.Equal(t, 2, r.Input.Notes)
	require.Len(t, r.Input.Dropped, 2)
	assert.Equal(t, string(OnHold), r.Input.Dropped[0].Reason)
}

func TestPipeline_LostInputEndsWhatSounds(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	p.Event(midiin.Event{At: 0, Data: [3]byte{0x90, 40, 90}})
	p.Event(midiin.Event{At: time.Second, Kind: midiin.Lost, Text: "keys"})
	assert.Empty(t, p.Snapshot().Playing)
	p.Event(midiin.Event{At: 2 * time.Second, Kind: midiin.Found, Text: "keys"})
	p.Event(midiin.Event{At: 3 * time.Second, Data: [3]byte{0x90, 43, 90}})
	p.End(4 * time.Second)
	r := p.Review("x", "", nil)
	require.Len(t, r.Notes, 2)
	assert.Equal(t, 1.0, r.Notes[0].Off)
	assert.Equal(t, 4.0, r.Notes[1].Off)
	assert.Len(t, r.Input.Warnings, 1)
}

// Silence is not played, be it before the first note, while the cable is out or
// before the player leaves.
func TestPipeline_SaysHowLongThereWasPlaying(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	p.Event(midiin.Event{At: 5 * time.Second, Data: [3]byte{0x90, 40, 90}})
	p.Event(midiin.Event{At: 6 * time.Second, Kind: midiin.Lost, Text: "keys"})
	p.Event(midiin.Event{At: 9 * time.Second, Kind: midiin.Found, Text: "keys"})
	p.Event(midiin.Event{At: 9 * time.Second, Data: [3]byte{0x90, 43, 90}})
	p.Event(midiin.Event{At: 11 * time.Second, Data: [3]byte{0x80, 43, 0}})
	p.End(21 * time.Second)
	whole := p.Whole(p.Snapshot())
	assert.Equal(t, 3*time.Second, whole.Played)
	assert.Equal(t, 21*time.Second, whole.At)
}

// Restarting the counts is for the screen: the take keeps its own figures.
func TestPipeline_ForgetLeavesTheTakesFigures(t *testing.T) {
	t.Parallel()
	rec := recording(t, "twobar.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	setup := plainSetup(t, nil)
	plain, forgot := NewPipeline(setup), NewPipeline(setup)
	feed(plain, events, rec.File.Length(), noTicks)
	for _, e := range events {
		forgot.Event(e)
	}
	require.Equal(t, 2, forgot.Snapshot().Take.AtLeast, "the paper count of four fingers")
	forgot.Do(Action{Kind: Forget})
	assert.Zero(t, forgot.Snapshot().Take.AtLeast)
	forgot.End(rec.File.Length())
	assert.Equal(t, document(t, plain), document(t, forgot))
}

// A report at the end is of the whole take: all its figures, the fingers and the
// last word, whatever was restarted on the screen, live and in a replay.
func TestPipeline_WholeKnowsNoRestart(t *testing.T) {
	t.Parallel()
	rec := recording(t, "demo.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	play := func(restart bool) *Player {
		p := NewPlayer(context.Background(), PlayerOptions{Setup: plainSetup(t, nil), Events: events, Length: rec.File.Length()})
		p.jump(rec.File.Length() / 2)
		p.do(Action{Kind: Swap})
		p.jump(rec.File.Length() - time.Second)
		if restart {
			p.do(Action{Kind: Forget})
		}
		p.jump(rec.File.Length())
		p.publish()
		return p
	}
	plain, restarted := play(false).Whole(), play(true)
	shown, whole := restarted.Latest(), restarted.Whole()
	assert.NotEqual(t, plain.Take, shown.Take)
	assert.Empty(t, shown.Lines)
	assert.Equal(t, plain.Take, whole.Take)
	assert.Equal(t, []int{plain.Mixed, plain.Crossover}, []int{whole.Mixed, whole.Crossover})
	assert.Positive(t, whole.Mixed)
	assert.Positive(t, whole.Crossover)
	assert.Zero(t, shown.Crossover, "no screen shows it")
	assert.Equal(t, []string{"four", "three"}, whole.Declared)
	require.Len(t, whole.Lines, 1)
	assert.Equal(t, plain.Lines[0], whole.Lines[0])
	assert.True(t, whole.Restarted)
	assert.False(t, plain.Restarted)
}

// A minute of running counts: what was added in the last minute is a
// difference of exact counts, never more than the whole.
func TestMinute_HoldsWhatWasAddedSince(t *testing.T) {
	t.Parallel()
	var m minute
	for s := range 200 {
		at := time.Duration(s) * time.Second
		before := Counts{AtLeast: s, Likely: float64(s), Fewest: map[string]int{"four": s}, AsYouGo: map[string]int{"four": s}}
		m.keep(at, func() Counts { return before })
		after := Counts{AtLeast: s + 1, Likely: float64(s + 1), Fewest: map[string]int{"four": s + 1}, AsYouGo: map[string]int{"four": s + 1}}
		got := m.since(at, after)
		want := min(s+1, 61) // one a second; the oldest step kept began a minute ago
		assert.InDelta(t, want, got.AtLeast, 1, "second %d", s)
		assert.Equal(t, got.AtLeast, got.Fewest["four"])
	}
	m = minute{}
	assert.Equal(t, 7, m.since(0, Counts{AtLeast: 7}).AtLeast)
}

func TestPipeline_KeepsEveryNoteWhenStringsAreFoundAgain(t *testing.T) {
	t.Parallel()
	// Strings D and A changed places on the way: channels 1 3 2 4 carry strings
	// 1 to 4. The order of the channels speaks for another map until lower notes
	// prove it wrong.
	setup := plainSetup(t, nil)
	p := NewPipeline(setup)
	at := time.Duration(0)
	play := func(channel, key byte) {
		p.Event(midiin.Event{At: at, Data: [3]byte{0x90 | channel, key, 80}})
		p.Event(midiin.Event{At: at + 200*time.Millisecond, Data: [3]byte{0x80 | channel, key, 0}})
		at += 250 * time.Millisecond
	}
	for _, n := range [][2]byte{{0, 50}, {0, 52}, {3, 35}, {3, 36}, {0, 48}, {3, 33}, {0, 50}, {3, 35}} {
		play(n[0], n[1])
	}
	for _, n := range [][2]byte{{2, 45}, {1, 40}, {1, 42}, {2, 47}, {1, 33}, {1, 35}, {2, 38}, {2, 40}, {1, 36}, {3, 31}, {1, 38}, {2, 43}} {
		play(n[0], n[1])
	}
	p.End(at)
	for _, again := range []midiin.StringMap{p.strings, p.strings} {
		(*listener)(p).StringsFound(again)
	}
	r := p.Review("x", "", nil)
	require.Len(t, r.Notes, 20)
	assert.Equal(t, "channels 1 2 3 4 are strings 1 3 2 4", r.Input.Channels)
	assert.Equal(t, r.Input.Channels, p.Snapshot().Channels)
	want := map[byte]int{0: 1, 2: 2, 1: 3, 3: 4}
	for i, ch := range []byte{0, 0, 3, 3, 0, 3, 0, 3, 2, 1, 1, 2, 1, 1, 2, 2, 1, 3, 1, 2} {
		assert.EqualValues(t, want[ch], r.Notes[i].String, "note %d", i)
	}
}

// When the strings are found the hand shown may jump: for ten seconds the
// screen can say why.
func TestPipeline_SaysThatNotesWereReadAgain(t *testing.T) {
	t.Parallel()
	rec := recording(t, "demo.mid")
	events, err := rec.Events(context.Background())
	require.NoError(t, err)
	for strings, said := range map[string]bool{"auto": true, "pitch": false, "1=4,2=3,3=2,4=1": false} {
		p := NewPipeline(plainSetup(t, map[string]string{"strings": strings}))
		var from, to time.Duration
		for _, e := range events {
			p.Event(e)
			switch s := p.Snapshot(); {
			case s.Reread && from == 0:
				from = s.At
				require.True(t, s.StringsTold)
			case from > 0 && !s.Reread && to == 0:
				to = s.At
			}
		}
		assert.Equal(t, said, from > 0, strings)
		assert.Equal(t, map[string]string{
			"auto": "channels 1 2 3 4 are strings 1 2 3 4", "pitch": "", "1=4,2=3,3=2,4=1": "channels 1 2 3 4 are strings 4 3 2 1",
		}[strings], p.Snapshot().Channels)
		if said {
			assert.InDelta(t, 10, (to - from).Seconds(), 1)
		}
	}
}

// A take with a hole says so; a text like that in any other file means nothing.
func TestReview_NamesWhatATakeCouldNotKeep(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][]string{
		midiin.TakeMark: {"1879 events before 0:12.0 could not be saved: what was played there is missing"},
		"any file":      {},
	} {
		p := NewPipeline(plainSetup(t, nil))
		for _, e := range []midiin.Event{
			{Kind: midiin.Text, Text: text},
			{At: time.Second, Data: [3]byte{0x90, 40, 90}},
			{At: 12 * time.Second, Kind: midiin.Text, Text: UnsavedText + "1879"},
			{At: 12 * time.Second, Kind: midiin.Text, Text: UnsavedText + "many"},
		} {
			p.Event(e)
		}
		p.End(13 * time.Second)
		assert.ElementsMatch(t, want, p.Review("x", "", nil).Input.Warnings)
	}
}
