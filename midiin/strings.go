package midiin

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// StringsOption says how channels relate to strings. The zero value finds out
// by evidence.
type StringsOption struct {
	pitchOnly bool
	told      bool
	channel   [16]int8 // string of each channel if told; 0 for none
}

// ParseStrings reads "auto", "pitch" (channels tell nothing), or a list like
// "1=4,2=3,3=2,4=1": channel (from 1) and the string (1 is the highest) that
// it carries.
func ParseStrings(s string) (StringsOption, error) {
	const want = `say auto, pitch, or channel=string pairs like "1=4,2=3,3=2,4=1"`
	switch s = strings.TrimSpace(s); s {
	case "", "auto":
		return StringsOption{}, nil
	case "pitch":
		return StringsOption{pitchOnly: true}, nil
	}
	o := StringsOption{told: true}
	taken := map[int]bool{}
	for _, pair := range strings.Split(s, ",") {
		left, right, ok := strings.Cut(pair, "=")
		ch, err1 := strconv.Atoi(strings.TrimSpace(left))
		str, err2 := strconv.Atoi(strings.TrimSpace(right))
		switch {
		case !ok || err1 != nil || err2 != nil:
			return StringsOption{}, fmt.Errorf("strings %q: %q is no pair: %s", s, pair, want)
		case ch < 1 || ch > 16:
			return StringsOption{}, fmt.Errorf("strings %q: channel %d: MIDI has channels 1 to 16", s, ch)
		case str < 1 || str > maxStrings:
			return StringsOption{}, fmt.Errorf("strings %q: string %d: from 1, the highest, to %d", s, str, maxStrings)
		case o.channel[ch-1] != 0:
			return StringsOption{}, fmt.Errorf("strings %q: channel %d is named twice", s, ch)
		case taken[str]:
			return StringsOption{}, fmt.Errorf("strings %q: string %d is named twice", s, str)
		}
		o.channel[ch-1] = int8(str)
		taken[str] = true
	}
	return o, nil
}

// maxStrings bounds the number of a string; no neck has more.
const maxStrings = 12

// StringMap tells which string a channel carries. The zero value knows none.
type StringMap struct {
	channel [16]int8
	open    []int
	frets   int
}

// String is the string (1 is the highest) on which a channel (0 to 15) sounds
// pitch; 0 if the map does not know the channel, or the string has no such
// pitch.
func (m StringMap) String(channel, pitch int) int {
	s := int(m.channel[channel&0x0F])
	if s == 0 || s > len(m.open) {
		return 0
	}
	if f := pitch - m.open[s-1]; f < 0 || f > m.frets {
		return 0
	}
	return s
}

// Known reports whether the map knows any string.
func (m StringMap) Known() bool { return m.channel != [16]int8{} }

// Describe says the map in words for a status line: "channels 1 2 3 4 are
// strings 4 3 2 1".
func (m StringMap) Describe() string {
	var chs, strs []string
	for ch, s := range m.channel {
		if s > 0 {
			chs = append(chs, strconv.Itoa(ch+1))
			strs = append(strs, strconv.Itoa(int(s)))
		}
	}
	if len(chs) == 0 {
		return "channels tell no strings"
	}
	return fmt.Sprintf("channels %s are strings %s", strings.Join(chs, " "), strings.Join(strs, " "))
}

// finder tells by evidence, note by note, whether each channel carries one
// string, and which.
//
// A channel that carries a string has one voice and stays within the string's
// frets; several such channels are one instrument if they can all be strings of
// its neck. Which is which follows from pitch: low frets are played more than
// high ones, and an open string names itself. Devices number strings in order,
// up or down, so orders like that need less evidence than others.
type finder struct {
	open    []int
	frets   int
	decided bool
	notes   int
	seen    uint16
	mono    uint16                  // channels told to play one voice (MIDI 1.0, mode messages)
	poly    uint16                  // channels told to play many
	chords  int                     // notes struck on a channel that still sounded
	score   [16][maxStrings]float64 // log-likelihood of channel on string
}

// Constants of the finder, tuned on simulated pickups of this project.
const (
	fretDecay      = 0.10 // log-likelihood lost a fret: low frets are played more
	wrongString    = -6.0 // log-likelihood of a note that the string does not have (a misread note)
	orderBonus     = 6.0  // for channels in order, as devices number them
	enough         = 3.0  // log-odds of the best map against the next
	leastNotes     = 6    // before anything is decided
	chordTolerance = 0.1  // share of notes on a channel that still sounds
)

// mode hears a mode message: mono says that channels carry one voice each.
func (f *finder) mode(channel uint8, mono bool) {
	if mono {
		f.mono |= 1 << channel
		f.poly &^= 1 << channel
	} else {
		f.poly |= 1 << channel
		f.mono &^= 1 << channel
	}
}

// hear takes a note's evidence. overlap: another note of the channel sounds on.
func (f *finder) hear(channel uint8, pitch int, overlap bool) {
	if f.decided || channel == percussion {
		return
	}
	f.notes++
	f.seen |= 1 << channel
	if overlap {
		f.chords++
	}
	for s := range f.open {
		if s == maxStrings {
			break
		}
		fret := pitch - f.open[s]
		ll := wrongString
		if fret >= 0 && fret <= f.frets {
			ll = -fretDecay * float64(fret)
		}
		f.score[channel][s] += ll
	}
}

// find returns the map once the evidence decides for one.
func (f *finder) find() (m StringMap, ok bool) {
	if f.decided || f.notes < leastNotes || f.seen&(f.seen-1) == 0 || f.seen&f.poly != 0 {
		return m, false
	}
	if float64(f.chords) > chordTolerance*float64(f.notes) {
		return m, false
	}
	best, second := math.Inf(-1), math.Inf(-1)
	var of [16]int8
	n := min(len(f.open), maxStrings)
	// Channels in order: channel = base + string, or base - string.
	for _, step := range []int{1, -1} {
		for base := -n; base < 16+n; base++ {
			total, fits := orderBonus, true
			var try [16]int8
			for s := 0; s < n; s++ {
				if ch := base + step*s; ch >= 0 && ch < 16 {
					try[ch] = int8(s + 1)
				}
			}
			for ch := 0; ch < 16 && fits; ch++ {
				if f.seen&(1<<ch) == 0 {
					continue
				}
				if try[ch] == 0 {
					fits = false
					break
				}
				total += f.score[ch][try[ch]-1]
			}
			if !fits {
				continue
			}
			if total > best {
				best, second, of = total, best, try
			} else if total > second {
				second = total
			}
		}
	}
	if best-second < enough || best < wrongString*float64(f.notes)/2 {
		return m, false
	}
	f.decided = true
	return StringMap{channel: of, open: f.open, frets: f.frets}, true
}
