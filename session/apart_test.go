package session

import (
	"math/rand/v2"
	"reflect"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/coach"
	"stillhand/midiin"
)

// eventful is a take of n notes, one channel a string, with rests, slides and
// all that a player can say on the way.
func eventful(n int) (events []midiin.Event, end time.Duration) {
	random := rand.New(rand.NewPCG(7, uint64(n)))
	open := [4]byte{43, 38, 33, 28}
	says := []string{"mark", "hold", "resume", "forget", "fingers three", "fingers four", "hand at 5", "hand at 9"}
	add := func(kind midiin.EventKind, text string, data ...byte) {
		e := midiin.Event{At: end, Kind: kind, Text: text}
		copy(e.Data[:], data)
		events = append(events, e)
	}
	add(midiin.Text, midiin.TakeMark)
	for i := range n {
		str := byte(random.IntN(4))
		pitch := open[str] + byte(random.IntN(15))
		pitch += (str - pitch) & 3 // each pitch on one string, or the channels would seem to take turns
		add(midiin.Message, "", 0x90|str, pitch, byte(60+random.IntN(40)))
		end += time.Duration(50+random.IntN(300)) * time.Millisecond
		add(midiin.Message, "", 0x80|str, pitch, 0)
		switch random.IntN(12) {
		case 0:
			end += time.Duration(random.IntN(2000)) * time.Millisecond
		case 1:
			if i%3 == 0 {
				add(midiin.Marker, says[random.IntN(len(says))])
			}
		default:
			end += time.Duration(random.IntN(40)) * time.Millisecond
		}
	}
	return events, end + time.Second
}

var everyStrings = map[string]string{"told": "1=1,2=2,3=3,4=4", "pitch": "pitch"}

func TestApart_AnswersAsASittingDoes(t *testing.T) {
	t.Parallel()
	for name, text := range everyStrings {
		for _, n := range []int{3, batchSize / 2, 2000} {
			events, end := eventful(n)
			setup := plainSetup(t, map[string]string{"strings": text})
			sitting := NewPipeline(setup)
			feed(sitting, events, end, noTicks)
			setup.unseen = true
			review := NewPipeline(setup)
			review.part()
			feed(review, events, end, noTicks)
			require.Nil(t, review.apart)
			require.True(t, document(t, sitting) == document(t, review), "%s, %d notes", name, n)
		}
	}
}

// A long file goes apart on its way, with or without strings to be found.
func TestRecording_AnswersALongFileAsASittingDoes(t *testing.T) {
	t.Parallel()
	events, _ := eventful(apartFrom + 2*batchSize)
	var track smf.Track
	var at time.Duration
	ticks := smf.MetricTicks(480)
	for _, e := range events {
		if e.Kind == midiin.Message {
			track.Add(ticks.Ticks(120, e.At-at), midi.Message(e.Data[:]))
			at += ticks.Duration(120, ticks.Ticks(120, e.At-at))
		}
	}
	track.Close(0)
	s := smf.New()
	s.TimeFormat = ticks
	require.NoError(t, s.Add(track))
	data, err := s.Bytes()
	require.NoError(t, err)
	f, err := midiin.ReadFile("long.mid", data, midiin.FileOptions{})
	require.NoError(t, err)
	rec := NewRecording(f)
	require.Greater(t, f.Notes(), apartFrom)
	for name, text := range map[string]string{"found": "auto", "pitch": "pitch"} {
		setup := plainSetup(t, map[string]string{"strings": text})
		file := rec.Hearing(setup)
		file.oneTrack = true // which reading the file finds
		sitting := NewPipeline(file)
		events, err := rec.Events(t.Context())
		require.NoError(t, err)
		feed(sitting, events, f.Length(), noTicks)
		got, err := rec.Review(t.Context(), setup)
		require.NoError(t, err)
		want := sitting.Review(f.Name(), f.Track(), f.Warnings())
		require.Equal(t, name == "found", got.Input.Strings == "known", name)
		require.True(t, reflect.DeepEqual(want, got), name)
	}
}

// What sounded before a swap is told to the new system's passage no more.
func TestPipeline_AdvisesTheNewSystemOnItsOwnNotes(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"strings": "pitch", "neck": "E1", "input": "keyboard"}))
	at := time.Duration(0)
	play := func(pitches ...byte) {
		for _, pitch := range pitches {
			p.Event(midiin.Event{At: at, Data: [3]byte{0x90, pitch, 90}})
			at += 100 * time.Millisecond
			p.Event(midiin.Event{At: at, Data: [3]byte{0x80, pitch, 0}})
		}
	}
	play(33, 36, 33, 36)
	p.Event(midiin.Event{At: at, Kind: midiin.Text, Text: midiin.TakeMark})
	p.Event(midiin.Event{At: at, Kind: midiin.Marker, Text: "fingers three"})
	play(33, 36, 33, 36, 33, 36)
	p.End(at + time.Second)
	advice := p.Review("x", "", nil).Advice
	require.NotEmpty(t, advice)
	assert.Equal(t, 4, advice[0].FirstNote)
}

// The bubble ends only if every goroutine does.
func TestApart_LeavesNoGoroutine(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		events, end := eventful(600)
		setup := plainSetup(t, map[string]string{"strings": "pitch"})
		setup.unseen = true
		whole := NewPipeline(setup)
		whole.part()
		feed(whole, events, end, noTicks)
		whole.stop()

		left := NewPipeline(setup)
		left.part()
		for _, e := range events {
			left.Event(e)
		}
		left.stop()
	})
}

func TestApart_HandsOnACrash(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, nil))
	defer p.stop()
	p.part()
	p.tell(telling{kind: toldFingers, system: &coach.System{Name: "none"}})
	err := func() (err error) {
		defer Catch("the program", &err)
		p.End(time.Second)
		return nil
	}()
	var crash *CrashError
	require.ErrorAs(t, err, &crash)
	assert.Equal(t, "the tracker crashed: coach: a system needs fingers", crash.Error())
	assert.Contains(t, string(crash.Stack), "SetSystem")
}
