package coach

import (
	"cmp"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// lick is a passage of pitches on one string, in one way.
func lick(shift int, pitches ...int) []Played {
	out := make([]Played, len(pitches))
	for i, p := range pitches {
		out[i] = Played{Pitch: int8(p), String: int8(2 + shift), Fret: int8(p - 30 + shift), Finger: int8(1 + p%4), Rest: i == 0}
	}
	return out
}

func joined(parts ...[]Played) []Played {
	var out []Played
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

func TestPhrases_FindsAPhraseByItself(t *testing.T) {
	t.Parallel()
	riff := []int{40, 43, 45, 47, 50}
	take := joined(lick(0, riff...), lick(0, 33, 35), lick(0, riff...), lick(1, riff...), lick(0, 36, 35, 38), lick(0, riff...))
	got := Phrases(take, 9)
	require.Len(t, got, 1)
	p := got[0]
	assert.Equal(t, riff, p.Pitches)
	assert.Equal(t, 4, p.Times)
	assert.Equal(t, 0.75, p.Share)
	require.Len(t, p.Ways, 2)
	assert.Equal(t, []int{3, 1}, []int{p.Ways[0].Times, p.Ways[1].Times})
	assert.Equal(t, Place{2, 10}, p.Ways[0].Places[0])
	assert.Len(t, p.Ways[0].Fingers, 5)
	assert.Equal(t, 0, p.First)
}

func TestPhrases_OffersTheLeastSettledFirst(t *testing.T) {
	t.Parallel()
	a, b, c := []int{40, 41, 42, 43}, []int{50, 52, 54, 55}, []int{30, 37, 31, 38}
	take := joined(
		lick(0, a...), lick(0, b...), lick(0, c...),
		lick(0, a...), lick(1, b...), lick(0, c...),
		lick(1, a...), lick(2, b...), lick(0, c...),
	)
	got := Phrases(take, 9)
	require.Len(t, got, 3)
	assert.Equal(t, b, got[0].Pitches)
	assert.Equal(t, a, got[1].Pitches)
	assert.Equal(t, c, got[2].Pitches)
	assert.InDelta(t, 1.0/3, got[0].Share, 1e-12)
	assert.InDelta(t, 2.0/3, got[1].Share, 1e-12)
	assert.Equal(t, 1.0, got[2].Share)
	assert.Equal(t, got[:2], Phrases(take, 2))

	// Of equals the most often heard, though the other one accounts for more notes.
	long := []int{60, 62, 61, 63, 65, 64, 66, 68}
	got = Phrases(joined(lick(0, long...), lick(0, a...), lick(0, long...), lick(0, a...), lick(0, long...), lick(0, a...), lick(0, a...), lick(0, a...)), 9)
	require.Len(t, got, 2)
	assert.Equal(t, []int{5, 3}, []int{got[0].Times, got[1].Times})
}

func TestPhrases_DoubtfulFingeringsAreNoWay(t *testing.T) {
	t.Parallel()
	a := []int{40, 41, 42, 43}
	doubt := lick(1, a...)
	doubt[2].Doubtful = true
	got := Phrases(joined(lick(0, a...), doubt, lick(0, a...)), 9)
	require.Len(t, got, 1)
	assert.Equal(t, 3, got[0].Times)
	assert.Equal(t, 1, got[0].Doubtful)
	assert.Equal(t, 1.0, got[0].Share)
	assert.Len(t, got[0].Ways, 1)
}

func TestPhrases_StopAtRests(t *testing.T) {
	t.Parallel()
	half := joined(lick(0, 40, 41), lick(0, 42, 43))
	assert.Empty(t, Phrases(joined(half, half), 9), "across a rest")
	assert.Empty(t, Phrases(joined(lick(0, 40, 41, 42), lick(0, 43, 40, 41, 42), lick(0, 43)), 9))
	assert.Empty(t, Phrases(nil, 9))
	assert.Len(t, Phrases(joined(lick(0, 40, 41, 42, 43), lick(0, 40, 41, 42, 43)), 9), 1)
}

func TestPhrases_PrefersTheWholeToItsParts(t *testing.T) {
	t.Parallel()
	eight := []int{40, 42, 44, 45, 47, 49, 51, 52}
	got := Phrases(joined(lick(0, eight...), lick(0, 30, 31), lick(0, eight...)), 9)
	require.Len(t, got, 1)
	assert.Equal(t, eight, got[0].Pitches)

	var round []int // four notes going round: not its doublings, not its turns
	for range 10 {
		round = append(round, 40, 43, 47, 45)
	}
	got = Phrases(lick(0, round...), 9)
	require.Len(t, got, 1)
	assert.Equal(t, []int{40, 43, 47, 45}, got[0].Pitches)
	assert.Equal(t, 10, got[0].Times)

	five := []int{40, 42, 44, 45, 47} // four of them once more: as many notes, and the shorter one goes first
	got = Phrases(joined(lick(0, five...), lick(0, five...), lick(0, five...), lick(0, five...), lick(0, five[1:]...)), 9)
	require.NotEmpty(t, got)
	assert.Equal(t, five[1:], got[0].Pitches)
	assert.Equal(t, 5, got[0].Times)

	var long []int // sixteen notes, twice: two phrases of eight
	for i := range 16 {
		long = append(long, 30+2*i)
	}
	got = Phrases(joined(lick(0, long...), lick(0, long...)), 9)
	require.Len(t, got, 2)
	assert.Len(t, got[0].Pitches, 8)
}

// plainPhrases is the obvious way: a table of all runs, the repeated ones
// sorted by the notes they account for and taken greedily.
func plainPhrases(take []Played) []Phrase {
	spots := map[string][]int{}
	for i := range take {
		for n := minPhrase; n <= maxPhrase && i+n <= len(take); n++ {
			run := ""
			for k, p := range take[i : i+n] {
				if k > 0 && p.Rest {
					run = ""
					break
				}
				run += string(rune(p.Pitch))
			}
			if at := spots[run]; run != "" && (len(at) == 0 || at[len(at)-1]+n <= i) {
				spots[run] = append(at, i)
			}
		}
	}
	order := slices.SortedFunc(maps.Keys(spots), func(a, b string) int {
		x, y := spots[a], spots[b]
		return cmp.Or(cmp.Compare(len(y)*len(b), len(x)*len(a)), cmp.Compare(len(a), len(b)), cmp.Compare(x[0], y[0]))
	})
	taken := make([]bool, len(take))
	var out []Phrase
	for _, run := range order {
		n := len(run)
		free := slices.DeleteFunc(spots[run], func(i int) bool { return slices.Contains(taken[i:i+n], true) })
		if len(free) < 2 {
			continue
		}
		p := Phrase{Times: len(free), First: free[0], Share: 1}
		for _, c := range run {
			p.Pitches = append(p.Pitches, int(c))
		}
		for _, i := range free {
			w := Way{Times: 1}
			doubtful := false
			for k, x := range take[i : i+n] {
				taken[i+k] = true
				w.Places, w.Fingers = append(w.Places, Place{int(x.String), int(x.Fret)}), append(w.Fingers, int(x.Finger))
				doubtful = doubtful || x.Doubtful
			}
			if doubtful {
				p.Doubtful++
				continue
			}
			same := func(o Way) bool { return slices.Equal(o.Places, w.Places) && slices.Equal(o.Fingers, w.Fingers) }
			if k := slices.IndexFunc(p.Ways, same); k >= 0 {
				p.Ways[k].Times++
			} else {
				p.Ways = append(p.Ways, w)
			}
		}
		slices.SortStableFunc(p.Ways, func(a, b Way) int { return b.Times - a.Times })
		if known := p.Times - p.Doubtful; known > 1 {
			p.Share = float64(p.Ways[0].Times) / float64(known)
		}
		out = append(out, p)
	}
	slices.SortStableFunc(out, func(a, b Phrase) int {
		return cmp.Or(cmp.Compare(a.Share, b.Share), cmp.Compare(b.Times, a.Times))
	})
	return out
}

func TestPhrases_EqualThePlainWay(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		pitches := rapid.IntRange(1, 4).Draw(t, "pitches")
		var take []Played
		for _, x := range rapid.SliceOfN(rapid.IntRange(0, 4*12-1), 0, 250).Draw(t, "notes") {
			take = append(take, Played{
				Pitch: int8(40 + x%pitches), String: int8(1 + x%5/4), Fret: int8(x % pitches), Finger: 1,
				Doubtful: x%12 == 10, Rest: x%24 == 11,
			})
		}
		require.Equal(t, plainPhrases(take), Phrases(take, len(take)))
	})
}

// Ten times the notes take no more allocations for each: no work is done for
// pairs of notes.
func TestPhrases_GrowWithTheNotes(t *testing.T) {
	take := func(n int) []Played {
		rng := rand.New(rand.NewPCG(1, 1))
		notes := make([]Played, n)
		for i := range notes {
			notes[i] = Played{Pitch: int8(40 + rng.IntN(6))}
		}
		return notes
	}
	small, large := testing.AllocsPerRun(1, func() { Phrases(take(2000), 5) }), testing.AllocsPerRun(1, func() { Phrases(take(20000), 5) })
	t.Logf("2,000 notes: %.0f allocations, 20,000 notes: %.0f", small, large)
	assert.Less(t, large, 20*small)
}
