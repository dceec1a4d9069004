package session

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"stillhand/midiin"
)

// reviewOf is the review of struck pitches, half a second each.
func reviewOf(t *testing.T, values map[string]string, pitches ...byte) *Review {
	t.Helper()
	p := NewPipeline(plainSetup(t, values))
	at := time.Duration(0)
	for _, pitch := range pitches {
		p.Event(midiin.Event{At: at, Data: [3]byte{0x90, pitch, 90}})
		p.Event(midiin.Event{At: at + 400*time.Millisecond, Data: [3]byte{0x80, pitch, 0}})
		at += 500 * time.Millisecond
	}
	p.End(at)
	return p.Review("x.mid", "", []string{"said by the file"})
}

// E1 is 28, B0 23 and G4 67 (MIDI 1.0: middle C is 60, here C4).
func TestReview_WarnsOfNotesOffTheNeck(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		values  map[string]string
		pitches []byte
		warning string // "" for none
	}{
		"below":                  {nil, []byte{23, 25, 27, 30}, "3 of 4 notes cannot be played on this neck and are left out: 3 below its lowest string, E1, down to B0 (name the neck that was played with --neck, as bass5)"},
		"far below":              {nil, []byte{20, 30}, "1 of 2 notes cannot be played on this neck and is left out: 1 below its lowest string, E1, down to Ab0 (try --octave 1, or name the neck that was played with --neck and its open strings)"},
		"too far for an octave":  {nil, []byte{15, 30}, "1 of 2 notes cannot be played on this neck and is left out: 1 below its lowest string, E1, down to Eb0 (name the neck that was played with --neck and its open strings)"},
		"too wide for an octave": {nil, []byte{20, 65}, "1 of 2 notes cannot be played on this neck and is left out: 1 below its lowest string, E1, down to Ab0 (name the neck that was played with --neck and its open strings)"},
		"behind a capo":          {map[string]string{"capo": "2"}, []byte{28, 30, 31}, "1 of 3 notes cannot be played on this neck and is left out: 1 below its lowest string, F#1, down to E1 (they lie behind the capo at fret 2, try --capo 0)"},
		"an octave too low":      {map[string]string{"octave": "-1"}, []byte{30, 45}, "1 of 2 notes cannot be played on this neck and is left out: 1 below its lowest string, E1, down to F#0 (try --octave 0)"},
		"above":                  {nil, []byte{67, 30}, "1 of 2 notes cannot be played on this neck and is left out: 1 above its highest fret, up to G4 (try another --track, or --octave -1)"},
		"far above":              {nil, []byte{90, 30}, "1 of 2 notes cannot be played on this neck and is left out: 1 above its highest fret, up to F#6 (try another --track)"},
		"an octave too high":     {map[string]string{"octave": "1"}, []byte{60, 30}, "1 of 2 notes cannot be played on this neck and is left out: 1 above its highest fret, up to C5 (try --octave 0)"},
		"at the last octave":     {map[string]string{"octave": "-4"}, []byte{120, 90}, "1 of 2 notes cannot be played on this neck and is left out: 1 above its highest fret, up to C5 (try another --track)"},
		"on both sides":          {nil, []byte{23, 90, 30}, "2 of 3 notes cannot be played on this neck and are left out: 1 below its lowest string, E1, down to B0 (name the neck that was played with --neck, as bass5); 1 above its highest fret, up to F#6 (try another --track)"},
		"alone":                  {nil, []byte{23}, "1 of 1 note cannot be played on this neck and is left out: 1 below its lowest string, E1, down to B0 (name the neck that was played with --neck, as bass5)"},
		"a slip":                 {nil, []byte{23, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30}, ""},
		"none":                   {nil, []byte{30, 31}, ""},
	} {
		r := reviewOf(t, c.values, c.pitches...)
		want := []string{"said by the file"}
		if c.warning != "" {
			want = []string{c.warning, "said by the file"}
		}
		assert.Equal(t, want, r.Input.Warnings, name)
		_, many := r.OffNeck()
		assert.Equal(t, c.warning != "", many, name)
	}
}

