package session

import (
	"sort"
	"time"

	"stillhand/coach"
)

// passage is one passage of a recording, from its first onset to its last
// release.
type passage struct{ from, to time.Duration }

// passages are those of a recording, in order of time. Back and Forward stop
// where each begins and at the steps inside a long one. A file may hold a note
// for years, so the stops are worked out where they are asked for and stand in
// no list.
type passages []passage

// Music without rests is one passage of any length: one longer than
// longPassage is gone through in steps (ours: a step is two or three phrases).
const (
	longPassage = 30 * time.Second
	passageStep = 10 * time.Second
)

// passagesOf finds the passages of notes in order of their onsets. A note that
// rings on into the next passage does not make its own longer.
func passagesOf(notes []ReviewNote) passages {
	var all passages
	for i, n := range notes {
		from, to := duration(n.At), duration(n.Off)
		last := len(all) - 1
		if !opens(notes, i) {
			all[last].to = max(all[last].to, to)
			continue
		}
		if i > 0 {
			all[last].to = min(all[last].to, from)
		}
		all = append(all, passage{from, to})
	}
	return all
}

// opens reports whether a passage begins with note i: a gap of more than
// coach.PassageGap lies before it, from the release of the note before, whatever
// rings on.
func opens(notes []ReviewNote, i int) bool {
	return i == 0 || notes[i].At-notes[i-1].Off > coach.PassageGap.Seconds()
}

// Played is the time spent in the passages of notes in order of their onsets.
func Played(notes []ReviewNote) time.Duration {
	sum := time.Duration(0)
	for _, p := range passagesOf(notes) {
		sum += p.to - p.from
	}
	return sum
}

// steps is how many steps lead on from the start of p: none in a short one,
// and no short last one.
func (p passage) steps() time.Duration {
	if p.to-p.from <= longPassage {
		return 0
	}
	return (p.to - p.from - passageStep/2) / passageStep
}

// begun is how many passages have begun at t.
func (x passages) begun(t time.Duration) int {
	return sort.Search(len(x), func(i int) bool { return x[i].from > t })
}

// around is from where to where the passage loops that is the last one begun at
// t, or else the first: with the silence after it, of coach.PassageGap at most.
// All up to the end if there is none.
func (x passages) around(t, end time.Duration) (from, to time.Duration) {
	if len(x) == 0 {
		return 0, end
	}
	p := x[max(x.begun(t)-1, 0)]
	end = x.next(p.from, end)
	return p.from, min(p.to, end-coach.PassageGap) + coach.PassageGap
}

// next is where the first passage begins after t, or none.
func (x passages) next(t, none time.Duration) time.Duration {
	if i := x.begun(t); i < len(x) {
		return x[i].from
	}
	return none
}

// stopBefore is the last stop at or before t; 0 if there is none.
func (x passages) stopBefore(t time.Duration) time.Duration {
	i := x.begun(t)
	if i == 0 {
		return 0
	}
	p := x[i-1]
	return p.from + min((t-p.from)/passageStep, p.steps())*passageStep
}

// stopAfter is the first stop after t, or none.
func (x passages) stopAfter(t, none time.Duration) time.Duration {
	if i := x.begun(t); i > 0 {
		p := x[i-1]
		if step := (t-p.from)/passageStep + 1; step <= p.steps() {
			return p.from + step*passageStep
		}
	}
	return x.next(t, none)
}
