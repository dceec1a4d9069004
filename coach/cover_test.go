package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// counted is what every computation says of a line of notes.
func counted(n Neck, notes []Note) map[string]any {
	e, a, x, r := NewEconomy(n, Four), NewAsYouGo(n, Four), NewMixed(n, 0), NewRegions(n)
	for _, note := range notes {
		e.Note(note)
		a.Note(note)
		x.Note(note)
		r.Note(note, 1)
	}
	cost, _ := BestPath(n, Four, notes, 0)
	return map[string]any{"fewest": e.Fewest(), "as you go": a.Shifts(), "mixed": x.Result(), "regions": r.All(), "path": cost}
}

// What no place of the neck sounds asks nothing, though it be no note of MIDI, or more
// of them be struck at once than any neck has strings: keys and damaged files do so.
func TestCover_NotesOffTheNeckAskNothing(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 22)
	for name, pitches := range map[string][]int{
		"beyond MIDI":          {-1, 128, 1 << 20},
		"more than strings":    {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20},
		"more, high and again": {127, 126, 125, 124, 123, 122, 121, 120, 119, 118, 117, 116, 115, 127, 126, 125},
	} {
		played := places(n, Place{4, 5}, Place{3, 8}, Place{4, 10})
		want := counted(n, played)
		var notes []Note
		for _, note := range played {
			notes = append(notes, note)
			for i, pitch := range pitches {
				notes = append(notes, Note{At: time.Duration(len(notes)) * time.Second, Pitch: pitch, Sounding: i > 0})
				if i > 0 { // struck with the first of them
					notes[len(notes)-1].At = notes[len(notes)-2].At
				}
			}
		}
		assert.Equal(t, want, counted(n, notes), name)
	}
}
