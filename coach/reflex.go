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

// Played is one note of a take with the fingering that was settled for it.
// Rest says that a passage begins with it: no phrase runs across.
type Played struct {
	Pitch       int
	Place       Place
	Finger      int     // 0 for an open string
	Probability float64 // of Place with Finger
	Rest        bool
}

// Way is one way in which a phrase was played.
type Way struct {
	Places  []Place
	Fingers []int
	Times   int
}

// Phrase is a run of four to eight notes that was played more than once.
type Phrase struct {
	Pitches     []int
	Times       int   // occurrences, none overlapping another
	Doubtful    int   // of them, with a note whose fingering is less probable than Sure: in no way
	Ways        []Way // commonest first, first heard first among equals
	Share       float64
	Take, First int // where it was heard first: index of the take, and of its first note there
}

// gram is a run of pitches as a map key. MIDI pitches fit a byte, so the key
// is the run itself and two runs never share one.
type gram struct {
	pitch [maxPhrase]uint8
	len   uint8
}

// spot is where a run begins.
type spot struct{ take, note int }

// Phrases finds the phrases that the takes repeat, the least settled first:
// by Share, the part of the occurrences played in the commonest way, then the
// most often heard. Phrases with fewer than two occurrences of known fingering
// come last, with a Share of 1.
//
// Every run of minPhrase to maxPhrase notes is put into one hash table, in
// time and memory linear in the notes; the distinct repeated runs are then
// sorted by the notes they account for and taken greedily. A run is passed
// over where the notes are already part of a phrase that was taken, so that
// long repeats win over their parts and a short figure that goes round wins
// over its doublings; no two phrases overlap.
func Phrases(takes [][]Played) []Phrase {
	spots := map[gram][]spot{}
	for t, take := range takes {
		start := 0 // of the passage
		for i, p := range take {
			if p.Rest {
				start = i
			}
			for n := minPhrase; n <= maxPhrase && i-n+1 >= start; n++ {
				first := i - n + 1
				g := gramOf(take[first : i+1])
				if at := spots[g]; len(at) == 0 || at[len(at)-1].take != t || at[len(at)-1].note+n <= first {
					spots[g] = append(at, spot{t, first})
				}
			}
		}
	}
	var repeated []gram
	for g, at := range spots {
		if len(at) > 1 {
			repeated = append(repeated, g)
		}
	}
	slices.SortFunc(repeated, func(a, b gram) int {
		x, y := spots[a], spots[b]
		return cmp.Or(
			cmp.Compare(len(y)*int(b.len), len(x)*int(a.len)),
			cmp.Compare(a.len, b.len),
			cmp.Compare(x[0].take, y[0].take), cmp.Compare(x[0].note, y[0].note))
	})
	taken := make([][]bool, len(takes))
	for t := range takes {
		taken[t] = make([]bool, len(takes[t]))
	}
	var out []Phrase
	for _, g := range repeated {
		n := int(g.len)
		free := slices.DeleteFunc(spots[g], func(s spot) bool {
			return slices.Contains(taken[s.take][s.note:s.note+n], true)
		})
		if len(free) < 2 {
			continue
		}
		for _, s := range free {
			for i := range n {
				taken[s.take][s.note+i] = true
			}
		}
		out = append(out, phrase(takes, free, n))
	}
	slices.SortStableFunc(out, func(a, b Phrase) int {
		return cmp.Or(cmp.Compare(a.Share, b.Share), cmp.Compare(b.Times, a.Times))
	})
	return out
}

func gramOf(run []Played) gram {
	g := gram{len: uint8(len(run))}
	for i, p := range run {
		g.pitch[i] = uint8(p.Pitch)
	}
	return g
}

// phrase gathers the ways in which the run of n notes at the spots was played.
func phrase(takes [][]Played, spots []spot, n int) Phrase {
	type key struct {
		place  [maxPhrase]Place
		finger [maxPhrase]int
	}
	p := Phrase{Times: len(spots), Take: spots[0].take, First: spots[0].note, Share: 1}
	for _, x := range takes[p.Take][p.First : p.First+n] {
		p.Pitches = append(p.Pitches, x.Pitch)
	}
	index := map[key]int{}
	for _, s := range spots {
		var k key
		doubtful := false
		run := takes[s.take][s.note : s.note+n]
		for i, x := range run {
			k.place[i], k.finger[i] = x.Place, x.Finger
			doubtful = doubtful || x.Probability < Sure
		}
		if doubtful {
			p.Doubtful++
			continue
		}
		i, ok := index[k]
		if !ok {
			i = len(p.Ways)
			index[k] = i
			p.Ways = append(p.Ways, Way{Places: slices.Clone(k.place[:n]), Fingers: slices.Clone(k.finger[:n])})
		}
		p.Ways[i].Times++
	}
	slices.SortStableFunc(p.Ways, func(a, b Way) int { return cmp.Compare(b.Times, a.Times) })
	if known := p.Times - p.Doubtful; known > 1 {
		p.Share = float64(p.Ways[0].Times) / float64(known)
	}
	return p
}
