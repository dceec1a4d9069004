package coach

import (
	"cmp"
	"slices"
)

// Length of a phrase in notes (the model's: runs of four to eight notes).
const (
	minPhrase = 4
	maxPhrase = 8
)

// Played is one note of a take with the fingering that was settled for it; a
// take may have millions.
type Played struct {
	Pitch        int8
	String, Fret int8
	Finger       int8 // 0 for an open string
	Doubtful     bool // place and finger are less probable than Sure
	Rest         bool // a passage begins with it: no phrase runs across
}

// Way is one way in which a phrase was played.
type Way struct {
	Places  []Place
	Fingers []int
	Times   int
}

// Phrase is a run of four to eight notes that was played more than once.
type Phrase struct {
	Pitches  []int
	Times    int     // occurrences, none overlapping another
	Doubtful int     // of them, with a doubtful note: in no way
	Ways     []Way   // commonest first, first heard first among equals
	Share    float64 // see Phrases
	First    int     // index of the first note of the first occurrence
}

// Phrases finds the phrases that a take repeats and returns at most most of
// them, the least settled first: by Share, the part of the occurrences played
// in the commonest way, then the most often heard. Phrases with fewer than two
// occurrences of known fingering come last, with a Share of 1.
//
// The repeated runs are sorted by the notes they account for and taken
// greedily. A run is passed over where the notes are already part of a phrase
// that was taken, so that long repeats win over their parts and a short figure
// that goes round wins over its doublings; no two phrases overlap.
func Phrases(take []Played, most int) []Phrase {
	taken := make([]bool, len(take))
	w := ways{take: take, index: map[manners]int{}}
	var found []figure
	for r := range repeats(take) {
		r.spots = slices.DeleteFunc(r.spots, func(at int32) bool {
			return slices.Contains(taken[at:at+r.notes], true)
		})
		if len(r.spots) < 2 {
			continue
		}
		for _, at := range r.spots {
			for i := range r.notes {
				taken[at+i] = true
			}
		}
		found = append(found, figure{r, w.share(r)})
	}
	slices.SortStableFunc(found, func(a, b figure) int {
		return cmp.Or(cmp.Compare(a.share, b.share), cmp.Compare(len(b.spots), len(a.spots)))
	})
	var out []Phrase
	for _, f := range found[:min(most, len(found))] {
		out = append(out, w.phrase(f))
	}
	return out
}

// figure is a repeat that was taken as a phrase.
type figure struct {
	repeat
	share float64
}

// manners is the way in which one occurrence was played.
type manners [maxPhrase]struct{ str, fret, finger int8 }

// ways tells the ways in which a repeat was played. Its map is used again.
type ways struct {
	take  []Played
	index map[manners]int // place within of
	of    []way
	doubt int
}

type way struct {
	first int32 // where it was heard first
	times int
}

func (w *ways) count(r repeat) {
	clear(w.index)
	w.of, w.doubt = w.of[:0], 0
	for _, at := range r.spots {
		var f manners
		doubtful := false
		for i, x := range w.take[at : at+r.notes] {
			f[i].str, f[i].fret, f[i].finger = x.String, x.Fret, x.Finger
			doubtful = doubtful || x.Doubtful
		}
		if doubtful {
			w.doubt++
			continue
		}
		i, ok := w.index[f]
		if !ok {
			i = len(w.of)
			w.index[f] = i
			w.of = append(w.of, way{first: at})
		}
		w.of[i].times++
	}
}

func (w *ways) share(r repeat) float64 {
	w.count(r)
	known := len(r.spots) - w.doubt
	if known < 2 {
		return 1
	}
	most := 0
	for _, x := range w.of {
		most = max(most, x.times)
	}
	return float64(most) / float64(known)
}

// phrase is f in full.
func (w *ways) phrase(f figure) Phrase {
	w.count(f.repeat)
	p := Phrase{Times: len(f.spots), Doubtful: w.doubt, Share: f.share, First: int(f.spots[0])}
	for _, x := range w.take[p.First : p.First+int(f.notes)] {
		p.Pitches = append(p.Pitches, int(x.Pitch))
	}
	slices.SortStableFunc(w.of, func(a, b way) int { return cmp.Compare(b.times, a.times) })
	for _, x := range w.of {
		one := Way{Times: x.times}
		for _, n := range w.take[x.first : x.first+f.notes] {
			one.Places = append(one.Places, Place{int(n.String), int(n.Fret)})
			one.Fingers = append(one.Fingers, int(n.Finger))
		}
		p.Ways = append(p.Ways, one)
	}
	return p
}
