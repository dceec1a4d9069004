package coach

import (
	"testing"
	"time"
)

// line is a plain tune for timing: up and down through C major in and out of
// position, with and without its strings.
func benchLine(n Neck, known bool) []Note {
	var notes []Note
	places := []Place{{3, 3}, {3, 5}, {2, 2}, {2, 3}, {2, 5}, {1, 2}, {1, 4}, {1, 5}, {1, 7}, {1, 9}, {2, 10}, {2, 12}, {3, 12}, {3, 10}, {4, 12}, {4, 8}, {4, 7}, {4, 5}, {4, 3}, {4, 0}, {3, 0}, {3, 2}}
	for i := range 4096 {
		p := places[i%len(places)]
		note := Note{At: time.Duration(i) * 150 * time.Millisecond, Gap: time.Duration(i%7) * 9 * time.Millisecond, Pitch: n.Pitch(p), Velocity: 90}
		if known {
			note.String = p.String
		}
		notes = append(notes, note)
	}
	return notes
}

func benchmarkTracker(b *testing.B, known bool) {
	n, err := ParseNeck("bass4")
	if err != nil {
		b.Fatal(err)
	}
	line := benchLine(n, known)
	tr := NewTracker(n, Four, Habits{})
	var settled []Estimate
	var offset time.Duration
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		note := line[i%len(line)]
		if i > 0 && i%len(line) == 0 {
			offset += time.Duration(len(line)) * 150 * time.Millisecond
		}
		note.At += offset
		tr.Note(note)
		settled = tr.Settled(settled[:0])
	}
}

func BenchmarkTracker_StringKnown(b *testing.B) { benchmarkTracker(b, true) }
func BenchmarkTracker_PitchOnly(b *testing.B)   { benchmarkTracker(b, false) }
