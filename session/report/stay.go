package report

import (
	"stillhand/coach"
	"stillhand/session"
)

// stay is a run of notes that the hand plays from one position. Open strings
// belong to the stay in which they sound.
type stay struct {
	first, last int // notes of the take
	position    int
	low, high   int  // where else the hand could have been
	unsure      bool // any note of it is
}

// playedStays are the likeliest stays of notes first to last.
func playedStays(r *session.Review, first, last int) []stay {
	var out []stay
	for i := first; i <= last; i++ {
		n := r.Notes[i]
		if n.Position < 1 {
			continue
		}
		at := stay{first: i, last: i, position: n.Position, low: n.Low, high: n.High, unsure: unsure(n)}
		if k := len(out) - 1; k >= 0 && (n.Fret == 0 || out[k].position == n.Position) {
			out[k].last = i
			if n.Fret > 0 {
				out[k].low, out[k].high = min(out[k].low, n.Low), max(out[k].high, n.High)
				out[k].unsure = out[k].unsure || at.unsure
			}
			continue
		}
		if n.Fret > 0 {
			out = append(out, at)
		}
	}
	return out
}

// pathStays are the stays of a path.
func pathStays(path []coach.Step) []stay {
	var out []stay
	for _, s := range path {
		if k := len(out) - 1; k >= 0 && (s.Place.Fret == 0 || out[k].position == s.Position) {
			out[k].last = s.Note
		} else if s.Place.Fret > 0 {
			out = append(out, stay{first: s.Note, last: s.Note, position: s.Position, low: s.Position, high: s.Position})
		}
	}
	return out
}

// steps are a review's path as the computation's.
func steps(path []session.ReviewStep) []coach.Step {
	out := make([]coach.Step, len(path))
	for i, s := range path {
		out[i] = coach.Step{Note: s.Note, Place: coach.Place{String: s.String, Fret: s.Fret}, Finger: s.Finger, Position: s.Position}
	}
	return out
}

// playedSteps are notes first to last as they were probably played.
func playedSteps(r *session.Review, first, last int) []coach.Step {
	var out []coach.Step
	for i := first; i <= last; i++ {
		n := r.Notes[i]
		out = append(out, coach.Step{Note: i, Place: coach.Place{String: n.String, Fret: n.Fret}, Finger: n.Finger, Position: n.Position})
	}
	return out
}
