package report

import (
	"time"

	"stillhand/coach"
	"stillhand/session"
)

// steady is music in 4/4 at one tempo from the first bar on.
type steady struct{ beat time.Duration }

func (s steady) Bar(at time.Duration) (int, float64, bool) {
	beats := float64(at) / float64(s.beat)
	bar := int(beats / 4)
	return bar + 1, beats - 4*float64(bar) + 1, true
}

// sampleBeat is the sample line's tempo: 100 quarters a minute.
const sampleBeat = 600 * time.Millisecond

var sampleBars = steady{sampleBeat}

// touch is one note of a composed line: where and with which finger, the hand
// at which position, and the fewest and most it could be.
type touch struct{ str, fret, finger, position, low, high int }

func at(position int, touches ...[3]int) []touch {
	var out []touch
	for _, t := range touches {
		out = append(out, touch{t[0], t[1], t[2], position, position, position})
	}
	return out
}

func unsurely(low, high int, line []touch) []touch {
	for i := range line {
		line[i].low, line[i].high = low, high
	}
	return line
}

// sample is a line of our own composition, eighth notes, written down with the
// hand that plays it: an octave of C major in one place, then a climb on
// string 1 alone that shifts four times, a low passage with open strings,
// then a high one of which the hand is not sure.
func sample() *session.Review {
	c := at(2, [3]int{3, 3, 2}, [3]int{3, 5, 4}, [3]int{2, 2, 1}, [3]int{2, 3, 2}, [3]int{2, 5, 4}, [3]int{1, 2, 1}, [3]int{1, 4, 3}, [3]int{1, 5, 4})
	var line []touch
	line = append(line, c...)
	line = append(line, c...)
	line = append(line, at(5, [3]int{1, 5, 1}, [3]int{1, 7, 3})...)
	line = append(line, at(9, [3]int{1, 9, 1}, [3]int{1, 10, 2})...)
	line = append(line, at(12, [3]int{1, 12, 1}, [3]int{1, 10, 0})...)
	line[len(line)-1] = touch{1, 10, 1, 10, 9, 10}
	line = append(line, at(7, [3]int{1, 9, 3}, [3]int{1, 7, 1})...)
	line = append(line, at(1, [3]int{4, 1, 1}, [3]int{4, 3, 3}, [3]int{4, 4, 4}, [3]int{3, 1, 1}, [3]int{3, 0, 0}, [3]int{4, 4, 4}, [3]int{4, 3, 3}, [3]int{4, 0, 0})...)
	line = append(line, unsurely(11, 13, at(12, [3]int{2, 12, 1}, [3]int{2, 14, 3}, [3]int{1, 12, 1}, [3]int{1, 14, 3}))...)
	line = append(line, at(12, [3]int{1, 15, 4}, [3]int{1, 14, 3}, [3]int{2, 14, 3}, [3]int{2, 12, 1})...)
	return reviewOf("evening walk.mid", line)
}

// reviewOf makes the review of a line in eighth notes at the sample's tempo.
// What the economy and the coach would add is written by hand where a test
// needs it.
func reviewOf(source string, line []touch) *session.Review {
	neck, _ := coach.ParseNeck("bass4")
	reach := 105.0
	r := &session.Review{
		Format: "stillhand-review", Version: 1, Source: source,
		Neck:    session.ReviewNeck{Strings: []string{"G2", "D2", "A1", "E1"}, Frets: neck.Frets, ScaleMM: neck.ScaleMM},
		Fingers: "four", ReachMM: &reach,
		Input: session.ReviewInput{Strings: "known", Notes: len(line)},
	}
	eighth := sampleBeat.Seconds() / 2
	hand := 0
	for i, t := range line {
		start := float64(i) * eighth
		p := 0.97
		if t.low != t.high {
			p = 0.62
		}
		r.Notes = append(r.Notes, session.ReviewNote{
			At: start, Off: start + 0.9*eighth, Pitch: int8(neck.Pitch(coach.Place{String: t.str, Fret: t.fret})), String: int8(t.str), Fret: int8(t.fret),
			Finger: int8(t.finger), Position: int8(t.position), Probability: p, Low: int8(t.low), High: int8(t.high), Velocity: 90,
		})
		if hand != 0 && t.position != hand {
			kind, q := "sure", 1.0
			if t.low != t.high {
				kind, q = "likely", 0.7
			}
			from, to := min(hand, t.position), max(hand, t.position)
			r.Shifts = append(r.Shifts, session.ReviewShift{At: start, Note: int32(i), From: int8(hand), To: int8(t.position), Frets: int8(to - from),
				MM: neck.FretMM(to) - neck.FretMM(from), GapMS: 100 * eighth, Kind: kind, Probability: q})
		}
		hand = t.position
	}
	r.Count = session.ReviewCount{AtLeast: len(r.Shifts), Likely: float64(len(r.Shifts)) + 0.4}
	return r
}

