package session

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
)

// flood is a source that plays as fast as it can until it is told to end.
type flood struct {
	sent   atomic.Int64
	begun  chan struct{} // closed when a good deal has been sent
	crash  int64         // panics at that event; 0 never
	silent bool
}

func (f *flood) Name() string { return "flood" }

func (f *flood) Run(ctx context.Context, emit func(midiin.Event)) error {
	const most = 20_000 // less than finds room
	began := time.Now()
	for i := int64(0); ctx.Err() == nil && i < most && !f.silent; i++ {
		if i == f.crash && i > 0 {
			panic("the driver")
		}
		status := byte(0x90 - i%2*0x10)
		emit(midiin.Event{At: time.Since(began), Data: [3]byte{status, byte(30 + i/2%25), 90}})
		f.sent.Add(1)
		if i == 500 {
			close(f.begun)
		}
	}
	<-ctx.Done()
	return nil
}

// Run with -race.
func TestLive_ClosesWhileNotesArrive(t *testing.T) {
	t.Parallel()
	for range 3 {
		source, kept := &flood{begun: make(chan struct{})}, &log{}
		live := NewLive(LiveOptions{Setup: plainSetup(t, map[string]string{"input": "keyboard"}), Source: source, Recorder: kept})
		ctx, stop := context.WithCancel(t.Context())
		done := make(chan error, 1)
		go func() { done <- live.Run(ctx) }()
		go func() {
			for ctx.Err() == nil { // a screen and a player's foot
				<-live.Changed()
				_ = len(live.Latest().Trail)
				live.Do(Action{Kind: Mark})
			}
		}()
		<-source.begun
		stop()
		require.NoError(t, <-done)
		messages, begun := 0, 0
		for _, e := range kept.events {
			if e.Kind == midiin.Message {
				messages++
				begun += int(e.Data[0] >> 4 & 1)
			}
		}
		assert.Equal(t, begun, live.Latest().Notes, "and counted")
		assert.EqualValues(t, source.sent.Load(), messages, "what had come is kept")
		assert.Zero(t, live.Latest().Lost)
		live.Do(Action{Kind: Mark}) // after the end: nobody takes it, nothing breaks
	}
}

func TestLive_AnInputThatCrashesEndsTheSittingWithItsNotes(t *testing.T) {
	t.Parallel()
	source, kept := &flood{begun: make(chan struct{}), crash: 600}, &log{}
	live := NewLive(LiveOptions{Setup: plainSetup(t, nil), Source: source, Recorder: kept})
	err := live.Run(t.Context())
	var crash *CrashError
	require.True(t, errors.As(err, &crash))
	assert.Equal(t, "the input", crash.Part)
	assert.Contains(t, string(crash.Stack), "flood")
	messages := slices.DeleteFunc(kept.events, func(e midiin.Event) bool { return e.Kind != midiin.Message })
	assert.Equal(t, 600, len(messages))
}

// torrent is a source with more events at once than find room.
type torrent struct{ waits bool }

func (t torrent) Name() string { return "torrent" }
func (t torrent) Waits() bool  { return t.waits }

func (t torrent) Run(ctx context.Context, emit func(midiin.Event)) error {
	for range 2 * eventRoom {
		emit(midiin.Event{Data: [3]byte{0xB0, 7, 90}})
	}
	return nil
}

// stuck is a recorder that takes its first event when it is let go.
type stuck struct {
	log
	gate  chan struct{}
	ready int // times that it was waited for
}

func (s *stuck) Ready(context.Context) { s.ready++ }

func (s *stuck) Event(e midiin.Event) {
	<-s.gate
	s.log.Event(e)
}

