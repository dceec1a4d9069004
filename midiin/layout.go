package midiin

import (
	"cmp"
	"slices"
)

// Limits of what one hand plays on the strings of a bass, a fourth apart (common
// practice). The shares let pass what a converter reads wrong and what a string
// that is tuned down puts out of reach; measured on simulated players and bands.
const (
	fourth   = 5 // semitones
	topFret  = 24
	offShare = 0.05 // of notes that may lie beyond the frets
	farShare = 0.07 // of notes that may lie out of reach of one that sounds
	lastFret = 127 + 15*fourth
)

// layout is how the notes of channels lie on strings in one order.
type layout struct {
	open [16]int             // by channel, semitones above the lowest string that there can be
	on   [lastFret + 1]int32 // notes by fret, counted from where note 0 would be on the highest
	far  [lastFret + 1]int32 // pairs of notes that sound at once, out of reach, by the lower fret
}

func (l *layout) fret(ch, pitch int) int { return pitch - l.open[ch] + 15*fourth }

// playable reports whether one hand can have played the notes.
func (l *layout) playable(notes int) bool {
	most, within, far := 0, 0, 0
	for f, n := range l.on {
		if within > 0 { // the lowest may be open strings, which ask nothing of a hand
			far += int(l.far[f])
		}
		within += int(n)
		if f > topFret {
			within -= int(l.on[f-topFret-1])
		}
		most = max(most, within)
	}
	return float64(notes-most) <= offShare*float64(notes)+1 && float64(far) <= farShare*float64(notes)+1
}

// layouts are the orders in which strings may lie on the channels of parts: up,
// down, and by mean pitch, where strings between them may be silent. Two parts are
// then taken for neighbours, or any two would do.
func (s *scan) layouts(parts []int) []layout {
	ls := make([]layout, 3)
	for ch := range 16 {
		ls[0].open[ch], ls[1].open[ch] = fourth*ch, fourth*(15-ch)
	}
	byPitch := slices.Clone(parts)
	slices.SortFunc(byPitch, func(i, j int) int { return cmp.Compare(s.parts[i].mean(), s.parts[j].mean()) })
	lowest := s.parts[byPitch[0]].mean()
	for k, i := range byPitch {
		if len(parts) > 2 {
			k = min(max(k, int((s.parts[i].mean()-lowest)/fourth+0.5)), 15)
		}
		ls[2].open[s.parts[i].voice] = fourth * k
	}
	return ls
}

// ensemble is parts, of channels of their own, that may be one instrument. Its notes
// are read when something is asked that only they tell, and once.
type ensemble struct {
	scan    *scan
	parts   []int
	layouts []layout // how the notes lie in each order of strings; nil before they are read
	notes   int
	pairs   int // of notes that sound at once
	turns   turns
}

// oneHand reports whether one hand can have played the notes, with a string for each
// part. Mean pitches do not tell: a hand high up on a low string plays above its open
// ones, and the parts of a band lie apart as strings do. But those sound at once
// wherever they are. Nor do channels that take turns.
func (e *ensemble) oneHand() bool {
	e.read()
	return !e.turns.taken(1) && slices.ContainsFunc(e.layouts, func(l layout) bool { return l.playable(e.notes) })
}

// oneVoice reports whether hardly a note sounds with one of another part.
func (e *ensemble) oneVoice() bool {
	e.read()
	return float64(e.pairs) <= oneVoiceShare*float64(e.notes)+1
}

// read lays the notes out, if that has not been done.
func (e *ensemble) read() {
	if e.layouts != nil {
		return
	}
	s, parts := e.scan, e.parts
	var cs []*cursor
	var channels uint16
	for k, i := range parts {
		p := &s.parts[i]
		channels |= 1 << p.channel
		if k == 0 || s.parts[parts[k-1]].track != p.track {
			cs = append(cs, s.cursor(int(p.track)))
		}
	}
	ls := s.layouts(parts)
	e.layouts = ls
	var sounding [16]struct {
		on    bool
		pitch int
		since int64
	}
	brief := 2 * s.chordTicks() // a sixteenth note: what overlaps no longer is legato
	end := func(ch int, now int64) {
		x := &sounding[ch]
		for other := range sounding {
			y := &sounding[other]
			if other == ch || !x.on || !y.on || now-max(x.since, y.since) < brief && max(x.since-y.since, y.since-x.since) >= brief {
				continue
			}
			e.pairs++
			for i := range ls {
				a, b := ls[i].fret(ch, x.pitch), ls[i].fret(other, y.pitch)
				if max(a-b, b-a) > reachable {
					ls[i].far[min(a, b)]++
				}
			}
		}
		x.on = false
	}
	for m := newMerge(cs); len(m) > 0; m.advance() {
		c := m[0]
		ch, pitch := int(c.msg[0]&0x0F), int(c.msg[1])
		heard := channels&(1<<ch) != 0
		if t := &s.tracks[c.track]; heard && t.parts == 1 {
			ch = int(s.parts[t.firstPart].voice)
		}
		x := &sounding[ch]
		switch {
		case !heard:
		case c.noteOn():
			end(ch, c.tick)
			x.on, x.pitch, x.since = true, pitch, c.tick
			e.notes++
			e.turns.hear(ch, pitch)
			for i := range ls {
				ls[i].on[ls[i].fret(ch, pitch)]++
			}
		case (c.msg[0]>>4 == 0x8 || c.msg[0]>>4 == 0x9) && pitch == x.pitch:
			end(ch, c.tick)
		}
	}
}