// advised is the sample with what a coach would say of it.
func advised() *session.Review {
	r := sample()
	yes, no := true, false
	r.Count = session.ReviewCount{AtLeast: 6, Likely: 7.3}
	r.Systems = map[string]session.ReviewSystem{
		"four":  {Fewest: 4, TravelFrets: 19, LeastTravelFrets: 18, AsYouGo: 7, WidestMM: 129.7},
		"three": {Fewest: 9, TravelFrets: 28, LeastTravelFrets: 24, AsYouGo: 13, WidestMM: 88.6},
	}
	r.Mixed = session.ReviewMixed{Fewest: 5, TravelFrets: 20, ThreeShare: 0.45, CrossoverFret: 5}
	r.Input.Dropped = []session.ReviewDropped{{At: 3.31, Pitch: 57, Reason: "ghost"}}
	r.Marks = []session.ReviewMark{{At: 7.2, Text: "here it gets hard"}}
	r.Advice = []session.ReviewAdvice{
		{From: 0, To: 4.77, FirstNote: 0, LastNote: 7, Kind: "system", System: "three", ShiftsNow: 0, ShiftsThen: 1, StretchMM: 83.6, WithinReach: &yes,
			Text: "Three fingers ask one shift here, and less stretch.", Path: asked(2, [3]int{3, 3, 2})},
		{From: 4.8, To: 7.17, FirstNote: 16, LastNote: 23, Kind: "place", System: "four", ShiftsNow: 5, ShiftsThen: 1, StretchMM: 103.0, WithinReach: &yes,
			Text: "The same eight notes lie in two places: frets 5 to 8 on strings 1 and 2, then 9 to 12. One shift instead of five; the stretch is 103 mm, within your reach of 105 mm.",
			Path: append(append(asked(5, [3]int{1, 5, 1}, [3]int{1, 7, 3}), asked(9, [3]int{1, 9, 1}, [3]int{1, 10, 2}, [3]int{1, 12, 4}, [3]int{1, 10, 2}, [3]int{1, 9, 1})...), asked(5, [3]int{1, 7, 3})...)},
		{From: 7.2, To: 9.57, FirstNote: 24, LastNote: 31, Kind: "relief", System: "three", ShiftsNow: 1, ShiftsThen: 1, StretchMM: 88.6, WithinReach: &yes,
			Text: "Low on the neck three fingers do it with no more shifts: 89 mm instead of 130 mm.",
			Path: append(asked(1, [3]int{4, 1, 1}, [3]int{4, 3, 4}), asked(2, [3]int{4, 4, 4})...)},
		{From: 9.6, To: 12, FirstNote: 32, LastNote: 39, Kind: "system", System: "four", ShiftsNow: 9, ShiftsThen: 0, StretchMM: 129.7, WithinReach: &no,
			Text: "Four fingers would do it in one place, but the stretch of 130 mm lies beyond your reach.", Path: asked(1, [3]int{4, 1, 1})},
	}
	r.Advice = r.Advice[1:]
	for i := range r.Advice {
		for j := range r.Advice[i].Path {
			r.Advice[i].Path[j].Note = int32(r.Advice[i].FirstNote + j)
		}
	}
	return r
}

func asked(position int, touches ...[3]int) []session.ReviewStep {
	var out []session.ReviewStep
	for _, t := range touches {
		out = append(out, session.ReviewStep{String: int8(t[0]), Fret: int8(t[1]), Finger: int8(t[2]), Position: int8(position)})
	}
	return out
}
