package session

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stillhand/coach"
	"stillhand/midiin"
)

// manyOffNeck is the share of a take's notes from which notes off the neck
// limit what can be said of it. Ours: a slip in a passage stays under it.
const manyOffNeck = 0.1

// OffNeck is how many notes were left out because no string of the neck has
// them, and whether these are a considerable share of the take.
func (r *Review) OffNeck() (n int, many bool) {
	for _, d := range r.Input.Dropped {
		if d.Reason == string(midiin.OffNeck) {
			n++
		}
	}
	return n, n > 0 && float64(n) >= manyOffNeck*float64(n+r.Input.Notes)
}

// struck is how many notes were, kept or not.
func (r *Review) struck() int { return r.Input.Notes - r.Input.Slid + len(r.Input.Dropped) }

// highest is the pitch of the highest note, kept or off the neck.
func (r *Review) highest() (high int) {
	for _, n := range r.Notes {
		high = max(high, int(n.Pitch))
	}
	for _, d := range r.Input.Dropped {
		if d.Reason == string(midiin.OffNeck) {
			high = max(high, d.Pitch)
		}
	}
	return high
}

// fewOffNeck is up to how many notes off the neck may be slips or noise, also where
// another octave or neck would take them. Ours.
const fewOffNeck = 3

// fitsElsewhere reports whether all notes of r, these off the neck too, lie on it an
// octave lower, or as they are without its capo or on a five-string bass.
func (s Setup) fitsElsewhere(r *Review) bool {
	low, high := math.MaxInt, r.highest()
	for _, n := range r.Notes {
		low = min(low, int(n.Pitch))
	}
	for _, d := range r.Input.Dropped {
		if d.Reason == string(midiin.OffNeck) {
			low = min(low, d.Pitch)
		}
	}
	five, _ := coach.ParseNeck("bass5")
	lowest, top := slices.Min(s.Neck.Open), slices.Max(s.Neck.Open)+s.Neck.Frets
	if high > top {
		return low-12 >= lowest && high-12 <= top
	}
	return low >= min(lowest-s.Capo, slices.Min(five.Open))
}

// OffNeckHint tells on which side of the neck the notes off it lie, and what to
// try; "" if there are none.
func (s Setup) OffNeckHint(r *Review) string {
	lowest := slices.Min(s.Neck.Open)
	deepest, highest, below, above := lowest, 0, 0, 0
	for _, d := range r.Input.Dropped {
		switch {
		case d.Reason != string(midiin.OffNeck):
		case d.Pitch < lowest:
			below++
			deepest = min(deepest, d.Pitch)
		default:
			above++
			highest = max(highest, d.Pitch)
		}
	}
	var hints []string
	if below > 0 {
		try := "name the neck that was played with --neck and its open strings"
		five, _ := coach.ParseNeck("bass5")
		switch {
		case deepest >= lowest-s.Capo:
			try = fmt.Sprintf("they lie behind the capo at fret %d, try --capo 0", s.Capo)
		case s.Octave < 0:
			try = "try --octave 0"
		case deepest >= slices.Min(five.Open):
			try = "name the neck that was played with --neck, as bass5"
		case deepest+12 >= lowest && r.highest()+12 <= slices.Max(s.Neck.Open)+s.Neck.Frets && s.Octave < mostOctaves:
			try = fmt.Sprintf("try --octave %d, or %s", s.Octave+1, try)
		}
		hints = append(hints, fmt.Sprintf("%d below its lowest string, %s, down to %s (%s)", below, coach.PitchName(lowest), coach.PitchName(deepest), try))
	}
	if above > 0 {
		var ways []string
		if !r.Input.OneTrack {
			ways = append(ways, "another --track")
		}
		top := slices.Max(s.Neck.Open) + s.Neck.Frets
		if highest-12 <= top && s.Octave > -mostOctaves {
			ways = append(ways, fmt.Sprintf("--octave %d", s.Octave-1))
		}
		try := "try " + strings.Join(ways, ", or ")
		switch {
		case s.Octave > 0:
			try = "try --octave 0"
		case len(ways) == 0:
			try = "name the neck that was played with --neck, or another file if this is no bass line"
		}
		hints = append(hints, fmt.Sprintf("%d above its highest fret, up to %s (%s)", above, coach.PitchName(highest), try))
	}
	return strings.Join(hints, "; ")
}

// offNeckWarning says that notes off the neck are a considerable share of r, or
// more than a few that lie on another neck or octave with all the others; none
// where they are neither.
func (s Setup) offNeckWarning(r *Review) []string {
	n, many := r.OffNeck()
	if !many && (n <= fewOffNeck || !s.fitsElsewhere(r)) {
		return nil
	}
	are := "are"
	if n == 1 {
		are = "is"
	}
	return []string{fmt.Sprintf("%d of %s cannot be played on this neck and %s left out: %s", n, coach.Many(r.struck(), "note"), are, s.OffNeckHint(r))}
}

// otherChannelsWarning says that more than a few notes came on channels that are
// none of the strings told by evidence: the bass may have more than the neck.
func (s Setup) otherChannelsWarning(r *Review) []string {
	n := 0
	for _, d := range r.Input.Dropped {
		if d.Reason == string(midiin.Unrelated) {
			n++
		}
	}
	if s.Strings.Told() || r.Input.Strings != "known" || n <= fewOffNeck {
		return nil
	}
	return []string{fmt.Sprintf("%d of %s came on other channels than those of the strings and are left out: if the bass has more than %d strings, name its neck with --neck, as bass5", n, coach.Many(r.struck(), "note"), len(s.Neck.Open))}
}
