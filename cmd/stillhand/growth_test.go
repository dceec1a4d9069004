//go:build linux

package main_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
	"stillhand/coach"
)

// Cost grows with size^exponent; linear is 1. Noise of the machine and one
// more round of a sort stay under linear.
const linear = 1.15

// growth runs work at each size and returns the exponent of the cost in size:
// the slope of the least-squares line through the logarithms. A cost is the
// least processor time of a few runs.
func growth(t testing.TB, name string, sizes []int, work func(size int) func()) (exponent float64) {
	t.Helper()
	var sx, sy, sxx, sxy float64
	for _, size := range sizes {
		run := work(size)
		least := time.Duration(math.MaxInt64)
		for range 4 {
			began := cpuTime()
			run()
			least = min(least, cpuTime()-began)
		}
		t.Logf("%-22s %8d: %12v, %8.0f ns for each", name, size, least, float64(least)/float64(size))
		x, y := math.Log(float64(size)), math.Log(float64(least))
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	n := float64(len(sizes))
	exponent = (n*sxy - sx*sy) / (n*sxx - sx*sx)
	t.Logf("%-22s grows with size to the %.2f", name, exponent)
	return exponent
}

func reviewing(t testing.TB, perString bool) func(int) func() {
	return func(notes int) func() {
		data := longLine(t, notes, perString)
		return func() {
			_, err := review(data)
			require.NoError(t, err)
		}
	}
}

// folders reviews so many files with one command.
func folders(t testing.TB) func(int) func() {
	data := longLine(t, 300, true)
	return func(files int) func() {
		folder := t.TempDir()
		for i := range files {
			require.NoError(t, os.WriteFile(filepath.Join(folder, fmt.Sprintf("%04d.mid", i)), data, 0o600))
		}
		return func() {
			_, errs, code := main.Run("review", "--csv", folder)
			require.Equal(t, 0, code, errs)
		}
	}
}

// tracking hears and counts a line on a neck made by size.
func tracking(neck func(size int) coach.Neck, told bool) func(int) func() {
	return func(size int) func() {
		n := neck(size)
		notes := overTheNeck(n, 20_000, told)
		return func() {
			tracker := coach.NewTracker(n, coach.Four, coach.Habits{})
			four, three := coach.NewEconomy(n, coach.Four), coach.NewEconomy(n, coach.Three)
			var settled []coach.Estimate
			for _, note := range notes {
				tracker.Note(note)
				settled = tracker.Settled(settled[:0])
				four.Note(note)
				three.Note(note)
			}
		}
	}
}

func ofStrings(strings int) coach.Neck {
	n := coach.Neck{Frets: 24, ScaleMM: 34 * coach.MillimetresPerInch}
	for s := range strings {
		n.Open = append(n.Open, 58-5*s)
	}
	return n
}

func ofFrets(frets int) coach.Neck {
	n := ofStrings(4)
	n.Frets = frets
	return n
}

func TestGrowth_IsLinearInNotesAndFiles(t *testing.T) {
	if slowed > 1 {
		t.Skip("figures of a program under the race detector say nothing")
	}
	notes := []int{2_000, 8_000, 32_000}
	assert.Less(t, growth(t, "notes, strings told", notes, reviewing(t, true)), linear)
	assert.Less(t, growth(t, "notes, pitch alone", notes, reviewing(t, false)), linear)
	assert.Less(t, growth(t, "files", []int{5, 20, 80}, folders(t)), linear)
}

// BenchmarkRatio_Growth is the same in full, and over necks.
func BenchmarkRatio_Growth(b *testing.B) {
	notes := []int{1_000, 10_000, 100_000, 1_000_000}
	strings, frets := []int{4, 5, 6, 7, 8}, []int{12, 18, 24, 30, 36}
	for _, of := range []struct {
		name  string
		sizes []int
		work  func(int) func()
	}{
		{"notes, strings told", notes, reviewing(b, true)},
		{"notes, pitch alone", notes, reviewing(b, false)},
		{"files", []int{1, 10, 100, 1000}, folders(b)},
		{"strings, told", strings, tracking(ofStrings, true)},
		{"strings, pitch alone", strings, tracking(ofStrings, false)},
		{"frets, strings told", frets, tracking(ofFrets, true)},
		{"frets, pitch alone", frets, tracking(ofFrets, false)},
	} {
		b.Run(of.name, func(b *testing.B) {
			e := growth(b, of.name, of.sizes, of.work)
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(e, "exponent")
			if e >= linear {
				b.Errorf("%s: exponent %.2f", of.name, e)
			}
		})
	}
}

// overTheNeck is a line that walks over the whole neck in steps and leaps, at
// eight notes a second.
func overTheNeck(n coach.Neck, length int, told bool) []coach.Note {
	notes := make([]coach.Note, length)
	str, fret := 1, n.Frets/2
	r := fixedRand()
	for i := range notes {
		str = min(max(str+r.IntN(3)-1, 1), n.Strings())
		fret = min(max(fret+r.IntN(7)-3, 0), n.Frets)
		notes[i] = coach.Note{
			At: time.Duration(i) * 125 * time.Millisecond, Gap: time.Duration(r.IntN(60)) * time.Millisecond,
			Pitch: n.Pitch(coach.Place{String: str, Fret: fret}), Velocity: 90,
		}
		if told {
			notes[i].String = str
		}
	}
	return notes
}

// cableNote is the least time between two notes on a MIDI cable under running
// status: 31,250 baud, ten bits a byte, two bytes (MIDI 1.0 Detailed
// Specification 4.2.1).
const cableNote = 640 * time.Microsecond

// BenchmarkRatio_Note is the tracker and both economies, a note, against the
// time that a cable leaves for it.
func BenchmarkRatio_Note(b *testing.B) {
	neck, err := coach.ParseNeck("bass4")
	require.NoError(b, err)
	for _, told := range []bool{true, false} {
		b.Run("told="+strconv.FormatBool(told), func(b *testing.B) {
			notes := overTheNeck(neck, 50_000, told)
			tracker := coach.NewTracker(neck, coach.Four, coach.Habits{})
			four, three := coach.NewEconomy(neck, coach.Four), coach.NewEconomy(neck, coach.Three)
			var settled []coach.Estimate
			i := 0
			play := func() {
				note := notes[i%len(notes)]
				note.At = time.Duration(i) * 125 * time.Millisecond
				tracker.Note(note)
				settled = tracker.Settled(settled[:0])
				four.Note(note)
				three.Note(note)
				i++
			}
			for range len(notes) {
				play()
			}
			least := time.Duration(math.MaxInt64)
			for range 10 {
				began := cpuTime()
				for range 10_000 {
					play()
				}
				least = min(least, (cpuTime()-began)/10_000)
			}
			allocs := testing.AllocsPerRun(20_000, play)
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(float64(least), "ns/note")
			b.ReportMetric(allocs, "allocs/note")
			b.ReportMetric(float64(least)/float64(cableNote), "x-cable")
			assert.Zero(b, allocs)
		})
	}
}