func TestLive_APipeWaitsAndAnInstrumentDoesNot(t *testing.T) {
	t.Parallel()
	for _, waits := range []bool{true, false} {
		synctest.Test(t, func(t *testing.T) {
			kept := &stuck{gate: make(chan struct{})}
			live := NewLive(LiveOptions{Setup: plainSetup(t, nil), Source: torrent{waits}, Recorder: kept})
			done := make(chan error, 1)
			go func() { done <- live.Run(t.Context()) }()
			synctest.Wait() // nothing goes on: the sitting is stuck with the first
			close(kept.gate)
			require.NoError(t, <-done)
			lost := live.Latest().Lost
			assert.Equal(t, 2*eventRoom, len(kept.events)+lost, "what is lost is counted")
			assert.Equal(t, waits, lost == 0)
			assert.Equal(t, waits, kept.ready > 0, "neither does the take lose anything")
		})
	}
}

func TestLive_APipeThatWaitsCanBeInterrupted(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		kept := &stuck{gate: make(chan struct{})}
		live := NewLive(LiveOptions{Setup: plainSetup(t, nil), Source: torrent{true}, Recorder: kept})
		ctx, stop := context.WithCancel(t.Context())
		done := make(chan error, 1)
		go func() { done <- live.Run(ctx) }()
		synctest.Wait()
		stop()
		synctest.Wait()
		close(kept.gate)
		require.NoError(t, <-done)
		assert.Equal(t, 2*eventRoom, len(kept.events)+live.Latest().Lost)
	})
}

// troubled is a recorder whose disk fills up while nobody plays.
type troubled struct {
	log
	warning atomic.Pointer[string]
	changed chan struct{}
}

func (r *troubled) Status() (string, string) { return "take.mid", *r.warning.Load() }
func (r *troubled) Changed() <-chan struct{} { return r.changed }

func (r *troubled) warn(text string) {
	r.warning.Store(&text)
	r.changed <- struct{}{}
}

func TestLive_SaysAtOnceWhatIsWrongWithSaving(t *testing.T) {
	t.Parallel()
	kept := &troubled{changed: make(chan struct{}, 1)}
	text := ""
	kept.warning.Store(&text)
	live := NewLive(LiveOptions{Setup: plainSetup(t, nil), Source: &flood{silent: true}, Recorder: kept})
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- live.Run(ctx) }()
	for _, warning := range []string{"disk full", ""} {
		kept.warn(warning)
		for live.Latest().Warning != warning {
			<-live.Changed()
		}
	}
	stop()
	require.NoError(t, <-done)
}

// Where the player says that the hand has gone shows at once, also where the
// newest note cannot have been played, and steps go on from there.
func TestPipeline_ShowsWhereThePlayerPutsTheHand(t *testing.T) {
	t.Parallel()
	for _, later := range []time.Duration{time.Millisecond, time.Minute} { // before and after the note settles
		p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
		for i, pitch := range []byte{29, 31, 34, 57, 59, 60} {
			p.Event(midiin.Event{At: time.Duration(i) * time.Millisecond, Data: [3]byte{0x90, pitch, 90}})
			p.Event(midiin.Event{At: time.Duration(i) * time.Millisecond, Data: [3]byte{0x80, pitch, 0}})
		}
		p.Advance(later)
		p.Do(Action{Kind: Swap})
		p.Do(Action{Kind: Swap})
		for _, step := range []struct {
			action Action
			at     int
		}{{Action{Kind: Anchor, Value: 7}, 7}, {Action{Kind: Correct, Value: 1}, 8}, {Action{Kind: Correct, Value: 1}, 9}, {Action{Kind: Correct, Value: -1}, 8}} {
			assert.Equal(t, fmt.Sprintf("hand at %d", step.at), p.Do(step.action))
			assert.Equal(t, step.at, p.Snapshot().Hand.Position)
			p.Advance(later + 500*time.Millisecond)
		}
		p.Event(midiin.Event{At: 2 * time.Minute, Data: [3]byte{0x90, 59, 90}})
		assert.Less(t, p.Snapshot().Hand.Probability, 1.0, "the next note speaks for itself")
		assert.Equal(t, 1, p.Review("x", "", nil).Input.Anchors, "corrected at once, it is one word")
		p.Do(Action{Kind: Correct, Value: 1})
		assert.Equal(t, 2, p.Review("x", "", nil).Input.Anchors)
	}
}

