package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"stillhand/coach"
	"stillhand/midiin"
)

func struck(p *Pipeline, key byte, at, length time.Duration) {
	p.Event(midiin.Event{At: at, Data: [3]byte{0x90, key, 90}})
	p.Event(midiin.Event{At: at + length, Data: [3]byte{0x80, key, 0}})
}

func TestHand_LastMinuteEndsNowAndNotAtTheNewestNote(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard", "strings": "1=1,2=2,3=3,4=4"}))
	at := time.Duration(0)
	for i := range 120 {
		struck(p, byte(45+12*(i%2)), at, 400*time.Millisecond) // frets 2 and 14 by turns
		at += time.Second
	}
	assert.InDelta(t, 60, p.Snapshot().LastMinute.AtLeast, 1)
	p.Advance(at + 30*time.Second)
	assert.InDelta(t, 30, p.Snapshot().LastMinute.AtLeast, 1)
	next, ok := p.Deadline()
	assert.True(t, ok)
	assert.LessOrEqual(t, next, p.now+time.Second, "while it falls it is shown anew")
	p.Advance(at + 10*time.Minute)
	assert.Zero(t, p.Snapshot().LastMinute.AtLeast)
	_, ok = p.Deadline()
	assert.False(t, ok)
}

func TestHand_IsNotMovedOffTheNeckByATakeOfALongerOne(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"frets": "12"}))
	p.Event(midiin.Event{Kind: midiin.Text, Text: midiin.TakeMark})
	p.Event(midiin.Event{At: time.Second, Data: [3]byte{0x90, 40, 90}})
	p.Event(midiin.Event{At: 2 * time.Second, Kind: midiin.Marker, Text: "hand at 20"})
	assert.LessOrEqual(t, p.Snapshot().Hand.Position, 9)
	assert.Zero(t, p.anchors)
}

// The last position of three fingers is none of four.
func TestHand_IsOnTheNeckAfterASwap(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"fingers": "three", "input": "keyboard"}))
	last := p.setup.Neck.Positions(coach.Three.Width())
	struck(p, 62, 0, time.Second)
	p.Do(Action{Kind: Anchor, Value: last})
	assert.Equal(t, last, p.Snapshot().Hand.Position)
	p.Do(Action{Kind: Swap})
	s := p.Snapshot()
	assert.LessOrEqual(t, s.Hand.Position, p.setup.Neck.Positions(coach.Four.Width()))
}

// What is played on hold is in no passage: the history counts none of it.
func TestHand_PlaysNothingOnHold(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	at := time.Duration(0)
	play := func(notes int) {
		for range notes {
			struck(p, 45, at, 200*time.Millisecond)
			at += 250 * time.Millisecond
		}
		p.Advance(at)
	}
	play(4)
	p.Do(Action{Kind: Hold})
	play(240)
	p.Do(Action{Kind: Hold})
	p.End(at + time.Second)
	whole := p.Whole(p.Snapshot())
	assert.Equal(t, 4, whole.Notes)
	assert.Equal(t, 950*time.Millisecond, whole.Played)
	assert.Equal(t, whole.Played.Minutes(), p.load(p.now).Minutes)
}

// Nor does it say how long the hand had for the note after it.
func TestHand_HearsNothingOfWhatIsPlayedOnHold(t *testing.T) {
	t.Parallel()
	answers := func(onHold bool) []ReviewNote {
		p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
		at := time.Duration(0)
		play := func(length time.Duration, keys ...byte) {
			for _, key := range keys {
				struck(p, key, at, length)
				at += 250 * time.Millisecond
			}
		}
		play(240*time.Millisecond, 45, 47, 48, 50, 48, 47, 45)
		p.Do(Action{Kind: Hold})
		if onHold {
			play(245*time.Millisecond, 50, 52, 50, 52)
		}
		at = 5 * time.Second
		if onHold {
			p.Event(midiin.Event{At: at - 100*time.Millisecond, Data: [3]byte{0x90, 40, 90}})
		}
		p.Do(Action{Kind: Hold})
		play(240*time.Millisecond, 55, 57, 59)
		p.End(at + time.Second)
		return p.Review("x", "", nil).Notes
	}
	assert.Equal(t, answers(false), answers(true))
}

