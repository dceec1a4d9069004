package report

import (
	"fmt"
	"io"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// writePhrases lists the phrases that came back with other fingers or in
// another place.
func writePhrases(b io.Writer, r *session.Review, bars Bars) {
	if len(r.Phrases) == 0 {
		return
	}
	fmt.Fprint(b, "\nWorth settling (one phrase, more than one fingering)\n")
	for _, p := range r.Phrases {
		first := p.FirstNote - firstNote(r)
		wrapped(b, "  ", fmt.Sprintf("%s: %s, %s", capital(point(bars, r.Notes[first].At)), pitchNames(r.Notes[first:first+p.Notes]), occurrences(p)))
		for _, w := range p.Ways {
			wrapped(b, "      ", fmt.Sprintf("%s: %s", times(float64(w.Times), "time"), wayText(w)))
		}
	}
}

// firstNote is the index of the first note that r lists: recordings list all.
func firstNote(r *session.Review) int { return r.Input.Notes - len(r.Notes) }

func pitchNames(notes []session.ReviewNote) string {
	names := make([]string, len(notes))
	for i, n := range notes {
		names[i] = coach.PitchName(int(n.Pitch))
	}
	return strings.Join(names, " ")
}

// occurrences says how often a phrase came and how often alike.
func occurrences(p session.ReviewPhrase) string {
	text := fmt.Sprintf("%d times, %d alike", p.Times, p.Ways[0].Times)
	if p.Doubtful > 0 {
		text += fmt.Sprintf(", %d unsure", p.Doubtful)
	}
	return text
}

// wayText tells a way string by string, and the fingers in a row.
func wayText(w session.ReviewWay) string {
	path := make([]session.ReviewStep, len(w.Path))
	fingers := ""
	for i, at := range w.Path {
		path[i] = session.ReviewStep{String: int8(at.String), Fret: int8(at.Fret)}
		fingers += fmt.Sprintf(" %d", at.Finger)
	}
	return strings.Join(onStrings(path), ", ") + ", fingers" + fingers
}

// settlingLine offers the least settled phrase for practice; "" if there is
// none.
func settlingLine(r *session.Review, bars Bars) string {
	if len(r.Phrases) == 0 {
		return ""
	}
	p := r.Phrases[0]
	first := p.FirstNote - firstNote(r)
	return fmt.Sprintf("Settle one fingering for %s (%s, first at %s): %s.",
		pitchNames(r.Notes[first:first+p.Notes]), occurrences(p), point(bars, r.Notes[first].At), wayText(p.Ways[0]))
}
