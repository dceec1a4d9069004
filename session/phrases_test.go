package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
)

// onStrings plays a phrase of six notes six times, a rest after each: four
// times at the fifth fret of A and D, twice along the A string, and a figure in
// the same window. Its notes fill whole windows, and only the A string's part
// asks for a move, so that the fingers are not in doubt.
func onStrings(t *testing.T, values map[string]string) *Review {
	t.Helper()
	var perf performance
	at := time.Second
	for round := range 6 {
		for i, pitch := range []int{38, 41, 38, 43, 46, 43} { // D2 F2 D2 G2 A#2 G2
			perf.channel = 2 // A string, by the setting below
			if i > 2 && round < 4 {
				perf.channel = 1
			}
			perf.note(at, pitch, 240*time.Millisecond)
			at += 250 * time.Millisecond
		}
		at += time.Second
		perf.channel = 0
		for range 2 { // a figure that is always played alike
			for _, pitch := range []int{48, 51, 48, 51} {
				perf.note(at, pitch, 240*time.Millisecond)
				at += 250 * time.Millisecond
			}
			at += time.Second
		}
	}
	p := NewPipeline(plainSetup(t, values))
	feed(p, perf.events, at, noTicks)
	return p.Review("x", "", nil)
}

func TestReview_ListsPhrasesThatAreNotSettled(t *testing.T) {
	t.Parallel()
	r := onStrings(t, map[string]string{"strings": "1=1,2=2,3=3,4=4", "input": "keyboard"})
	require.Len(t, r.Phrases, 1)
	p := r.Phrases[0]
	assert.Equal(t, []int{0, 6, 6}, []int{p.FirstNote, p.Notes, p.Times})
	require.Len(t, p.Ways, 2)
	known := p.Times - p.Doubtful
	assert.Equal(t, known, p.Ways[0].Times+p.Ways[1].Times)
	assert.InDelta(t, float64(p.Ways[0].Times)/float64(known), p.Share, 1e-4)
	across, along := p.Ways[0].Path, p.Ways[1].Path
	assert.Equal(t, []int{3, 5}, []int{across[0].String, across[0].Fret})
	assert.Equal(t, []int{2, 5}, []int{across[3].String, across[3].Fret})
	assert.Equal(t, []int{3, 10}, []int{along[3].String, along[3].Fret})
}

func TestReview_KnowsNoPhrasesWhereStringsAreGuessed(t *testing.T) {
	t.Parallel()
	assert.Nil(t, onStrings(t, map[string]string{"strings": "pitch", "input": "keyboard"}).Phrases)
}

// Doubtful notes are in no way, and no phrase runs over a gap, from the release
// of the note before, whatever rings on.
func TestWorthSettling_LeavesOutWhatIsDoubtfulAndStopsAtRests(t *testing.T) {
	t.Parallel()
	play := func(gap float64) (take []ReviewNote) {
		for i, p := range []float64{1, 1, 1, coach.Sure - 0.01, 1} {
			at := float64(10 * i)
			for k, pitch := range []int8{40, 41, 43, 45} {
				n := ReviewNote{At: at, Off: at + 0.2, Pitch: pitch, String: 2, Fret: int8(5 + i/2), Finger: 1, Probability: p, PlaceSure: 1}
				at += 0.25
				switch k {
				case 0:
					n.Off += 0.25 + gap // it rings through the gap
				case 1:
					at += gap
				}
				take = append(take, n)
			}
		}
		return take
	}
	got := worthSettling(play(0.3), 100)
	require.Len(t, got, 1)
	assert.Equal(t, ReviewPhrase{FirstNote: 100, Notes: 4, Times: 5, Doubtful: 1, Share: 0.5, Ways: got[0].Ways}, got[0])
	assert.Len(t, got[0].Ways, 3)
	assert.Equal(t, ReviewPlace{String: 2, Fret: 5, Finger: 1}, got[0].Ways[0].Path[3])

	assert.Empty(t, worthSettling(play(0.5), 100))
}

// Pitch alone often tells the hand and not the string: D2 open, or at fret 5 under
// the same hand. A phrase is not played in two ways where the places are guesses.
func TestWorthSettling_KnowsNoWayFromGuesses(t *testing.T) {
	t.Parallel()
	play := func(place float32) (notes []ReviewNote) {
		for take := range 2 {
			for i, p := range []int8{36, 38, 40, 36} {
				n := ReviewNote{At: float64(take)*5 + float64(i)*0.25, Pitch: p, String: 3, Fret: p - 33, Finger: p - 35, Position: 3, Probability: 0.97, PlaceSure: 0.97}
				switch p {
				case 38:
					n.PlaceSure = place
					if take == 1 {
						n.String, n.Fret, n.Finger = 2, 0, 0
					}
				case 40:
					n.String, n.Fret, n.Finger = 2, 2, 1
				}
				n.Off = n.At + 0.2
				notes = append(notes, n)
			}
		}
		return notes
	}
	assert.Len(t, worthSettling(play(0.97), 0), 1)
	assert.Empty(t, worthSettling(play(0.55), 0))
}
