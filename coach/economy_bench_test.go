package coach

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/graph/path"
)

// neckOf is a neck of that many strings in fourths, from G2 downwards.
func neckOf(strings, frets int) Neck {
	n := Neck{Frets: frets, ScaleMM: 34 * MillimetresPerInch}
	for s := range strings {
		n.Open = append(n.Open, 48-5*s)
	}
	return n
}

// wandering is a line that walks over the whole neck in steps and leaps, as a
// hand would be led over it.
func wandering(n Neck, length int, told bool) []Note {
	r := rand.New(rand.NewPCG(7, 8))
	notes := make([]Note, length)
	str, fret := 1+len(n.Open)/2, n.Frets/2
	for i := range notes {
		str = min(max(str+r.IntN(3)-1, 1), len(n.Open))
		fret = min(max(fret+r.IntN(7)-3, 0), n.Frets)
		notes[i] = Note{At: Rest + gripWindow*10*2, Pitch: n.Pitch(Place{str, fret})}
		if told {
			notes[i].String = str
		}
	}
	return notes
}

// settled is a line of a hand that stays in one window for eight notes and then
// goes to another.
func settled(n Neck, length int, told bool) []Note {
	r := rand.New(rand.NewPCG(9, 10))
	notes := make([]Note, length)
	position := n.Frets / 2
	for i := range notes {
		if i%8 == 0 {
			position = min(max(position+r.IntN(9)-4, 1), n.Positions(4))
		}
		str := 1 + r.IntN(len(n.Open))
		notes[i] = Note{At: Rest + gripWindow*10*2, Pitch: n.Pitch(Place{str, position + r.IntN(4)})}
		if told {
			notes[i].String = str
		}
	}
	return notes
}

func benchmarkNotes(b *testing.B, notes []Note, add func(Note)) {
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		add(notes[i])
		if i++; i == len(notes) {
			i = 0
		}
	}
}

func BenchmarkEconomy(b *testing.B) {
	for strings := 4; strings <= 8; strings++ {
		for _, frets := range []int{12, 24, 36} {
			for _, told := range []bool{true, false} {
				n := neckOf(strings, frets)
				notes := wandering(n, 4096, told)
				b.Run(fmt.Sprintf("strings=%d/frets=%d/told=%v", strings, frets, told), func(b *testing.B) {
					four, three := NewEconomy(n, Four), NewEconomy(n, Three)
					benchmarkNotes(b, notes, func(note Note) { four.Note(note); three.Note(note) })
				})
			}
		}
	}
}

func BenchmarkSettled(b *testing.B) {
	for _, told := range []bool{true, false} {
		n := neckOf(4, 24)
		notes := settled(n, 4096, told)
		b.Run(fmt.Sprintf("told=%v", told), func(b *testing.B) {
			four, three := NewEconomy(n, Four), NewEconomy(n, Three)
			benchmarkNotes(b, notes, func(note Note) { four.Note(note); three.Note(note) })
		})
	}
}

func BenchmarkCompanions(b *testing.B) {
	n := neckOf(4, 22)
	notes := wandering(n, 4096, false)
	mixed, loose, regions := NewMixed(n, 105), NewAsYouGo(n, Four), NewRegions(n)
	b.Run("mixed", func(b *testing.B) { benchmarkNotes(b, notes, mixed.Note) })
	b.Run("as you go", func(b *testing.B) { benchmarkNotes(b, notes, loose.Note) })
	b.Run("regions", func(b *testing.B) { benchmarkNotes(b, notes, func(note Note) { regions.Note(note, 1) }) })
	adviser := NewAdviser(n, Four, 0)
	b.Run("adviser", func(b *testing.B) {
		benchmarkNotes(b, notes, func(note Note) { adviser.Add(note, Estimate{PlaceProbability: 0.5}) })
	})
	economy := economyOf(n, Four, notes)
	b.Run("fewest", func(b *testing.B) {
		for b.Loop() {
			economy.Fewest()
		}
	})
}

// BenchmarkEconomyLength shows ns a note for lines of growing length: flat.
func BenchmarkEconomyLength(b *testing.B) {
	n := neckOf(4, 24)
	for _, length := range []int{1_000, 10_000, 100_000, 1_000_000} {
		notes := wandering(n, length, false)
		b.Run(fmt.Sprint(length), func(b *testing.B) {
			e := NewEconomy(n, Four)
			for b.Loop() {
				e.Reset()
				for _, note := range notes {
					e.Note(note)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*length), "ns/note")
		})
	}
}

// BenchmarkRatio_ShortestPath holds Economy against gonum's Dijkstra on the
// same layered graph of a thousand notes; building the graph is not counted.
func BenchmarkRatio_ShortestPath(b *testing.B) {
	n := neckOf(4, 24)
	notes := wandering(n, 1000, false)
	e := NewEconomy(n, Four)
	economy := leastTime(100, func() {
		e.Reset()
		for _, note := range notes {
			e.Note(note)
		}
	})
	g, from, to := layered(n, Four, notes, 1, oneShift, 1)
	want := float64(e.Fewest().Shifts*oneShift + e.Fewest().Travel)
	dijkstra := leastTime(5, func() {
		if path.DijkstraFrom(from, g).WeightTo(int64(to)) != want {
			b.Fatal("the two differ")
		}
	})
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(economy)/float64(len(notes)), "ns/note")
	b.ReportMetric(float64(dijkstra)/float64(economy), "times-as-fast")
}

// leastTime is the least time of several runs.
func leastTime(runs int, run func()) time.Duration {
	least := time.Duration(math.MaxInt64)
	for range runs {
		began := time.Now()
		run()
		least = min(least, time.Since(began))
	}
	return least
}