// A few notes off the neck say something only where another octave or neck takes
// them with all the others; one or two may be anything. D#2 is 39, E2 40 and G4 67.
func TestReview_WarnsOfAFewNotesThatFitElsewhere(t *testing.T) {
	t.Parallel()
	line := func(off byte, times int, others ...byte) []byte {
		pitches := slices.Repeat(others, 45)
		return append(pitches, slices.Repeat([]byte{off}, times)...)
	}
	for name, c := range map[string]struct {
		pitches []byte
		warning string // "" for none
	}{
		"an octave up":            {line(67, 8, 40, 52), "8 of 98 notes cannot be played on this neck and are left out: 8 above its highest fret, up to G4 (try another --track, or --octave -1)"},
		"five strings":            {line(23, 8, 40, 52), "8 of 98 notes cannot be played on this neck and are left out: 8 below its lowest string, E1, down to B0 (name the neck that was played with --neck, as bass5)"},
		"too low for an octave":   {line(67, 8, 39, 52), ""},
		"too high for an octave":  {line(78, 8, 40, 52), ""},
		"too low for five":        {line(22, 8, 40, 52), ""},
		"both sides of the neck":  {append(line(67, 4, 40, 52), 23, 23, 23, 23), ""},
		"three, as slips may be":  {line(67, 3, 40, 52), ""},
		"one, in an octave of it": {line(23, 1, 40, 52), ""},
	} {
		want := []string{"said by the file"}
		if c.warning != "" {
			want = []string{c.warning, "said by the file"}
		}
		assert.Equal(t, want, reviewOf(t, nil, c.pitches...).Input.Warnings, name)
	}
}

// Whatever some notes were left out for, all are the notes of the take.
func TestReview_CountsWhatIsLeftOutOfAllThatWasStruck(t *testing.T) {
	t.Parallel()
	s := plainSetup(t, nil)
	r := &Review{Input: ReviewInput{Strings: "known", Notes: 82, Slid: 2}}
	for reason, n := range map[midiin.DropReason]int{midiin.OffNeck: 10, midiin.Unrelated: 5, midiin.Ghost: 3, midiin.DoubleTrigger: 2} {
		r.Input.Dropped = append(r.Input.Dropped, slices.Repeat([]ReviewDropped{{Pitch: 90, Reason: string(reason)}}, n)...)
	}
	assert.Regexp(t, "^10 of 100 notes ", s.offNeckWarning(r)[0])
	assert.Regexp(t, "^5 of 100 notes ", s.otherChannelsWarning(r)[0])
}

// A file of one track has no other to try.
func TestOffNeckHint_KnowsWhetherThereIsAnotherTrack(t *testing.T) {
	t.Parallel()
	s := plainSetup(t, nil)
	hint := func(pitch int) string {
		r := &Review{}
		r.Input.OneTrack = true
		r.Input.Dropped = []ReviewDropped{{Pitch: pitch, Reason: string(midiin.OffNeck)}}
		return s.OffNeckHint(r)
	}
	assert.Equal(t, "1 above its highest fret, up to G4 (try --octave -1)", hint(67))
	assert.Equal(t, "1 above its highest fret, up to F#6 (name the neck that was played with --neck, or another file if this is no bass line)", hint(90))
}

// A bass with a string more than the neck says, a channel each, B0 (23) on channel 5:
// what it plays there is left out, which is said if it is more than a slip.
func TestReview_WarnsOfAStringThatTheNeckHasNot(t *testing.T) {
	t.Parallel()
	const warning = "4 of 84 notes came on other channels than those of the strings and are left out: if the bass has more than 4 strings, name its neck with --neck, as bass5"
	for name, c := range map[string]struct {
		values map[string]string
		fifth  []byte
		want   []string
	}{
		"a slip":       {nil, []byte{28}, nil},
		"a part of it": {nil, []byte{28, 29, 30, 28}, []string{warning}},
		"on its neck":  {map[string]string{"neck": "bass5"}, []byte{28, 29, 30, 28}, nil},
		"told":         {map[string]string{"strings": "1=1,2=2,3=3,4=4"}, []byte{28, 29, 30, 28}, nil},
	} {
		p := NewPipeline(plainSetup(t, c.values))
		at := time.Duration(0)
		play := func(ch, pitch byte) {
			p.Event(midiin.Event{At: at, Data: [3]byte{0x90 | ch, pitch, 90}})
			p.Event(midiin.Event{At: at + 400*time.Millisecond, Data: [3]byte{0x80 | ch, pitch, 0}})
			at += 500 * time.Millisecond
		}
		for i := range byte(80) { // frets 1 to 3 of every string
			play(i%4, []byte{43, 38, 33, 28}[i%4]+1+i/4%3)
		}
		for _, pitch := range c.fifth {
			play(4, pitch)
		}
		p.End(at)
		r := p.Review("x.mid", "", nil)
		assert.Equal(t, "known", r.Input.Strings, name)
		assert.Equal(t, c.want, r.Input.Warnings, name)
	}
}
