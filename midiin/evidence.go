package midiin

import (
	"fmt"
	"strings"
)

// Programs of General MIDI level 1, counted from 0: 32 to 39 are basses, 43 is
// the contrabass of the orchestra.
func isBassProgram(p int16) bool { return p >= 32 && p <= 39 || p == 43 }

// percussion is the channel of drums in General MIDI level 1, from 0.
const percussion = 9

// Weights of the evidence, in the order of what misleads least: programs are
// set by the file's author, names too but in any language, and range and
// voices hold for many a part that is no bass. Set by hand and checked on the
// multi-track fixtures of the tests.
const (
	weightProgram = 6.0
	weightName    = 5.0
	weightOther   = -2.0 // another program
	weightNotBass = -5.0 // a name that only contains the word
	weightRange   = 2.0
	weightMiddle  = 2.0 // mean pitch where bass lines lie
	weightVoice   = 2.0
	weightChords  = -5.0
	weightLowest  = 1.5
	weightStrings = 2.0
	weightSparse  = -3.0
	lowMiddle     = 26.0
	highMiddle    = 52.0
	chordShare    = 0.25
	sparseShare   = 0.05 // of the notes of the largest part
	maxReasons    = 3    // that a line of text gives
)

// best is the line of the candidate with the most evidence.
func (s *scan) best(cs []candidate, why string) line {
	if len(cs) == 0 {
		return line{text: "no track has a note"}
	}
	lowest, most := 128.0, int32(0)
	for _, p := range s.parts {
		if p.channel != percussion {
			lowest, most = min(lowest, p.mean()), max(most, p.notes)
		}
	}
	best := -1
	for i := range cs {
		s.weigh(&cs[i], lowest, most)
		if best < 0 || cs[i].score > cs[best].score {
			best = i
		}
	}
	c := cs[best]
	switch {
	case why != "":
		c.why = append([]string{why}, c.why...)
	case len(cs) == 1:
		c.why = []string{"the only part with notes"}
	}
	c.why = c.why[:min(len(c.why), maxReasons)]
	return s.line(c)
}

// weigh scores the evidence that c is the bass line.
func (s *scan) weigh(c *candidate, lowest float64, most int32) {
	var all part
	for _, i := range c.parts {
		p := &s.parts[i]
		all.notes += p.notes
		all.sum += p.sum
		all.inRange += p.inRange
		all.together += p.together
		all.bass += p.bass
	}
	first := &s.parts[c.parts[0]]
	notes := float64(all.notes)
	say := func(weight float64, why string) {
		c.score += weight
		if why != "" {
			c.why = append(c.why, why)
		}
	}
	switch {
	case 2*all.bass >= all.notes:
		say(weightProgram, fmt.Sprintf("bass program %d", first.program))
	case first.program >= 0:
		say(weightOther, "")
	}
	switch bassName(s.trackName(int(first.track))) {
	case 1:
		if len(s.partsOf(int(first.track))) == len(c.parts) || c.strings {
			say(weightName, "named so")
		}
	case -1:
		say(weightNotBass, "")
	}
	if c.strings {
		say(weightStrings, "one channel a string")
	}
	say(weightRange*float64(all.inRange)/notes, "")
	switch together := float64(all.together) / notes; {
	case together <= oneVoiceShare:
		say(weightVoice, cond(c.strings, "", "one note at a time"))
	case together > chordShare:
		say(weightChords, "")
	}
	if all.mean() <= lowest {
		say(weightLowest, "the lowest part")
	}
	if m := all.mean(); m >= lowMiddle && m <= highMiddle {
		say(weightMiddle, "in the range of basses")
	}
	if notes < sparseShare*float64(most) {
		say(weightSparse, "")
	}
}

func cond(is bool, a, b string) string {
	if is {
		return a
	}
	return b
}

// bassName is 1 if a name is that of a bass, -1 if it only contains the word,
// 0 otherwise.
func bassName(name string) int {
	n := strings.ToLower(name)
	for _, no := range []string{"bassoon", "bass drum", "bassdrum", "bass clarinet", "bass trombone", "bass flute", "bass voice", "bass sax"} {
		if strings.Contains(n, no) {
			return -1
		}
	}
	for _, yes := range []string{"bass", "baß", "basse", "basso", "bajo", "baixo"} {
		if strings.Contains(n, yes) {
			return 1
		}
	}
	return 0
}
