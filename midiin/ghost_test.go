package midiin

import (
	"cmp"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The running median is that of the sorted velocities.
func TestLoudness_IsTheMedianOfTheNewest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var l loudness
		var all []uint8
		for _, v := range rapid.SliceOfN(rapid.Uint8Range(1, 127), 0, 60).Draw(t, "velocities") {
			l.add(v)
			all = append(all, v)
			newest := slices.Sorted(slices.Values(all[max(0, len(all)-len(l.ring)):]))
			want := 0
			if len(all) >= leastLoudness {
				want = int(newest[(len(newest)-1)/2])
			}
			if l.usual() != want {
				t.Fatalf("%d for the median of %v", l.usual(), newest)
			}
		}
	})
}

// A louder note counts as struck together up to near before, and no longer.
func TestOnsets_LoudestLooksBackSoFar(t *testing.T) {
	t.Parallel()
	var o onsets
	o.add(onset{at: 0, velocity: 120})
	o.add(onset{at: 10 * ms, velocity: 70})
	assert.Equal(t, 120, o.loudest(near))
	assert.Equal(t, 70, o.loudest(near+1))
	assert.Equal(t, 120, o.loudest(5*ms), "not what came after")
	assert.Zero(t, o.loudest(10*ms+near+1))
}

// The time of a release is that of its key, not of one struck before.
func TestOnsets_OverIsOfTheNewestOfAKey(t *testing.T) {
	t.Parallel()
	var o onsets
	o.add(onset{at: 0, channel: 1, key: 40, velocity: 100})
	o.over(1, 40, 5*ms)
	o.add(onset{at: 50 * ms, channel: 1, key: 40, velocity: 90})
	o.over(1, 40, 60*ms)
	assert.Equal(t, 5*ms, o.ring[0].off)
	assert.Equal(t, 60*ms, o.ring[1].off)
	_, released := o.cause(&voice{at: 60*ms + near, velocity: 10}, false)
	assert.True(t, released)
	_, released = o.cause(&voice{at: 60*ms + near + 1, velocity: 10}, false)
	assert.False(t, released)
}

// Where a hand could just strike again, weaker means a converter, and a note
// that was repeated quickly already a hand.
func TestCleaner_DropsLateDoubleTriggersThatAreWeaker(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		mode      Mode
		apart     time.Duration
		velocity  int
		repeating bool
		want      int
	}{
		"weaker":                {Pickup, 59 * ms, 67, false, 1},
		"about as loud":         {Pickup, 59 * ms, 68, false, 2},
		"after a stroke's time": {Pickup, 60 * ms, 40, false, 2},
		"of unknown origin":     {Auto, 50 * ms, 40, false, 2},
		"one of many repeats":   {Pickup, 59 * ms, 60, true, 3},
		"sooner than any":       {Pickup, 44 * ms, 80, true, 2},
	} {
		var es []Event
		at := time.Duration(0)
		if c.repeating {
			es, at = []Event{on(0, 1, 40, 80), off(100*ms, 1, 40)}, 110*ms
		}
		for _, struck := range []bool{false, true} { // told to have ended in between, or not
			es := append(es[:len(es):len(es)], on(at, 1, 40, 80))
			if !struck {
				es = append(es, off(at+c.apart-4*ms, 1, 40))
			}
			es = append(es, on(at+c.apart, 1, 40, c.velocity), off(at+300*ms, 1, 40))
			h := clean(t, CleanerOptions{Mode: c.mode}, es)
			assert.Len(t, h.notes, c.want, name)
			assert.Equal(t, at+300*ms, h.offs[c.want-1], name)
		}
	}
}