// Where the hand went on hold nobody knows, until a note tells or the player.
func TestHand_IsStaleAfterAHold(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	hold := func() { p.Do(Action{Kind: Hold}) }
	hold()
	hold()
	assert.False(t, p.Snapshot().Stale, "nothing was heard")
	struck(p, 45, time.Second, time.Second)
	assert.False(t, p.Snapshot().Stale)
	hold()
	assert.True(t, p.Snapshot().Stale)
	struck(p, 57, 3*time.Second, time.Second)
	hold()
	assert.True(t, p.Snapshot().Stale)
	struck(p, 57, 5*time.Second, time.Second)
	assert.False(t, p.Snapshot().Stale)
	hold()
	p.Do(Action{Kind: Anchor, Value: 9})
	assert.False(t, p.Snapshot().Stale)
}

func TestHand_TakesAWordBeforeTheFirstNoteForThatNote(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	p.Advance(time.Second)
	assert.Equal(t, "hand at 7", p.Do(Action{Kind: Anchor, Value: 7}))
	assert.Equal(t, 7, p.Snapshot().Hand.Position)
	struck(p, 48, 2*time.Second, time.Second) // as well fret 3 of A
	hand := p.Snapshot().Hand
	assert.Equal(t, 7, hand.Position)
	assert.InDelta(t, 1, hand.Probability, 1e-9)
	assert.Equal(t, 1, p.anchors)
	struck(p, 33, 4*time.Second, time.Second)
	assert.Equal(t, 1, p.anchors, "it is told once")
}

// What the first note cannot have been played from says nothing of where the hand
// is after it: F1 lies at fret 1 of the E string and nowhere else.
func TestHand_BelievesNoWordThatTheFirstNoteContradicts(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard"}))
	p.Do(Action{Kind: Anchor, Value: 12})
	struck(p, 29, time.Second, time.Second)
	hand := p.Snapshot().Hand
	assert.Equal(t, coach.Place{String: 4, Fret: 1}, hand.Place)
	assert.LessOrEqual(t, hand.Position, 2)
}

// Nor where a rung asked for the hand, if the player begins it elsewhere.
func TestHand_IsNotWhereARungAskedForItUnderANoteOfElsewhere(t *testing.T) {
	t.Parallel()
	p := keyboard(t, rungPlan(t, 120))
	struck(p, 45, time.Second, 200*time.Millisecond)
	struck(p, 29, time.Second+4*testBeat, 200*time.Millisecond)
	hand := p.Snapshot().Hand
	assert.Equal(t, coach.Place{String: 4, Fret: 1}, hand.Place)
	assert.LessOrEqual(t, hand.Position, 2)
	assert.Zero(t, p.anchors)
}

// A passage ends where the newest note has been released for long enough,
// whatever rings on, for the hand as for what is reviewed later.
func TestHand_HasThePassagesOfItsReview(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4"}))
	rings := func(channel, key byte, on, off time.Duration) []midiin.Event {
		return []midiin.Event{{At: on, Data: [3]byte{0x90 | channel, key, 90}}, {At: off, Data: [3]byte{0x80 | channel, key, 0}}}
	}
	ms := time.Millisecond
	low := rings(3, 28, 0, 5000*ms)
	p.Event(low[0])
	for _, e := range rings(0, 45, 1000*ms, 1200*ms) {
		p.Event(e)
	}
	p.Advance(1700 * ms)
	assert.True(t, p.rest.closed)
	for _, e := range rings(0, 47, 2000*ms, 2300*ms) {
		p.Event(e)
	}
	p.Event(low[1])
	p.End(6000 * ms)
	played := p.Whole(p.Snapshot()).Played
	assert.Equal(t, 2300*ms, played, "the first passage rings until the second begins")
	assert.Equal(t, played, Played(p.record.notes))
}

