package midiin

import (
	"fmt"
	"iter"
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
	weightStrings = 4.0 // more than one voice and the lowest part together
	weightSparse  = -3.0
	weightFew     = -2.0 // so few pitches that they may be drums on a channel of their own
	lowMiddle     = 26.0
	highMiddle    = 52.0
	chordShare    = 0.25
	sparseShare   = 0.05 // of the notes of the largest part
	lesserShare   = 0.34 // of the notes of the bass that plays most
	fewPitches    = 3
	maxReasons    = 3 // that a line of text gives
)

// best is the line of the candidate with the most evidence among the tracks that
// in takes. why stands before the evidence, if there is any.
func (s *scan) best(in func(track int) bool, why string) line {
	of := others{lowest: 128}
	for _, p := range s.parts {
		if p.channel != percussion {
			of.lowest, of.most, of.bass = min(of.lowest, p.mean()), max(of.most, p.notes), max(of.bass, p.bass)
		}
	}
	var best candidate
	n, score := 0, 0.0
	pick := func(cs iter.Seq[candidate]) {
		for c := range cs {
			if x := s.weigh(c, of, nil); n == 0 || x > score {
				score = x
				best = candidate{append(best.parts[:0], c.parts...), c.strings, c.inTurn}
			}
			n++
		}
	}
	pick(s.candidates(in))
	if n == 0 {
		pick(s.drums(in))
	}
	if n == 0 {
		return line{text: "no track has a note"}
	}
	var reasons []string
	if why != "" {
		reasons = append(reasons, why)
	} else if n == 1 {
		return s.line(best, s.alone(best))
	}
	s.weigh(best, of, func(reason string) { reasons = append(reasons, reason) })
	return s.line(best, strings.Join(reasons[:min(len(reasons), maxReasons)], ", "))
}

// alone says why there was nothing but c to choose.
func (s *scan) alone(c candidate) string {
	switch {
	case c.strings && s.told == 0:
		return s.perString(c)
	case s.zone(c.parts):
		return "an MPE zone"
	case len(c.parts) == len(s.parts):
		return "the only part with notes"
	case s.told != 0:
		return "the channels that were named"
	}
	return "the only part with notes but for drums"
}

// perString says what of c there is one of a string.
func (s *scan) perString(c candidate) string {
	if s.shared(c.parts) {
		return "one track a string"
	}
	return "one channel a string"
}

// others is what a candidate is held against: all parts but drums.
type others struct {
	lowest float64 // mean pitch
	most   int32   // notes of the largest
	bass   int32   // notes under a bass program of the one with most of them
}

// weigh scores the evidence that c is the bass line, and says it if say is not
// nil.
func (s *scan) weigh(c candidate, of others, say func(reason string)) float64 {
	var all part
	program := s.program(c.parts)
	for _, i := range c.parts {
		p := &s.parts[i]
		if p.program < 0 && isBassProgram(program) {
			all.bass += p.notes
		}
		all.notes += p.notes
		all.sum += p.sum
		all.pitches += p.pitches
		all.inRange += p.inRange
		all.together += p.together
		all.bass += p.bass
	}
	track := int(s.parts[c.parts[0]].track)
	notes := float64(all.notes)
	score := 0.0
	add := func(weight float64, reason string) {
		score += weight
		if say != nil && reason != "" {
			say(reason)
		}
	}
	basses := 2*all.bass >= all.notes
	switch {
	case basses && say != nil:
		add(weightProgram, fmt.Sprintf("bass program %d", program+1)) // General MIDI counts from 1
	case basses:
		add(weightProgram, "")
	case program >= 0:
		add(weightOther, "")
	}
	switch name := s.tracks[track].bass; {
	case name < 0:
		add(weightNotBass, "")
	case name > 0 && (c.strings || len(s.partsOf(track)) == len(c.parts)):
		add(weightName, "named so")
	}
	together := float64(all.together) / notes
	switch {
	case c.strings:
		add(weightStrings, s.perString(c))
	case s.zone(c.parts):
		add(0, "an MPE zone")
	case together <= oneVoiceShare:
		add(weightVoice, "one note at a time")
	case together > chordShare:
		add(weightChords, "")
	}
	add(weightRange*float64(all.inRange)/notes, "")
	if all.mean() <= of.lowest {
		add(weightLowest, "the lowest part")
	}
	if m := all.mean(); m >= lowMiddle && m <= highMiddle {
		add(weightMiddle, "in the range of basses")
	}
	if all.pitches <= fewPitches && len(c.parts) == 1 {
		add(weightFew, "")
	}
	if notes < sparseShare*float64(of.most) || basses && notes < lesserShare*float64(of.bass) {
		add(weightSparse, "")
	}
	return score
}

// bassName is 1 if a name is that of a bass, -1 if it only contains the word,
// 0 otherwise.
func bassName(name string) int8 {
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
