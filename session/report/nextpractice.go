package report

import (
	"fmt"
	"slices"

	"stillhand/coach"
	"stillhand/session"
)

// practiceLines say what to play next: each drawn passage, then what the
// caller adds.
func practiceLines(r *session.Review, neck coach.Neck, d SheetData) []string {
	var out []string
	for _, a := range ranked(r) {
		if len(out) == mostPassages || beyondReach(a) {
			break
		}
		line := fmt.Sprintf("%s, %s %s: slow and unbroken, then at tempo.",
			capital(span(d.Bars, a.From, lastOnset(r, a))), fingersOf(a.System), windowList(a))
		out = append(out, line)
	}
	wide, beyond := overreachOf(r)
	if beyond {
		out = append(out, wide.practice())
	}
	for _, a := range ranked(r) {
		if !beyond && r.ReachMM != nil && !beyondReach(a) && a.StretchMM > nearReach**r.ReachMM {
			out = append(out, fmt.Sprintf("%s is close to the reach of %s: learn the shape higher up and come down a fret when it lies at ease.", millimetres(a.StretchMM), reachText(r)))
			break
		}
	}
	if line := settlingLine(r, d.Bars); line != "" {
		out = append(out, line)
	}
	out = append(out, plainAll(d.Practice)...)
	if _, many := r.OffNeck(); len(out) == 0 && many {
		out = append(out, "Nothing yet: too many notes are missing from this review, as the warning above says.")
	}
	if len(out) == 0 {
		out = append(out, unadvised(r, d.Bars))
	}
	return out[:min(len(out), mostPractice)]
}

// unadvised is what to practise where nothing is advised.
func unadvised(r *session.Review, bars Bars) string {
	run := busiest(r.Shifts)
	switch {
	case len(r.Notes) == 0:
		return "Nothing yet: no note was read."
	case 2*guesses(r) > len(r.Notes) && r.Input.Strings != "known":
		return "Nothing yet: where the hand lay is mostly a guess. An instrument that sends each string on a channel of its own tells much more."
	case 2*guesses(r) > len(r.Notes):
		return "Nothing yet: where the hand lay is mostly a guess."
	case len(run) > 0:
		shifts := times(float64(len(run)), "shift")
		if slices.ContainsFunc(run, func(s session.ReviewShift) bool { return s.Kind != "sure" }) {
			shifts = times(float64(len(run)), "likely shift")
		}
		if len(run) == 1 {
			return fmt.Sprintf("%s: %s. Play up to it and on from it, slowly and unbroken, then at tempo.", capital(point(bars, run[0].At)), shifts)
		}
		return fmt.Sprintf("%s: %s, the most within %g seconds. Play this slowly and unbroken, then at tempo.",
			capital(span(bars, run[0].At, run[len(run)-1].At)), shifts, closeTogether)
	}
	return "Keep what works: play the take again, a little faster, and see whether the hand still stays where it lay."
}

// closeTogether is how many seconds a run of shifts that is practised as one takes
// at most: two bars of four at 120 a minute. Ours.
const closeTogether = 4.0

// busiest is the run within closeTogether that has the most of the shifts; the first
// of several.
func busiest(shifts []session.ReviewShift) (run []session.ReviewShift) {
	first := 0
	for i, s := range shifts {
		for s.At-shifts[first].At > closeTogether {
			first++
		}
		if i+1-first > len(run) {
			run = shifts[first : i+1]
		}
	}
	return run
}

// nearReach is the share of the reach from which a stretch is called close.
// Ours: one fret lower is wider by 2^(1/12), about 6 per cent.
const nearReach = 0.94