func TestPipeline_LongSittingsKeepTheNewest(t *testing.T) {
	t.Parallel()
	setup := plainSetup(t, nil)
	setup.Keep = 10
	p := NewPipeline(setup)
	for i := range 1000 {
		at := time.Duration(i) * time.Second
		p.Event(midiin.Event{At: at, Data: [3]byte{0x90, 20, 90}}) // below the neck
		p.Event(midiin.Event{At: at, Kind: midiin.Lost, Text: "cable"})
		p.Event(midiin.Event{At: at, Kind: midiin.Found, Text: "cable"})
		p.Do(Action{Kind: Mark})
	}
	s := p.Snapshot()
	assert.Equal(t, 1000, s.Dropped)
	assert.Equal(t, 1000, s.Marks)
	for _, kept := range []int{len(p.dropped.kept), len(p.marks.kept), len(p.warnings.kept)} {
		assert.GreaterOrEqual(t, kept, 10)
		assert.LessOrEqual(t, kept, 20)
	}
	assert.Equal(t, 999*time.Second, p.marks.kept[len(p.marks.kept)-1].at)
}

func TestFoot_LearnsAndBinds(t *testing.T) {
	t.Parallel()
	f, err := ParseFoot("cc64=mark")
	require.NoError(t, err)
	press := func(controller, value byte) (int, bool) {
		return f.Learn(midiin.Event{Data: [3]byte{0xb2, controller, value}})
	}
	for _, meta := range []byte{6, 38, 96, 97, 98, 99, 100, 101, 120, 127} {
		_, ok := press(meta, 127)
		assert.False(t, ok, "controller %d is no pedal", meta)
	}
	_, ok := press(66, 63)
	assert.False(t, ok, "0 to 63 is off (MIDI 1.0)")
	number, ok := press(66, 64)
	assert.True(t, ok)
	assert.Equal(t, 66, number)
	before, err := f.Bind(66, "swap")
	require.NoError(t, err)
	assert.Empty(t, before)
	before, err = f.Bind(64, "hold")
	require.NoError(t, err)
	assert.Equal(t, "mark", before)
	assert.Equal(t, "cc64=hold,cc66=swap", f.String())
	_, err = f.Bind(64, "jump")
	assert.Error(t, err)
}

// A pedal held half way wavers about the border of MIDI 1.0: that is one press,
// until it has clearly come up.
func TestFoot_PressesOnceHalfWay(t *testing.T) {
	t.Parallel()
	for _, action := range []string{"mark", "hold", "swap"} {
		f, err := ParseFoot("cc64=" + action)
		require.NoError(t, err)
		presses, learnt := 0, 0
		var learner Foot
		for _, value := range []byte{66, 62, 68, 63, 70, 32, 64, 31, 63, 64, 0, 127} {
			e := midiin.Event{Data: [3]byte{0xb0, 64, value}}
			if _, ok := f.press(e); ok {
				presses++
			}
			if _, ok := learner.Learn(e); ok {
				learnt++
			}
		}
		assert.Equal(t, 3, presses, action)
		assert.Equal(t, 3, learnt)
	}
}

func TestClockText_NeverSaysSixtySeconds(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "1:02.4", ClockText(62*time.Second+400*time.Millisecond))
	assert.Equal(t, "1:00.0", ClockText(59*time.Second+970*time.Millisecond))
	assert.Equal(t, "61:01.0", ClockText(time.Hour+time.Minute+time.Second))
}

// one is a source that strikes one key and lets it ring until it is told to end.
type one struct{}

func (one) Name() string { return "one" }

func (one) Run(ctx context.Context, emit func(midiin.Event)) error {
	emit(midiin.Event{Data: [3]byte{0x90, 40, 90}})
	<-ctx.Done()
	return nil
}

