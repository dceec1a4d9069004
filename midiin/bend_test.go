package midiin

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bend is a pitch bend message; value from -8192 to 8191. The centre is 2000H
// (MIDI 1.0).
func bend(at time.Duration, channel, value int) Event {
	v := value + 0x2000
	return Event{At: at, Data: [3]byte{0xE0 | byte(channel-1), byte(v & 0x7F), byte(v >> 7)}}
}

// bendRangeOf announces a range by RPN 0,0: MSB semitones, LSB cents (MIDI 1.0).
func bendRangeOf(channel, semitones, cents int) []Event {
	return []Event{control(0, channel, 101, 0), control(0, channel, 100, 0), control(0, channel, 6, semitones), control(0, channel, 38, cents),
		control(0, channel, 101, 127), control(0, channel, 100, 127), // null: what follows is no range
		control(0, channel, 6, 99)}
}

// semitones is a bend's value for a range.
func semitones(by float64, bendRange int) int { return int(math.Round(8192 * by / float64(bendRange))) }

func TestCleaner_ReadsSlidesAsNotes(t *testing.T) {
	t.Parallel()
	es := append(bendRangeOf(1, 12, 0), on(0, 1, 40, 80))
	for i := range 20 { // two frets up in 100 ms, and at rest
		es = append(es, bend(time.Duration(200+5*i)*ms, 1, semitones(float64(i)/10, 12)))
	}
	es = append(es, bend(300*ms, 1, semitones(2.05, 12)), off(600*ms, 1, 40), bend(601*ms, 1, 0), on(700*ms, 1, 40, 80))
	h := clean(t, CleanerOptions{}, es)
	require.Len(t, h.notes, 3)
	n := h.notes[1]
	assert.Equal(t, 42, n.Pitch)
	assert.Equal(t, 2, n.Slide)
	assert.Equal(t, 80, n.Velocity)
	assert.False(t, n.Sounding)
	assert.Zero(t, n.Gap)
	assert.InDelta(t, 285, n.At.Seconds()*1000, 2.6, "when the bend came near the fret")
	assert.Equal(t, n.At, h.offs[0], "the note that is left ends there")
	assert.Equal(t, 600*ms, h.offs[1], "the key's release ends the note slid to")
	assert.Equal(t, 40, h.notes[2].Pitch)
	assert.Equal(t, 0, h.notes[2].Slide)
	assert.Equal(t, 100*ms, h.notes[2].Gap)
}

// A slide over many frets is one move, to where it rests, however slowly it goes
// and also where it sharpens a little at its end; a rest on the way makes it two.
func TestCleaner_ReadsALongSlideAsOneNote(t *testing.T) {
	t.Parallel()
	slide := func(fret time.Duration, to float64, rests ...float64) []Event {
		es := append(bendRangeOf(1, 12, 0), on(0, 1, 40, 80))
		const step = 10 * time.Millisecond
		at, by := 200*ms, 0.0
		for math.Abs(by) < math.Abs(to) {
			es = append(es, bend(at, 1, semitones(by, 12)))
			if len(rests) > 0 && math.Abs(by) >= math.Abs(rests[0]) {
				at, rests = at+150*ms, rests[1:]
			}
			by += math.Copysign(float64(step)/float64(fret), to)
			at += step
		}
		for i := range 60 {
			es = append(es, bend(at, 1, semitones(to+math.Copysign(0.0007*float64(i), to), 12)))
			at += step
		}
		return append(es, off(at, 1, 40), bend(at+ms, 1, 0))
	}
	for _, fret := range []time.Duration{20 * ms, 76 * ms, 150 * ms, 400 * ms} {
		for _, to := range []float64{5, 1, -4} {
			h := clean(t, CleanerOptions{}, slide(fret, to))
			require.Len(t, h.notes, 2, "%v a fret, %v frets", fret, to)
			assert.Equal(t, []int{40 + int(to), int(to)}, []int{h.notes[1].Pitch, h.notes[1].Slide})
			h = clean(t, CleanerOptions{}, slide(fret, to+math.Copysign(2, to), to))
			require.Len(t, h.notes, 3, "%v a fret, with a rest at %v", fret, to)
			assert.Equal(t, []int{int(to), int(math.Copysign(2, to))}, []int{h.notes[1].Slide, h.notes[2].Slide})
		}
	}
}

func TestCleaner_SlidesThereAndBack(t *testing.T) {
	t.Parallel()
	h := clean(t, CleanerOptions{}, []Event{on(0, 1, 40, 80), bend(200*ms, 1, semitones(2, 2)), bend(400*ms, 1, semitones(-1, 2)), bend(600*ms, 1, 0), off(800*ms, 1, 40)})
	var pitches, slides []int
	for _, n := range h.notes {
		pitches, slides = append(pitches, n.Pitch), append(slides, n.Slide)
	}
	assert.Equal(t, []int{40, 42, 39, 40}, pitches)
	assert.Equal(t, []int{0, 2, -3, 1}, slides)
}

