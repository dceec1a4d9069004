package session

import (
	"context"
	"math/rand/v2"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/midiin"
)

// sittings are performances of two attempts over inputs of every kind.
func sittings() map[string]struct {
	values map[string]string
	events []midiin.Event
	end    time.Duration
} {
	out := map[string]struct {
		values map[string]string
		events []midiin.Event
		end    time.Duration
	}{}
	for name, values := range map[string]map[string]string{
		"keyboard": {"input": "keyboard"},
		"auto":     {},
		"pickup":   {"input": "pickup"},
		"strings":  {"strings": "1=1,2=2,3=3,4=4"},
		"found":    {}, // one channel a string, found between the attempts
	} {
		var perf performance
		if name == "strings" || name == "found" {
			perf.channel = 1
		}
		perf.note(time.Second, 45, 200*time.Millisecond)
		at := perf.cell(time.Second+4*testBeat, 38, testBeat)
		if name == "found" {
			for i := range 40 {
				perf.channel = byte(i % 4)
				perf.note(at, []int{43, 38, 33, 28}[i%4]+5+i%3, 400*time.Millisecond)
				at += 100 * time.Millisecond
			}
			perf.channel = 1
			at += 400 * time.Millisecond
		}
		at += 6 * time.Second
		perf.note(at, 45, 200*time.Millisecond)
		at = perf.cell(at+4*testBeat, 38, testBeat)
		out[name] = struct {
			values map[string]string
			events []midiin.Event
			end    time.Duration
		}{values, perf.events, at + time.Second}
	}
	return out
}

func TestPractising_ResultsDoNotDependOnTicks(t *testing.T) {
	t.Parallel()
	for name, s := range sittings() {
		setup := plainSetup(t, s.values)
		calm := NewPipeline(setup)
		calm.practise(rungPlan(t, 120))
		feed(calm, s.events, s.end, noTicks)
		want := attempts(t, calm)
		require.Len(t, want, 2, name)
		assert.True(t, want[0].InOrder, name)
		assert.Equal(t, name == "strings" || name == "found", calm.told, name)
		for seed := range uint64(4) {
			random := rand.New(rand.NewPCG(seed, 2))
			ticked := NewPipeline(setup)
			ticked.practise(rungPlan(t, 120))
			feed(ticked, s.events, s.end, func(from, to time.Duration) (at []time.Duration) {
				for t := from; t < to; t += time.Duration(1+random.IntN(60)) * time.Millisecond {
					at = append(at, t)
				}
				return at
			})
			require.Equal(t, want, attempts(t, ticked), "%s, seed %d", name, seed)
			require.Equal(t, document(t, calm), document(t, ticked), "%s, seed %d", name, seed)
		}
	}
}

func TestLive_PracticeAgreesWithReviewOfItsTake(t *testing.T) {
	t.Parallel()
	for name, s := range sittings() {
		setup := plainSetup(t, s.values)
		take := &log{events: []midiin.Event{{Kind: midiin.Text, Text: midiin.TakeMark}}}
		live := NewLive(LiveOptions{Setup: setup, Source: script{s.events}, Recorder: take, Practice: rungPlan(t, 120)})
		require.NoError(t, live.Run(context.Background()))
		require.Len(t, live.Practised(), 2, name)
		var said []string
		for _, e := range take.events {
			if e.Kind == midiin.Marker {
				said = append(said, e.Text)
			}
		}
		require.Len(t, said, 4, "for each attempt where the hand was asked to be, and when it was judged")
		assert.Regexp(t, `^hand at 7 between \S+s and \S+s$`, said[0])
		assert.Equal(t, "settle", said[1])

		reviewed := NewPipeline(setup)
		feed(reviewed, take.events, live.Pipeline().now, noTicks)
		assert.Equal(t, document(t, reviewed), document(t, live.Pipeline()), name)
		assert.Equal(t, 2, reviewed.Review("x", "", nil).Input.Anchors, name)
		// The anchor matters: without it the same notes give other answers.
		if name == "keyboard" {
			deaf := NewPipeline(setup)
			feed(deaf, s.events, live.Pipeline().now, noTicks)
			assert.NotEqual(t, document(t, deaf), document(t, reviewed))
		}
	}
}

// Where the player says that the hand is counts for the note that begins a
// practice, in the take as in the sitting.
func TestLive_AHandSaidBeforeAPracticeIsInItsTake(t *testing.T) {
	t.Parallel()
	setup := plainSetup(t, map[string]string{"input": "keyboard"})
	take := &log{events: []midiin.Event{{Kind: midiin.Text, Text: midiin.TakeMark}}}
	live := NewLive(LiveOptions{Setup: setup, Source: quietSource{}, Recorder: take, Practice: rungPlan(t, 120)})
	live.start = time.Now()
	live.do(Action{Kind: Anchor, Value: 3})
	var perf performance
	perf.note(time.Second, 45, 200*time.Millisecond)
	end := perf.cell(time.Second+4*testBeat, 38, testBeat) + time.Second
	for _, e := range perf.events {
		live.event(e)
	}
	live.pipe.End(end)
	assert.Equal(t, 2, live.pipe.anchors, "the player's word, then the rung's")

	reviewed := NewPipeline(setup)
	feed(reviewed, take.events, end, noTicks)
	assert.Equal(t, document(t, reviewed), document(t, live.pipe))
}

func TestCommand_TextsAreReadAsTheyWereWritten(t *testing.T) {
	t.Parallel()
	for _, c := range []command{
		{verb: putMark}, {verb: holdOn}, {verb: holdOff}, {verb: forget}, {verb: settle}, {verb: fingers, system: coach.Three}, {verb: handAt, position: 7},
		{verb: handIn, position: 12, from: 1234567891 * time.Nanosecond, to: 90 * time.Minute},
	} {
		got, ok := parseCommand(c.text())
		assert.True(t, ok, c.text())
		assert.Equal(t, c, got)
	}
	for _, bad := range []string{"hand at", "hand at 0", "hand at 7 between", "hand at 7 between 1s", "hand at 7 between 1s and x", "hand at 99 between 1s and 2s"} {
		_, ok := parseCommand(bad)
		assert.False(t, ok, bad)
	}
}

// quietSource is an instrument that nobody plays.
type quietSource struct{}

func (quietSource) Name() string { return "quiet" }

func (quietSource) Run(ctx context.Context, _ func(midiin.Event)) error {
	<-ctx.Done()
	return nil
}

// On a simulated clock: on a machine that is late a live sitting leaves beats out.
func TestLive_HandsOutEveryBeatAndNoneEarly(t *testing.T) {
	t.Parallel()
	type struck struct {
		Pulse
		at time.Duration
	}
	synctest.Test(t, func(t *testing.T) {
		beats := make(chan struck, 100)
		began := time.Now()
		live := NewLive(LiveOptions{Setup: plainSetup(t, nil), Source: quietSource{}, Practice: rungPlan(t, 600),
			Beat: func(p Pulse) { beats <- struck{p, time.Since(began)} }})
		ctx, stop := context.WithCancel(t.Context())
		done := make(chan error, 1)
		live.Do(Action{Kind: Again})
		go func() { done <- live.Run(ctx) }()
		for i := range 6 {
			b := <-beats
			assert.Equal(t, [2]int{i / 4, i%4 + 1}, [2]int{b.Bar, b.Beat})
			assert.GreaterOrEqual(t, b.at, b.At, "beat %d", i)
			assert.Less(t, b.at, b.At+2*Tick, "beat %d", i)
		}
		stop()
		require.NoError(t, <-done)
		assert.Empty(t, live.Practised())
	})
}
