package midiin

import (
	"fmt"
	"strconv"
	"strings"
)

// StringsOption says how channels relate to strings. The zero value finds out
// by evidence.
type StringsOption struct {
	pitchOnly bool
	told      bool
	ten       bool     // channel 10 carries a string and no drums
	channel   [16]int8 // string of each channel if told; 0 for none

	track [16]int // number of the track that is read as each channel, where tracks share one; 0 for none
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

// Told reports whether the option names strings by itself.
func (o StringsOption) Told() bool { return o.told }

// channels are those that were told, a bit each; 0 if none.
func (o StringsOption) channels() (told uint16) {
	for ch, s := range o.channel {
		if s > 0 {
			told |= 1 << ch
		}
	}
	return told
}

// Highest is the greatest string number named, 0 if none.
func (o StringsOption) Highest() int {
	highest := int8(0)
	for _, s := range o.channel {
		highest = max(highest, s)
	}
	return int(highest)
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

// known reports whether the map knows any string.
func (m StringMap) known() bool { return m.channel != [16]int8{} }

// heardAll reports whether every string has a channel among seen.
func (m StringMap) heardAll(seen uint16) bool {
	n := 0
	for ch, s := range m.channel {
		if s > 0 && seen&(1<<ch) != 0 {
			n++
		}
	}
	return n >= len(m.open)
}

// Describe says a map in words for a status line: "channels 1 2 3 4 are
// strings 4 3 2 1", or the tracks that are read as these channels.
func (o StringsOption) Describe(m StringMap) string {
	what, tracks := "channels", o.track != [16]int{}
	if tracks {
		what = "tracks"
	}
	var from, strs []string
	for ch, s := range m.channel {
		n := ch + 1
		if tracks {
			n = o.track[ch]
		}
		if s == 0 || n == 0 { // a string that no track is read as is in the map all the same
			continue
		}
		from = append(from, strconv.Itoa(n))
		strs = append(strs, strconv.Itoa(int(s)))
	}
	if len(from) == 0 {
		return "channels tell no strings"
	}
	return fmt.Sprintf("%s %s are strings %s", what, strings.Join(from, " "), strings.Join(strs, " "))
}