// A ghost is much softer than what caused it: a stroke that no finger follows so
// soon on another string, or a release that may be told after it.
func TestCleaner_DropsGhostsByTheirCause(t *testing.T) {
	t.Parallel()
	told, err := ParseStrings("1=1,2=2,3=3,4=4")
	require.NoError(t, err)
	for name, c := range map[string]struct {
		before Event // struck at 0, at velocity 80 or less; let go at 200 ms
		at     time.Duration
		ch     int
		told   StringsOption
		want   bool
	}{
		"after a stroke, another string":    {on(0, 1, 45, 80), 60 * ms, 2, told, true},
		"too late after it":                 {on(0, 1, 45, 80), 61 * ms, 2, told, false},
		"hammered on its string":            {on(0, 2, 43, 80), 45 * ms, 2, told, false},
		"strings not known":                 {on(0, 1, 45, 80), 45 * ms, 2, StringsOption{}, false},
		"after a stroke not twice as loud":  {on(0, 1, 45, 50), 60 * ms, 2, told, false},
		"before a release is told":          {on(0, 1, 45, 80), 170 * ms, 2, told, true},
		"too long before it":                {on(0, 1, 45, 80), 169 * ms, 2, told, false},
		"after a release":                   {on(0, 1, 45, 80), 230 * ms, 2, told, true},
		"after a release not twice as loud": {on(0, 1, 45, 50), 210 * ms, 2, told, false},
	} {
		es, end := steady(8, 1)
		c.before.At += end
		es = append(es, c.before, on(end+c.at, c.ch, 40, 26), off(end+c.at+30*ms, c.ch, 40))
		es = append(es, off(end+200*ms, int(c.before.Data[0]&15)+1, int(c.before.Data[1])))
		slices.SortStableFunc(es, func(a, b Event) int { return cmp.Compare(a.At, b.At) })
		h := clean(t, CleanerOptions{Mode: Pickup, Strings: c.told}, append(es, on(end+time.Second, 1, 40, 80)))
		assert.Equal(t, c.want, len(h.dropped) > 0, name)
	}
}

// A note that a double trigger took up again is let go when it ends at last.
func TestCleaner_AReleaseAfterADoubleTriggerCauses(t *testing.T) {
	t.Parallel()
	es, at := steady(8, 1)
	es = append(es, on(at, 1, 45, 80), off(at+20*ms, 1, 45), on(at+30*ms, 1, 45, 80), off(at+400*ms, 1, 45))
	es = append(es, on(at+410*ms, 2, 40, 26), off(at+440*ms, 2, 40), on(at+time.Second, 1, 45, 80))
	h := clean(t, CleanerOptions{Mode: Pickup}, es)
	assert.Len(t, h.notes, 10)
	assert.Len(t, h.dropped, 2, "the double trigger and the ghost")
}

// Two very soft notes in a row are touched strings; more are a passage.
func TestCleaner_KeepsAPassageThatHasBecomeQuiet(t *testing.T) {
	t.Parallel()
	faint := func(n int, at time.Duration) (es []Event) {
		for i := range n {
			at := at + time.Duration(1+i)*200*ms
			es = append(es, on(at, 1, 40+i%3, 15), off(at+40*ms, 1, 40+i%3))
		}
		return es
	}
	es, end := steady(8, 1)
	h := clean(t, CleanerOptions{Mode: Pickup}, append(es, faint(20, end)...))
	assert.Len(t, h.dropped, stray)
	// A loud note between them: touched strings again.
	es, end = steady(8, 1)
	for range 6 {
		es = append(es, faint(stray, end)...)
		end += time.Second
		es = append(es, on(end, 1, 45, 80), off(end+100*ms, 1, 45))
		end += 200 * ms
	}
	h = clean(t, CleanerOptions{Mode: Pickup}, es)
	assert.Len(t, h.dropped, 6*stray)
}

// With the delay undone a low note begins before the release that was heard
// before it: the note before still sounded then.
func TestCleaner_SoundsOnWhereTheDelayIsUndone(t *testing.T) {
	t.Parallel()
	es, at := steady(8, 1)
	es = append(es, on(at, 1, 45, 80), off(at+200*ms, 1, 45), on(at+205*ms, 2, 28, 80), off(at+400*ms, 2, 28))
	h := clean(t, CleanerOptions{Mode: Pickup}, es)
	require.Len(t, h.notes, 10)
	last := h.notes[9]
	assert.Equal(t, 28, last.Pitch)
	assert.True(t, last.Sounding, "E1 takes a converter 36 ms")
	assert.Zero(t, last.Gap)
}