// A slide is a shift (the model), also where the fewest would strike its end from
// the same window: what is sure is no more than "at least".
func TestHand_HasMovedAtLeastAsOftenAsItSlid(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"strings": "1=1,2=2,3=3,4=4"}))
	at := time.Duration(0)
	for range 3 { // C2 on the A string, up to D2, two frets with the default range
		p.Event(midiin.Event{At: at, Data: [3]byte{0x92, 36, 90}})
		p.Event(midiin.Event{At: at + 300*time.Millisecond, Data: [3]byte{0xE2, 0x7F, 0x7F}})
		p.Event(midiin.Event{At: at + 800*time.Millisecond, Data: [3]byte{0x82, 36, 0}})
		p.Event(midiin.Event{At: at + 810*time.Millisecond, Data: [3]byte{0xE2, 0, 0x40}})
		at += time.Second
	}
	p.End(at)
	r := p.Review("x", "", nil)
	sure := 0
	for _, s := range r.Shifts {
		if s.Kind == "sure" {
			sure++
		}
	}
	assert.Equal(t, 3, sure)
	assert.Zero(t, r.Systems["four"].Fewest)
	assert.Equal(t, 3, r.Count.AtLeast)
	assert.GreaterOrEqual(t, r.Count.Likely, 3.0)
	assert.Equal(t, 3, p.Snapshot().Take.AtLeast)
}

// A finger on a place that is a guess stays one when its note has settled:
// Sounding.Probability is of Place with Finger.
func TestHand_SoundsNoSurerThanItsPlace(t *testing.T) {
	t.Parallel()
	h := &hand{}
	h.record.notes = []ReviewNote{{Pitch: 38, String: 2, Position: 3, Probability: 0.97, PlaceSure: 0.55}}
	pending := coach.Estimate{Position: 3, Probability: 0.97, Place: coach.Place{String: 2}, PlaceProbability: 0.55}
	before := h.sounding(playing{pitch: 38}, []coach.Estimate{pending}).Probability
	after := h.sounding(playing{pitch: 38}, nil).Probability
	assert.InDelta(t, 0.5335, before, 1e-4)
	assert.InDelta(t, before, after, 1e-4)
}

// The word before the first note is for that note, whatever fingers are declared
// in between; a word that comes to nothing is no word.
func TestHand_KeepsAWordBeforeTheFirstNoteOverASwap(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"fingers": "three", "input": "keyboard"}))
	last := p.setup.Neck.Positions(coach.Three.Width())
	p.Do(Action{Kind: Anchor, Value: last})
	p.Do(Action{Kind: Swap})
	shown := p.Snapshot().Hand.Position
	four := p.setup.Neck.Positions(coach.Four.Width())
	assert.Equal(t, four, shown)
	struck(p, byte(p.setup.Neck.Open[3]+four), time.Second, time.Second)
	if p.anchors == 1 {
		assert.Equal(t, shown, p.Snapshot().Hand.Position, "told once, and not followed")
	}
}

// Each word where the hand is has an answer: where it is taken to be, or that there
// is none yet to correct.
func TestHand_AnswersEachWordWhereItIs(t *testing.T) {
	t.Parallel()
	p := NewPipeline(plainSetup(t, map[string]string{"input": "keyboard", "strings": "1=1,2=2,3=3,4=4"}))
	assert.Zero(t, p.Snapshot().Placed)
	p.Do(Action{Kind: Correct, Value: 1})
	assert.Equal(t, Placed{1, 0}, p.Snapshot().Placed)
	struck(p, 50, 0, time.Second)
	last := p.hand.last()
	for i, word := range []struct {
		Action
		want int
	}{{Action{Anchor, 7}, 7}, {Action{Anchor, 0}, 7}, {Action{Correct, 1}, 8}, {Action{Correct, -1}, 7}, {Action{Anchor, last}, last}, {Action{Correct, 1}, last}} {
		p.Do(word.Action)
		assert.Equal(t, Placed{i + 2, word.want}, p.Snapshot().Placed)
	}
	p.Do(Action{Kind: Mark})
	assert.Equal(t, 7, p.Snapshot().Placed.Times)
}