// Who lets the last note ring and leaves has played it until then, in the take as
// on the screen.
func TestLive_TheTakeTellsHowLongTheLastNoteRang(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		take := &log{}
		setup := plainSetup(t, map[string]string{"input": "keyboard"})
		live := NewLive(LiveOptions{Setup: setup, Source: one{}, Recorder: take})
		ctx, stop := context.WithTimeout(t.Context(), 8*time.Second)
		defer stop()
		require.NoError(t, live.Run(ctx))
		assert.Equal(t, 8*time.Second, live.Pipeline().Whole(live.Latest()).Played)

		reviewed := NewPipeline(setup)
		reviewed.Event(midiin.Event{Kind: midiin.Text, Text: midiin.TakeMark})
		for _, e := range take.events {
			reviewed.Event(e)
		}
		reviewed.End(take.events[len(take.events)-1].At)
		assert.Equal(t, document(t, live.Pipeline()), document(t, reviewed))
	})
}

// A sitting may end while it is open whether the newest note is one.
func TestLive_AnEndSoonAfterANoteIsInItsTake(t *testing.T) {
	t.Parallel()
	setup, kept := plainSetup(t, nil), &log{}
	var perf performance
	at := time.Duration(0)
	for range 8 { // as loud as it is played here
		perf.note(at, 45, 200*time.Millisecond)
		at += 250 * time.Millisecond
	}
	soft := midiin.Event{At: at, Data: [3]byte{0x90, 40, 12}} // a ghost, if it is short
	end := time.Unix(0, 0).Add(at + 10*time.Millisecond)
	live := NewLive(LiveOptions{Setup: setup, Source: quietSource{}, Recorder: kept, Now: func() time.Time { return end }})
	live.start = time.Unix(0, 0)
	for _, e := range append(perf.events, soft) {
		live.event(e)
	}
	require.Equal(t, 8, live.pipe.record.len())
	over := make(chan error, 1)
	over <- nil
	require.NoError(t, live.sit(over))
	reviewed := NewPipeline(setup)
	feed(reviewed, kept.events, kept.events[len(kept.events)-1].At, noTicks)
	assert.Equal(t, document(t, reviewed), document(t, live.pipe))
}

// Whoever asks for a mark and leaves at once has it.
func TestLive_DoesWhatWasAskedForJustBeforeTheEnd(t *testing.T) {
	t.Parallel()
	for range 20 { // which of the two the sitting looks at first is chance
		kept := &log{}
		live := NewLive(LiveOptions{Setup: plainSetup(t, nil), Source: quietSource{}, Recorder: kept})
		live.start = time.Now()
		live.Do(Action{Kind: Mark})
		over := make(chan error, 1)
		over <- nil
		require.NoError(t, live.sit(over))
		require.Equal(t, 1, live.Latest().Marks)
		require.Len(t, kept.events, 1)
		assert.Equal(t, "mark", kept.events[0].Text)
	}
}

// spring is a pipe that never runs dry. Asking for its name again, once it has
// begun, crashes the sitting.
type spring struct{ begun atomic.Bool }

func (s *spring) Waits() bool { return true }

func (s *spring) Name() string {
	if s.begun.Load() {
		panic("a name")
	}
	return "spring"
}

func (s *spring) Run(ctx context.Context, emit func(midiin.Event)) error {
	for ctx.Err() == nil {
		emit(midiin.Event{Data: [3]byte{0xB0, 7, 90}})
		s.begun.Store(true)
	}
	return nil
}

// behind is a recorder that is never done before the next event has come.
type behind struct {
	log
	live *Live
}

func (b *behind) Event(midiin.Event) {
	for range 1000 {
		if len(b.live.events) > 0 {
			return
		}
		time.Sleep(time.Microsecond)
	}
}

func TestLive_ACrashEndsASittingAtAPipeThatNeverRunsDry(t *testing.T) {
	t.Parallel()
	kept := &behind{}
	live := NewLive(LiveOptions{Setup: plainSetup(t, nil), Source: &spring{}, Recorder: kept})
	kept.live = live
	done := make(chan error, 1)
	go func() { done <- live.Run(t.Context()) }()
	select {
	case err := <-done:
		assert.ErrorContains(t, err, "the sitting crashed: a name")
	case <-time.After(10 * time.Second):
		assert.Fail(t, "the sitting does not end")
	}
}
