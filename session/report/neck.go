package report

import (
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// neckOf is the neck that the review names.
func neckOf(r *session.Review) (coach.Neck, error) {
	n, err := coach.ParseNeck(strings.Join(r.Neck.Strings, " "))
	if err != nil {
		return coach.Neck{}, err
	}
	n.Frets, n.ScaleMM = r.Neck.Frets, r.Neck.ScaleMM
	return n, n.Validate()
}

func pitchNamesOf(pitches []int) []string {
	names := make([]string, len(pitches))
	for i, p := range pitches {
		names[i] = coach.PitchName(p)
	}
	return names
}

// notesOf are the review's notes as the computation takes them: with their
// strings where the input told them.
func notesOf(r *session.Review) []coach.Note {
	notes := make([]coach.Note, len(r.Notes))
	for i, n := range r.Notes {
		notes[i] = coach.Note{At: seconds(n.At), Gap: coach.Rest, Pitch: int(n.Pitch), Velocity: int(n.Velocity), Slide: int(n.Slide)}
		if r.Input.Strings == "known" {
			notes[i].String = int(n.String)
		}
		if i > 0 {
			off := r.Notes[i-1].Off
			notes[i].Gap = max(0, seconds(n.At)-seconds(off))
			notes[i].Sounding = off > n.At
		}
	}
	return notes
}
