package midiin

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const ms = time.Millisecond

// on and off are note messages; channel from 1.
func on(at time.Duration, channel, key, velocity int) Event {
	return Event{At: at, Data: [3]byte{0x90 | byte(channel-1), byte(key), byte(velocity)}}
}

func off(at time.Duration, channel, key int) Event {
	return Event{At: at, Data: [3]byte{0x80 | byte(channel-1), byte(key), 64}}
}

func control(at time.Duration, channel, number, value int) Event {
	return Event{At: at, Data: [3]byte{0xB0 | byte(channel-1), byte(number), byte(value)}}
}

// steady is n notes of 200 ms at velocity 80 on one channel from 0 on, up and
// down five frets, so that loudness is known.
func steady(n, channel int) (es []Event, end time.Duration) {
	for i := range n {
		at := time.Duration(i) * 250 * ms
		key := 33 + i%5
		es = append(es, on(at, channel, key, 80), off(at+200*ms, channel, key))
	}
	return es, time.Duration(n) * 250 * ms
}

func reasons(h *heard) []DropReason {
	var rs []DropReason
	for _, d := range h.dropped {
		rs = append(rs, d.Reason)
	}
	return rs
}

func TestCleaner_TellsGapAndSounding(t *testing.T) {
	t.Parallel()
	h := clean(t, CleanerOptions{}, []Event{
		on(0, 1, 40, 80), off(200*ms, 1, 40),
		on(250*ms, 1, 41, 80), // 50 ms after the release
		on(400*ms, 1, 43, 80), // legato: the note before still sounds
		off(410*ms, 1, 41), off(600*ms, 1, 43),
		on(600*ms, 1, 40, 80),                      // released at the same moment
		{At: 700 * ms, Data: [3]byte{0x90, 40, 0}}, // velocity 0 is a note-off (MIDI 1.0)
	})
	require.Len(t, h.notes, 4)
	type gap struct {
		gap      time.Duration
		sounding bool
	}
	var got []gap
	for _, n := range h.notes {
		got = append(got, gap{n.Gap, n.Sounding})
	}
	assert.Equal(t, []gap{{Rest, false}, {50 * ms, false}, {0, true}, {0, false}}, got)
	assert.Equal(t, map[int]time.Duration{0: 200 * ms, 1: 410 * ms, 2: 600 * ms, 3: 700 * ms}, h.offs)
	assert.Equal(t, Note{ID: 1, At: 250 * ms, Channel: 0, Pitch: 41, Velocity: 80, Gap: 50 * ms}, h.notes[1])
}

func TestCleaner_DeliversPlainNotesAtOnce(t *testing.T) {
	t.Parallel()
	for _, mode := range []Mode{Auto, Pickup, Keyboard} {
		es, _ := steady(50, 1)
		h := hear(t)
		c := NewCleaner(CleanerOptions{Open: bass4, Frets: 22, Mode: mode}, h)
		n := 0
		for _, e := range es {
			c.Event(e)
			if e.Data[0]>>4 == 9 {
				n++
			}
			require.Len(t, h.notes, n, "no waiting")
			_, waits := c.Deadline()
			require.False(t, waits)
		}
	}
}

func TestCleaner_DropsDoubleTriggers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		mode  Mode
		apart time.Duration
		want  int
	}{
		{Pickup, 44 * ms, 1}, {Pickup, 45 * ms, 2}, {Auto, 29 * ms, 1}, {Auto, 30 * ms, 2}, {Keyboard, 5 * ms, 2},
	} {
		es := []Event{on(0, 1, 40, 80), off(c.apart-2*ms, 1, 40), on(c.apart, 1, 40, 70), off(300*ms, 1, 40)}
		h := clean(t, CleanerOptions{Mode: c.mode}, es)
		require.Len(t, h.notes, c.want, "mode %d, %v apart", c.mode, c.apart)
		if c.want == 1 {
			assert.Equal(t, []DropReason{DoubleTrigger}, reasons(h))
			assert.Equal(t, 300*ms, h.offs[0], "the note goes on under the second trigger")
		}
	}
	// Struck again while it sounds: the same.
	h := clean(t, CleanerOptions{}, []Event{on(0, 1, 40, 80), on(20*ms, 1, 40, 80), off(300*ms, 1, 40)})
	assert.Len(t, h.notes, 1)
	assert.Equal(t, 300*ms, h.offs[0])
	// A soft one that announces the note: one note, as loud as it was meant.
	es, end := steady(8, 1)
	h = clean(t, CleanerOptions{}, append(es, on(end, 1, 40, 12), off(end+15*ms, 1, 40), on(end+16*ms, 1, 40, 75), off(end+200*ms, 1, 40)))
	require.Len(t, h.notes, 9)
	assert.Equal(t, Note{ID: 8, At: end, Pitch: 40, Velocity: 75, Gap: 50 * ms}, h.notes[8])
	assert.Equal(t, end+200*ms, h.offs[8])
	// It waits for nothing more then.
	h = hear(t)
	waiting := NewCleaner(CleanerOptions{Open: bass4, Frets: 22}, h)
	for _, e := range append(es[:16:16], on(end, 1, 40, 12), on(end+16*ms, 1, 40, 75)) {
		waiting.Event(e)
	}
	assert.Len(t, h.notes, 9)
	// Told as it sounds, like every note left out.
	h = clean(t, CleanerOptions{}, []Event{bend(0, 1, semitones(2, 2)), on(ms, 1, 40, 80), on(10*ms, 1, 40, 80), off(300*ms, 1, 40)})
	assert.Equal(t, []Dropped{{At: 10 * ms, Pitch: 42, Reason: DoubleTrigger}}, h.dropped)
	// Another key, or another string's channel, is another note.
	h = clean(t, CleanerOptions{}, []Event{on(0, 1, 40, 80), on(20*ms, 1, 41, 80), on(25*ms, 2, 40, 80)})
	assert.Len(t, h.notes, 3)
}

