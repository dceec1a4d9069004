package report

import (
	"fmt"
	"math"
	"strconv"

	"stillhand/coach"
	"stillhand/session"
)

// unsure reports whether where the hand lay is less than four-fifths sure, the
// rule of everything that shows a hand. An open string says nothing of its own
// about the hand and is judged alike.
func unsure(n session.ReviewNote) bool { return n.Probability < coach.Sure }

// placeSure reports whether a note's string and fret are told or at least
// four-fifths sure.
func placeSure(r *session.Review, n session.ReviewNote) bool {
	return r.Input.Strings == "known" || n.PlaceSure >= coach.Sure
}

// fingerUnsure reports whether a note's finger, or its place and the hand together,
// is less than four-fifths sure: the finger follows from both.
func fingerUnsure(r *session.Review, n session.ReviewNote) bool {
	if r.Input.Strings == "known" {
		return unsure(n)
	}
	return n.Sureness() < coach.Sure
}

// fromText is the position that the hand moved from, with a ? where the note
// before is told at another: the likeliest position given that the hand moved is
// not always the likeliest of all.
func fromText(r *session.Review, s session.ReviewShift) string {
	text := strconv.Itoa(int(s.From))
	if before := int(s.Note) - 1; before >= 0 && before < len(r.Notes) && r.Notes[before].Position != s.From {
		text += "?"
	}
	return text
}

// toText is the position that the hand moved to, with a ? where it is less than
// four-fifths sure: that a hand moved can be sure where its new place is not.
func toText(r *session.Review, s session.ReviewShift) string {
	text := strconv.Itoa(int(s.To))
	if n := int(s.Note); n >= 0 && n < len(r.Notes) && unsure(r.Notes[n]) {
		text += "?"
	}
	return text
}

// unsureNotes counts the notes of which the hand is unsure.
func unsureNotes(r *session.Review) (n int) {
	for _, note := range r.Notes {
		if unsure(note) {
			n++
		}
	}
	return n
}

// guesses counts the notes at which the hand was likelier elsewhere than where
// it is said to have been.
func guesses(r *session.Review) (n int) {
	for _, note := range r.Notes {
		if note.Probability < coach.Likely {
			n++
		}
	}
	return n
}

// sureText says for how many notes the hand is unsure.
func sureText(r *session.Review) string {
	if n := unsureNotes(r); n > 0 {
		return fmt.Sprintf("unsure for %d of %s (less than four-fifths sure)", n, coach.Many(len(r.Notes), "note"))
	}
	return "at least four-fifths sure for every note"
}

// From how many likely shifts on a tenth of one tells nothing: for a sure hand, and for
// one that is unsure for most notes. Ours.
const (
	manyLikely     = 100
	likelyIfUnsure = 10
)

// likely is an expected number of shifts as finely as it tells something.
func likely(shifts float64, unsure, notes int) float64 {
	if shifts >= manyLikely || shifts >= likelyIfUnsure && 2*unsure > notes {
		return math.Round(shifts)
	}
	return shifts
}

// likelyText is the take's likely shifts in figures.
func likelyText(r *session.Review) string {
	return trim(likely(r.Count.Likely, unsureNotes(r), len(r.Notes)), 1)
}

// toldText says how often the hand's place was told rather than inferred, as the
// end of a sentence on it; "" if never.
func toldText(r *session.Review) string {
	switch n := r.Input.Anchors; n {
	case 0:
		return ""
	case 1:
		return "; its place was told once"
	default:
		return "; its place was told " + times(float64(n), "time")
	}
}

// reachedLine says how often a finger probably left the window, which no count
// of the fewest knows; "" if never.
func reachedLine(r *session.Review) string {
	n := 0
	for _, note := range r.Notes {
		if note.Reached {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("For %s a finger probably reached one fret out of the window: the fewest and \"at least\" know no reach and count shifts there instead.", times(float64(n), "note"))
}

// unsureLine says how far the picture of the hand is a guess.
func unsureLine(r *session.Review) string {
	if len(r.Notes) == 0 {
		return ""
	}
	text := "Where the hand lay is inferred from the notes"
	if r.Input.Strings != "known" {
		text += ", and so are the strings"
	}
	text += "; it is " + sureText(r)
	if unsureNotes(r) > 0 {
		text += ": dashed and pale, as far as it could be off"
	}
	text += toldText(r) + "."
	if reached := reachedLine(r); reached != "" {
		text += " " + reached
	}
	return text
}

// stillText is what there is to say of a take without a shift that is likelier
// than not, with how surely nothing needs a change. No hand moved is a fact only
// as far as every note's place and all that the small chances of a shift add up
// to are (a sum of chances is no less than the chance of any: Boole's
// inequality).
func stillText(r *session.Review) (nothing, why string) {
	nothing = "nothing to change"
	n, all := unsureNotes(r), coach.Many(len(r.Notes), "note")
	switch {
	case 2*n > len(r.Notes):
		return "probably nothing to change", fmt.Sprintf("all the notes can be had in one place. Whether the hand stayed there is a guess, for where it lay is unsure for %d of %s.", n, all)
	case n > 0:
		return nothing, fmt.Sprintf("the hand probably stayed in one place throughout, though where it lay is unsure for %d of %s.", n, all)
	case r.Count.Likely > 1-coach.Sure:
		return nothing, "the hand probably stayed in one place throughout."
	}
	return nothing, "the hand stayed in one place throughout."
}
