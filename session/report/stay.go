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
	unsure      bool // some note of it was
}

// playedStays are the likeliest stays of notes first to last: the hand stays
// until a shift of the review, at the position that its notes speak for most.
// What it moves about inside a stay with less than an even chance of a shift
// is doubt, not movement.
func playedStays(r *session.Review, first, last int) []stay {
	shifts := shiftsByNote(r)
	var out []stay
	weight := map[int]float64{} // of each position, over the stay's notes
	for i := first; i <= last; i++ {
		n := r.Notes[i]
		if n.Position < 1 {
			continue
		}
		_, moved := shifts[i]
		if len(out) == 0 || moved {
			out = append(out, stay{first: i, position: int(n.Position), low: int(n.Position), high: int(n.Position)})
			clear(weight)
		}
		at := &out[len(out)-1]
		at.last = i
		if n.Fret == 0 {
			continue
		}
		if len(weight) == 0 { // its first fretted note
			at.position, at.low, at.high = int(n.Position), int(n.Low), int(n.High)
		}
		position := int(n.Position)
		weight[position] += n.Probability
		if weight[position] > weight[at.position] || weight[position] == weight[at.position] && position < at.position {
			at.position = position
		}
		at.low, at.high = min(at.low, int(n.Low)), max(at.high, int(n.High))
		at.unsure = at.unsure || unsure(n)
	}
	return merged(out)
}

// merged makes one stay of neighbours at one position. The shift between them
// came from somewhere else, nobody knows where, so the stay is unsure.
func merged(stays []stay) []stay {
	var out []stay
	for _, next := range stays {
		k := len(out) - 1
		if k < 0 || out[k].position != next.position {
			out = append(out, next)
			continue
		}
		out[k].last, out[k].unsure = next.last, true
		out[k].low, out[k].high = min(out[k].low, next.low), max(out[k].high, next.high)
	}
	return out
}

// movesIn are the notes of first to last into which a shift is listed, but for
// the first, which the hand may have come to from outside.
func movesIn(r *session.Review, first, last int) map[int]bool {
	moves := map[int]bool{}
	for _, s := range r.Shifts {
		if i := int(s.Note); i > first && i <= last {
			moves[i] = true
		}
	}
	return moves
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
		out[i] = coach.Step{Note: int(s.Note), Place: coach.Place{String: int(s.String), Fret: int(s.Fret)}, Finger: int(s.Finger), Position: int(s.Position)}
	}
	return out
}

// playedSteps are notes first to last as they were probably played.
func playedSteps(r *session.Review, first, last int) []coach.Step {
	var out []coach.Step
	for i := first; i <= last; i++ {
		n := r.Notes[i]
		out = append(out, coach.Step{Note: i, Place: n.Place(), Finger: int(n.Finger), Position: int(n.Position)})
	}
	return out
}