func TestCleaner_DropsGhosts(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		ghost []Event // from 0, the moment of a stroke at velocity 80
		mode  Mode
		want  bool
	}{
		"very soft and short":         {[]Event{on(0, 2, 38, 12), off(25*ms, 2, 38)}, Pickup, true},
		"very soft and short, auto":   {[]Event{on(0, 2, 38, 12), off(25*ms, 2, 38)}, Auto, true},
		"very soft but held":          {[]Event{on(0, 2, 38, 12), off(200*ms, 2, 38)}, Pickup, false},
		"short but not soft":          {[]Event{on(0, 2, 38, 60), off(25*ms, 2, 38)}, Pickup, false},
		"soft beside a louder stroke": {[]Event{on(0, 2, 38, 35), on(10*ms, 1, 45, 80), off(30*ms, 2, 38), off(200*ms, 1, 45)}, Pickup, true},
		"soft, short and alone":       {[]Event{on(0, 2, 38, 35), off(40*ms, 2, 38)}, Pickup, false},
		"keys have no ghosts":         {[]Event{on(0, 2, 38, 5), off(10*ms, 2, 38)}, Keyboard, false},
	} {
		es, end := steady(8, 1)
		for _, g := range c.ghost {
			g.At += end
			es = append(es, g)
		}
		h := clean(t, CleanerOptions{Mode: c.mode}, es)
		dropped := len(h.dropped) > 0
		assert.Equal(t, c.want, dropped, name)
		if dropped {
			assert.Equal(t, []Dropped{{At: end, Channel: 1, Pitch: 38, Reason: Ghost}}, h.dropped, name)
		}
	}
}

func TestCleaner_DropsHarmonicHeardBeforeItsNote(t *testing.T) {
	t.Parallel()
	es, end := steady(8, 1)
	h := clean(t, CleanerOptions{Mode: Pickup}, append(es,
		on(end, 1, 47, 80), off(end+20*ms, 1, 47), on(end+21*ms, 1, 35, 80), off(end+200*ms, 1, 35)))
	assert.Equal(t, []Dropped{{At: end, Pitch: 47, Reason: Ghost}}, h.dropped)
	assert.Equal(t, 35, h.notes[8].Pitch)
	// An octave that is meant is played on.
	h = clean(t, CleanerOptions{Mode: Pickup}, append(es[:16:16], on(end, 1, 47, 80), off(end+200*ms, 1, 47)))
	assert.Empty(t, h.dropped)
}

func TestCleaner_DropsWhatIsOffTheNeckOrUnrelated(t *testing.T) {
	t.Parallel()
	h := clean(t, CleanerOptions{}, []Event{
		on(0, 1, 27, 80), on(100*ms, 1, 28, 80), on(200*ms, 1, 65, 80), on(300*ms, 1, 66, 80), // E1 to fret 22 of G2
		on(400*ms, 10, 36, 80), // drums beside a line
	})
	assert.Equal(t, []Dropped{
		{0, 0, 27, OffNeck}, {300 * ms, 0, 66, OffNeck}, {400 * ms, 9, 36, Unrelated},
	}, h.dropped)
	// Channel 10 by itself may be a player's.
	assert.Empty(t, clean(t, CleanerOptions{}, []Event{on(0, 10, 36, 80), on(100*ms, 10, 38, 80)}).dropped)
	// What the player left out is unrelated.
	o, err := ParseStrings("1=1,2=2,3=3,4=4")
	require.NoError(t, err)
	h = clean(t, CleanerOptions{Strings: o}, []Event{on(0, 1, 45, 80), on(100*ms, 5, 45, 80)})
	assert.Equal(t, []Dropped{{100 * ms, 4, 45, Unrelated}}, h.dropped)
}

