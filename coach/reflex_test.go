package coach

import (
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
		out[i] = Played{Pitch: p, Place: Place{2 + shift, p - 30 + shift}, Finger: 1 + p%4, Probability: 1, Rest: i == 0}
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
	got := Phrases([][]Played{take})
	require.Len(t, got, 1)
	p := got[0]
	assert.Equal(t, riff, p.Pitches)
	assert.Equal(t, 4, p.Times)
	assert.Equal(t, 0.75, p.Share)
	require.Len(t, p.Ways, 2)
	assert.Equal(t, []int{3, 1}, []int{p.Ways[0].Times, p.Ways[1].Times})
	assert.Equal(t, Place{2, 10}, p.Ways[0].Places[0])
	assert.Len(t, p.Ways[0].Fingers, 5)
	assert.Equal(t, []int{0, 0}, []int{p.Take, p.First})
}

func TestPhrases_OffersTheLeastSettledFirst(t *testing.T) {
	t.Parallel()
	a, b, c := []int{40, 41, 42, 43}, []int{50, 52, 54, 55}, []int{30, 37, 31, 38}
	got := Phrases([][]Played{
		joined(lick(0, a...), lick(0, b...), lick(0, c...)),
		joined(lick(0, a...), lick(1, b...), lick(0, c...)),
		joined(lick(1, a...), lick(2, b...), lick(0, c...)),
	})
	require.Len(t, got, 3)
	assert.Equal(t, b, got[0].Pitches)
	assert.Equal(t, a, got[1].Pitches)
	assert.Equal(t, c, got[2].Pitches)
	assert.InDelta(t, 1.0/3, got[0].Share, 1e-12)
	assert.InDelta(t, 2.0/3, got[1].Share, 1e-12)
	assert.Equal(t, 1.0, got[2].Share)
}

func TestPhrases_DoubtfulFingeringsAreNoWay(t *testing.T) {
	t.Parallel()
	a := []int{40, 41, 42, 43}
	doubt := lick(1, a...)
	doubt[2].Probability = Sure - 0.01
	got := Phrases([][]Played{joined(lick(0, a...), doubt, lick(0, a...))})
	require.Len(t, got, 1)
	assert.Equal(t, 3, got[0].Times)
	assert.Equal(t, 1, got[0].Doubtful)
	assert.Equal(t, 1.0, got[0].Share)
	assert.Len(t, got[0].Ways, 1)
}

func TestPhrases_StopAtRestsAndTakes(t *testing.T) {
	t.Parallel()
	half := joined(lick(0, 40, 41), lick(0, 42, 43))
	assert.Empty(t, Phrases([][]Played{joined(half, half)}), "across a rest")
	assert.Empty(t, Phrases([][]Played{lick(0, 40, 41, 42), lick(0, 43, 40, 41, 42), lick(0, 43)}), "across takes")
	assert.Empty(t, Phrases(nil))
	assert.Len(t, Phrases([][]Played{lick(0, 40, 41, 42, 43), lick(0, 40, 41, 42, 43)}), 1, "over takes")
}

func TestPhrases_PrefersTheWholeToItsParts(t *testing.T) {
	t.Parallel()
	eight := []int{40, 42, 44, 45, 47, 49, 51, 52}
	got := Phrases([][]Played{joined(lick(0, eight...), lick(0, 30, 31), lick(0, eight...))})
	require.Len(t, got, 1)
	assert.Equal(t, eight, got[0].Pitches)

	var round []int // four notes going round: not its doublings, not its turns
	for range 10 {
		round = append(round, 40, 43, 47, 45)
	}
	got = Phrases([][]Played{lick(0, round...)})
	require.Len(t, got, 1)
	assert.Equal(t, []int{40, 43, 47, 45}, got[0].Pitches)
	assert.Equal(t, 10, got[0].Times)

	var long []int // sixteen notes, twice: two phrases of eight
	for i := range 16 {
		long = append(long, 30+2*i)
	}
	got = Phrases([][]Played{joined(lick(0, long...), lick(0, long...))})
	require.Len(t, got, 2)
	assert.Len(t, got[0].Pitches, 8)
}

// repeatsIn counts, the slow way, how often run occurs without overlapping
// itself.
func repeatsIn(takes [][]Played, run []int) int {
	times := 0
	for _, take := range takes {
		for i := 0; i+len(run) <= len(take); {
			if same(take[i:i+len(run)], run) {
				times++
				i += len(run)
			} else {
				i++
			}
		}
	}
	return times
}

func same(played []Played, run []int) bool {
	for i, p := range run {
		if played[i].Pitch != p || (i > 0 && played[i].Rest) {
			return false
		}
	}
	return true
}

// Held against plain searching: what is found is a repeat, no oftener than it
// occurs, phrases share no note, and no repeat of untouched notes is missed.
func TestPhrases_AgreeWithPlainSearching(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		takes := make([][]Played, rapid.IntRange(1, 3).Draw(t, "takes"))
		for i := range takes {
			for _, p := range rapid.SliceOfN(rapid.IntRange(0, 11), 0, 60).Draw(t, "notes") {
				takes[i] = append(takes[i], Played{Pitch: 40 + p%3, Probability: 1, Rest: p == 11})
			}
		}
		got := Phrases(takes)
		for _, p := range got {
			if n := len(p.Pitches); n < 4 || n > 8 {
				t.Fatalf("%d notes", n)
			}
			if all := repeatsIn(takes, p.Pitches); p.Times < 2 || p.Times > all {
				t.Fatalf("%v: %d times, occurs %d times", p.Pitches, p.Times, all)
			}
			if !same(takes[p.Take][p.First:], p.Pitches) {
				t.Fatalf("%v is not where it was said to be", p.Pitches)
			}
		}
		sum, total := 0, 0
		for _, p := range got {
			sum += p.Times * len(p.Pitches)
		}
		for _, take := range takes {
			total += len(take)
		}
		if sum > total {
			t.Fatalf("%d notes in phrases, %d played", sum, total)
		}
		if len(got) == 0 {
			for _, take := range takes {
				for i := 0; i+4 <= len(take); i++ {
					var run []int
					for _, p := range take[i : i+4] {
						run = append(run, p.Pitch)
					}
					if same(take[i:], run) && repeatsIn(takes, run) > 1 {
						t.Fatalf("missed %v", run)
					}
				}
			}
		}
		if !slices.IsSortedFunc(got, func(a, b Phrase) int { return int(1000 * (a.Share - b.Share)) }) {
			t.Fatal("not the least settled first")
		}
	})
}

// Ten times the notes take about ten times the table: no work is done for
// pairs of notes.
func TestPhrases_GrowWithTheNotes(t *testing.T) {
	take := func(n int) [][]Played {
		rng := rand.New(rand.NewPCG(1, 1))
		notes := make([]Played, n)
		for i := range notes {
			notes[i] = Played{Pitch: 40 + rng.IntN(6), Probability: 1}
		}
		return [][]Played{notes}
	}
	small, large := testing.AllocsPerRun(1, func() { Phrases(take(2000)) }), testing.AllocsPerRun(1, func() { Phrases(take(20000)) })
	t.Logf("2,000 notes: %.0f allocations, 20,000 notes: %.0f", small, large)
	assert.Less(t, large, 20*small)
}
