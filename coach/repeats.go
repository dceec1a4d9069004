package coach

import (
	"cmp"
	"iter"
	"slices"
)

// repeat is a run of pitches that occurs more than once without overlapping
// itself.
type repeat struct {
	spots []int32 // where it begins, ascending
	notes int32
}

// mostNotes fits beside a run's length and first spot into 64 bits.
const mostNotes = 1<<28 - 1

// repeats yields the runs of minPhrase to maxPhrase notes that a take repeats,
// those that account for the most notes first; among equals the shorter, then
// the one heard first. The caller may change the spots.
//
// The beginnings of all runs are sorted by their pitches, one more at a time,
// as a radix sort from the first digit does; a run that occurs once is dropped.
// Time and memory are linear in the notes, but for sorting what repeats. There
// are fewer than mostNotes notes: more than a file can hold.
func repeats(take []Played) iter.Seq[repeat] {
	// Of each run: what it is sorted by, its length, and where its spots lie.
	// order counts down from the notes it accounts for, then up with its
	// length, then with its first spot.
	type entry struct {
		order           uint64
		notes, from, to int32
	}
	var spots [maxPhrase + 1][]int32 // by length
	var all []entry
	r := newRuns(take)
	for n := int32(1); n <= maxPhrase; n++ {
		r.lengthen()
		if n < minPhrase {
			continue
		}
		at := make([]int32, 0, len(r.at))
		for i := range r.ends {
			from, next := len(at), int32(0)
			for _, spot := range r.run(i) {
				if spot >= next {
					at = append(at, spot)
					next = spot + n
				}
			}
			if times := len(at) - from; times > 1 {
				order := (mostNotes-uint64(times)*uint64(n))<<36 | uint64(n)<<32 | uint64(at[from])
				all = append(all, entry{order, n, int32(from), int32(len(at))})
			} else {
				at = at[:from]
			}
		}
		spots[n] = at
	}
	slices.SortFunc(all, func(a, b entry) int { return cmp.Compare(a.order, b.order) })
	return func(yield func(repeat) bool) {
		for _, e := range all {
			if !yield(repeat{spots[e.notes][e.from:e.to:e.to], e.notes}) {
				return
			}
		}
	}
}

// runs are the beginnings of the runs of one length that occur more than once,
// equal runs together.
type runs struct {
	pitch  []uint8 // by note, and maxPhrase more
	length int32
	room   []int8  // by note: the notes from it to the end of its passage, at most maxPhrase
	at     []int32 // ascending within equal runs
	ends   []int32 // of each run, within at
	spare  struct{ at, ends []int32 }
}

// newRuns starts with runs of no notes, which are all equal.
func newRuns(take []Played) *runs {
	r := &runs{pitch: make([]uint8, len(take)+maxPhrase), room: make([]int8, len(take)), at: make([]int32, 0, len(take))}
	for i := len(take) - 1; i >= 0; i-- {
		r.pitch[i], r.room[i] = uint8(take[i].Pitch), 1
		if i+1 < len(take) && !take[i+1].Rest {
			r.room[i] = min(r.room[i+1]+1, maxPhrase)
		}
	}
	for i, room := range r.room {
		if room >= minPhrase {
			r.at = append(r.at, int32(i))
		}
	}
	r.ends = append(r.ends, int32(len(r.at)))
	r.spare.at = make([]int32, 0, len(r.at))
	return r
}

func (r *runs) run(i int) []int32 {
	from := int32(0)
	if i > 0 {
		from = r.ends[i-1]
	}
	return r.at[from:r.ends[i]]
}

// lengthen makes all runs longer by a note.
func (r *runs) lengthen() {
	at, ends := r.spare.at[:0], r.spare.ends[:0]
	pitch := r.pitch[r.length:] // by spot, the one by which its run goes on
	for i := range r.ends {
		from := len(at)
		for _, spot := range r.run(i) {
			if int32(r.room[spot]) > r.length {
				at = append(at, spot)
			}
		}
		longer := at[from:]
		sortByPitch(longer, r.run(i), pitch)
		at = at[:from]
		for len(longer) > 0 {
			n := 1
			for n < len(longer) && pitch[longer[n]] == pitch[longer[0]] {
				n++
			}
			if n > 1 {
				at = append(at, longer[:n]...)
				ends = append(ends, int32(len(at)))
			}
			longer = longer[n:]
		}
	}
	r.spare.at, r.spare.ends = r.at, r.ends
	r.at, r.ends = at, ends
	r.length++
}

// fewSpots is the number up to which sorting by insertion is faster than by
// counting (measured).
const fewSpots = 12

// sortByPitch sorts spots by pitch, equal ones as they were. scratch, at least
// as long, is overwritten.
func sortByPitch(spots, scratch []int32, pitch []uint8) {
	if len(spots) <= fewSpots {
		for i := 1; i < len(spots); i++ {
			x := spots[i]
			p, j := pitch[x], i
			for ; j > 0 && pitch[spots[j-1]] > p; j-- {
				spots[j] = spots[j-1]
			}
			spots[j] = x
		}
		return
	}
	var next [256]int32 // by pitch: where the next spot goes
	for _, x := range spots {
		next[pitch[x]]++
	}
	sum := int32(0)
	for p, n := range next {
		next[p] = sum
		sum += n
	}
	for _, x := range spots {
		p := pitch[x]
		scratch[next[p]] = x
		next[p]++
	}
	copy(spots, scratch[:len(spots)])
}