func TestCleaner_ShiftsOctavesOfASmallKeyboard(t *testing.T) {
	t.Parallel()
	h := clean(t, CleanerOptions{Mode: Keyboard, Octave: -2}, []Event{on(0, 1, 60, 80), off(100*ms, 1, 60), on(200*ms, 1, 40, 80)})
	require.Len(t, h.notes, 1)
	assert.Equal(t, 36, h.notes[0].Pitch)
	assert.Equal(t, []Dropped{{200 * ms, 0, 16, OffNeck}}, h.dropped)
}

func TestCleaner_UndoesDelayByPitch(t *testing.T) {
	t.Parallel()
	// Frequencies of E1, A1, D2 and G2: ISO 16:1975 and equal temperament.
	for pitch, hz := range map[int]float64{28: 41.203, 33: 55.000, 38: 73.416, 43: 97.999} {
		h := clean(t, CleanerOptions{Mode: Pickup}, []Event{on(time.Second, 1, pitch, 80)})
		assert.InDelta(t, 1000-1.5*1000/hz, h.notes[0].At.Seconds()*1000, 0.01)
		for _, mode := range []Mode{Auto, Keyboard} {
			h = clean(t, CleanerOptions{Mode: mode}, []Event{on(time.Second, 1, pitch, 80)})
			assert.Equal(t, time.Second, h.notes[0].At)
		}
	}
	// Struck together the high string is heard first: onsets stay in order.
	h := clean(t, CleanerOptions{Mode: Pickup}, []Event{on(1015*ms, 1, 43, 80), on(1036*ms, 2, 28, 80)})
	require.Len(t, h.notes, 2)
	assert.InDelta(t, 1000, h.notes[0].At.Seconds()*1000, 1)
	assert.Equal(t, h.notes[0].At, h.notes[1].At)
}

func TestCleaner_EndsWhatSounds(t *testing.T) {
	t.Parallel()
	h := hear(t)
	c := NewCleaner(CleanerOptions{Open: bass4, Frets: 22}, h)
	c.Event(on(0, 1, 40, 80))
	c.Event(on(100*ms, 2, 45, 80))
	c.End(500 * ms) // unplugged
	assert.Equal(t, map[int]time.Duration{0: 500 * ms, 1: 500 * ms}, h.offs)
	c.Event(off(600*ms, 1, 40))
	c.Event(on(700*ms, 1, 41, 80)) // back again
	require.Len(t, h.notes, 3)
	assert.Equal(t, 200*ms, h.notes[2].Gap)
	for _, number := range []int{120, 123, 124, 125, 126, 127} { // MIDI 1.0: all of these silence a channel
		at := time.Duration(number) * time.Second
		c.Event(control(at, 1, number, 0))
		c.Event(on(at+100*ms, 1, 40, 80))
	}
	c.End(200 * time.Second)
	assert.Equal(t, map[int]time.Duration{
		0: 500 * ms, 1: 500 * ms, 2: 120 * time.Second, 3: 123 * time.Second,
		4: 124 * time.Second, 5: 125 * time.Second, 6: 126 * time.Second, 7: 127 * time.Second, 8: 200 * time.Second,
	}, h.offs)
}

// play runs tagged events through a Cleaner, letting time pass now and then
// when rng is not nil, and checks what Safe promises.
func play(t *testing.T, o CleanerOptions, es []tagged, rng *rand.Rand) *heard {
	h := hear(t)
	c := NewCleaner(o, h)
	safe := time.Duration(-1 << 62)
	check := func(now time.Duration, seen int) {
		for _, n := range h.notes[seen:] {
			if n.At < safe {
				require.GreaterOrEqual(t, n.At, safe, "every onset before Safe has been delivered")
			}
		}
		s := c.Safe(now)
		require.GreaterOrEqual(t, s, safe, "Safe does not go back")
		safe = s
	}
	for i, e := range es {
		seen := len(h.notes)
		c.Event(e.Event)
		check(e.At, seen)
		if rng == nil || i+1 == len(es) {
			continue
		}
		for now := e.At; rng.IntN(3) > 0; {
			seen = len(h.notes)
			if at, ok := c.Deadline(); ok && rng.IntN(2) == 0 {
				now = max(now, at)
			} else {
				now += time.Duration(rng.Int64N(int64(20 * ms)))
			}
			if now > es[i+1].At {
				break
			}
			c.Advance(now)
			check(now, seen)
		}
	}
	c.End(es[len(es)-1].At)
	require.Len(t, h.offs, len(h.notes), "every note is released")
	return h
}

func TestCleaner_AnswersAlikeHoweverTimePasses(t *testing.T) {
	t.Parallel()
	for _, mode := range []Mode{Auto, Pickup, Keyboard} {
		for seed := range uint64(6) {
			p := newPickup(seed)
			p.vibrato, p.slides = 0.2, 0.1
			es := p.play(300)
			o := CleanerOptions{Open: bass4, Frets: 22, Mode: mode}
			want := play(t, o, es, nil)
			for ticks := range uint64(3) {
				got := play(t, o, es, rand.New(rand.NewPCG(seed, ticks)))
				require.Equal(t, want.log, got.log)
			}
		}
	}
}