// A note that waits behind one that may be a ghost is bent meanwhile, and then no
// more.
func TestCleaner_SlidesANoteThatWaited(t *testing.T) {
	t.Parallel()
	es, end := steady(20, 1)
	es = append(es, on(end, 1, 36, 3), on(end+5*ms, 2, 45, 80), bend(end+10*ms, 2, semitones(2, 2)), off(end+500*ms, 1, 36), off(end+600*ms, 2, 45))
	h := clean(t, CleanerOptions{}, es)
	last := h.notes[len(h.notes)-1]
	assert.Equal(t, []int{47, 2}, []int{last.Pitch, last.Slide})
}

// Further than it should, and back a fret: where it rests is where it slid to.
func TestCleaner_SlidesToWhereABendThatTurnedRests(t *testing.T) {
	t.Parallel()
	es := append(bendRangeOf(1, 12, 0), on(0, 1, 40, 80), bend(200*ms, 1, semitones(1, 12)), bend(220*ms, 1, semitones(2, 12)))
	at := 240 * ms
	for by := 1.9; by > 0.95; by -= 0.1 {
		es = append(es, bend(at, 1, semitones(by, 12)))
		at += 5 * ms
	}
	h := clean(t, CleanerOptions{}, append(es, off(time.Second, 1, 40)))
	require.Len(t, h.notes, 2)
	assert.Equal(t, []int{41, 1}, []int{h.notes[1].Pitch, h.notes[1].Slide})
}

func TestCleaner_TakesNoVibratoForASlide(t *testing.T) {
	t.Parallel()
	for _, depth := range []float64{0.2, 0.45, 0.7} {
		for _, hz := range []float64{4.5, 6} {
			es := []Event{on(0, 1, 40, 80)}
			for at := 100 * ms; at < 2*time.Second; at += 5 * ms {
				es = append(es, bend(at, 1, semitones(depth*math.Sin(2*math.Pi*hz*at.Seconds()), 2)))
			}
			h := clean(t, CleanerOptions{}, append(es, off(2*time.Second, 1, 40)))
			assert.Len(t, h.notes, 1, "%v semitones, %v Hz", depth, hz)
		}
	}
	// One that turns quickly, and passes the frets of its way back more slowly.
	for _, by := range []float64{2, -2, 3} {
		es := append(bendRangeOf(1, 12, 0), on(0, 1, 40, 80))
		at := 200 * ms
		for at = 200 * ms; at < 240*ms; at += 4 * ms {
			es = append(es, bend(at, 1, semitones(by*float64(at-200*ms)/float64(40*ms), 12)))
		}
		back := time.Duration(math.Abs(by)*80) * ms
		for ; at < 240*ms+back; at += 4 * ms {
			es = append(es, bend(at, 1, semitones(by*(1-float64(at-240*ms)/float64(back)), 12)))
		}
		h := clean(t, CleanerOptions{}, append(es, bend(at, 1, 0), off(time.Second, 1, 40)))
		assert.Len(t, h.notes, 1, "%v semitones there and back", by)
	}
	// A bend that passes over a fret and comes back at once.
	h := clean(t, CleanerOptions{}, []Event{on(0, 1, 40, 80), bend(200*ms, 1, semitones(1, 2)), bend(250*ms, 1, 0), off(time.Second, 1, 40)})
	assert.Len(t, h.notes, 1)
}

func TestCleaner_UsesTheBendRangeOfEachChannel(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		range_ []Event
		want   int // frets of a bend to the top
	}{
		"two semitones if nothing is said": {nil, 2},
		"semitones":                        {bendRangeOf(2, 12, 0), 12},
		"semitones and cents":              {bendRangeOf(2, 4, 20), 4},
		"semitones anew, without the cents of before (MIDI 1.0: an MSB clears the LSB; memory)": {append(bendRangeOf(2, 2, 90), bendRangeOf(2, 12, 0)[:3]...), 12},
		"another channel's":               {bendRangeOf(3, 12, 0), 2},
		"the global channel's":            {bendRangeOf(1, 7, 0), 7}, // MIDI 1.0, mode 4: the channel below the first
		"its own before the global one's": {append(bendRangeOf(1, 7, 0), bendRangeOf(2, 5, 0)...), 5},
		"its own in semitones alone":      {append(bendRangeOf(1, 7, 0), control(0, 2, 101, 0), control(0, 2, 100, 0), control(0, 2, 6, 5)), 5},
		"not a non-registered parameter":  {[]Event{control(0, 2, 101, 0), control(0, 2, 100, 0), control(0, 2, 99, 0), control(0, 2, 98, 0), control(0, 2, 6, 12)}, 2},
		"not after a reset":               {[]Event{control(0, 2, 101, 0), control(0, 2, 100, 0), control(0, 2, 121, 0), control(0, 2, 6, 12)}, 2},
	} {
		top := 8191
		h := clean(t, CleanerOptions{}, append(c.range_, on(ms, 2, 33, 80), bend(200*ms, 2, top), off(time.Second, 2, 33)))
		require.Len(t, h.notes, 2, name)
		assert.Equal(t, c.want, h.notes[1].Slide, name)
	}
}

func TestCleaner_HandlesTheBendThatANoteLeaves(t *testing.T) {
	t.Parallel()
	slid := []Event{on(0, 1, 40, 80), bend(200*ms, 1, semitones(2, 2)), off(500*ms, 1, 40)}
	// The centre comes just behind the next note: it sounds as its key says.
	h := clean(t, CleanerOptions{}, append(slid[:3:3], on(600*ms, 1, 45, 80), bend(603*ms, 1, 0), off(800*ms, 1, 45)))
	require.Len(t, h.notes, 3)
	assert.Equal(t, 45, h.notes[2].Pitch)
	assert.Equal(t, 600*ms, h.notes[2].At)
	// The converter leaves the bend as it is: the key sounds bent.
	h = clean(t, CleanerOptions{}, append(slid[:3:3], on(600*ms, 1, 45, 80), off(800*ms, 1, 45)))
	require.Len(t, h.notes, 3)
	assert.Equal(t, 47, h.notes[2].Pitch)
	assert.Zero(t, h.notes[2].Slide)
}

// The cable came out in the middle of a bend: nobody told of its centre.
func TestCleaner_ForgetsTheBendOfAnInputThatIsGone(t *testing.T) {
	t.Parallel()
	h := hear(t)
	c := NewCleaner(CleanerOptions{Open: bass4, Frets: 22}, h)
	for _, e := range append(bendRangeOf(1, 12, 0), on(0, 1, 40, 80), bend(200*ms, 1, semitones(2, 12))) {
		c.Event(e)
	}
	c.End(time.Second)
	c.Event(on(2*time.Second, 1, 40, 80))
	c.Event(bend(2200*ms, 1, semitones(3, 12)))
	c.End(3 * time.Second)
	pitches := make([]int, len(h.notes))
	for i, n := range h.notes {
		pitches[i] = n.Pitch
	}
	assert.Equal(t, []int{40, 42, 40, 43}, pitches, "the range that was told stays")
}

func TestCleaner_BendsNoChordAndNoKeys(t *testing.T) {
	t.Parallel()
	up := bend(200*ms, 1, semitones(2, 2))
	h := clean(t, CleanerOptions{}, []Event{on(0, 1, 40, 80), on(10*ms, 1, 47, 80), up, off(time.Second, 1, 40), off(time.Second, 1, 47)})
	assert.Len(t, h.notes, 2, "which note slides cannot be told")
	h = clean(t, CleanerOptions{Mode: Keyboard}, []Event{on(0, 1, 40, 80), up, off(time.Second, 1, 40), on(1100*ms, 1, 40, 80)})
	require.Len(t, h.notes, 2, "a wheel is no hand on a neck")
	assert.Equal(t, 40, h.notes[1].Pitch)
	// Bent off the neck while it was not yet told whether the bend stays.
	h = clean(t, CleanerOptions{}, []Event{up, on(300*ms, 1, 65, 80), off(time.Second, 1, 65)})
	assert.Equal(t, []Dropped{{300 * ms, 0, 67, OffNeck}}, h.dropped)
	h = clean(t, CleanerOptions{}, []Event{on(0, 1, 65, 80), up, off(time.Second, 1, 65)})
	assert.Len(t, h.notes, 1, "no slide leaves the neck")
	assert.Equal(t, time.Second, h.offs[0])
}

// A ghost on the channel, as a slide makes one, has no part in the bend.
func TestCleaner_SlidesUnderAGhost(t *testing.T) {
	t.Parallel()
	es, end := steady(8, 1)
	es = append(es, on(end, 1, 40, 80))
	ghost := []Event{on(end+205*ms, 1, 52, 10), off(end+230*ms, 1, 52)}
	for name, slide := range map[string][]Event{
		"that came after the bend":      {bend(end+200*ms, 1, semitones(2, 2)), ghost[0], ghost[1]},
		"that came in the middle of it": {bend(end+200*ms, 1, semitones(1, 2)), ghost[0], bend(end+210*ms, 1, semitones(2, 2)), ghost[1]},
	} {
		h := clean(t, CleanerOptions{Mode: Pickup}, append(append(es[:17:17], slide...), off(end+600*ms, 1, 40)))
		assert.Equal(t, []DropReason{Ghost}, reasons(h), name)
		last := h.notes[len(h.notes)-1]
		assert.Equal(t, []int{42, 2}, []int{last.Pitch, last.Slide}, name)
	}
}

// The wheel goes back for the next note while the one that was slid still rings:
// nobody slid back.
func TestCleaner_LeavesABendToTheNoteThatFollows(t *testing.T) {
	t.Parallel()
	h := clean(t, CleanerOptions{}, []Event{on(0, 1, 40, 80), bend(200*ms, 1, semitones(2, 2)),
		bend(500*ms, 1, 0), on(501*ms, 1, 45, 80), off(700*ms, 1, 40), off(900*ms, 1, 45)})
	var pitches []int
	for _, n := range h.notes {
		pitches = append(pitches, n.Pitch)
	}
	assert.Equal(t, []int{40, 42, 45}, pitches)
}
