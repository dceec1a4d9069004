package report

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/midiin"
)

// tune is a piece of bars with a marker on every bar line.
type tune struct {
	division uint16
	tempi    []float64  // one after another, each from a bar line on
	meters   [][2]uint8 // likewise
	bars     int        // under each of them
	cut      uint32     // ticks that the last bar of each lacks: the next signature ends it
	late     uint32     // ticks past its bar line at which each tempo begins
}

// metred is one bar of a tune: when it begins, and the beats that it has.
type metred struct {
	at    time.Duration
	beats float64
}

// read is the tune as a file, with its bars as the file's own markers tell them.
func (u tune) read(t *testing.T) (*midiin.File, []metred) {
	t.Helper()
	file := smf.New()
	file.TimeFormat = smf.MetricTicks(u.division)
	var track smf.Track
	var beats []float64
	rest := uint32(0) // since the last event
	for i := range max(len(u.tempi), len(u.meters)) {
		meter := u.meters[i%len(u.meters)]
		track.Add(rest, smf.MetaMeter(meter[0], meter[1]))
		rest = 0
		bar := 4 * uint32(u.division) * uint32(meter[0]) / uint32(meter[1])
		for k := range u.bars {
			track.Add(rest, smf.MetaMarker("bar"))
			rest = bar
			if k == 0 {
				track.Add(u.late, smf.MetaTempo(u.tempi[i%len(u.tempi)]))
				rest -= u.late
			}
			full := float64(meter[0])
			if k == u.bars-1 {
				rest -= u.cut
				full -= float64(u.cut) * float64(meter[0]) / float64(bar)
			}
			beats = append(beats, full)
		}
	}
	track.Add(0, midi.NoteOn(0, 40, 90))
	track.Add(rest, midi.NoteOff(0, 40))
	track.Close(0)
	require.NoError(t, file.Add(track))
	data, err := file.Bytes()
	require.NoError(t, err)
	f, err := midiin.ReadFile("tune.mid", data, midiin.FileOptions{})
	require.NoError(t, err)
	var bars []metred
	require.NoError(t, f.Run(context.Background(), func(e midiin.Event) {
		if e.Kind == midiin.Marker {
			bars = append(bars, metred{e.At, beats[len(bars)]})
		}
	}))
	require.Len(t, bars, len(beats))
	return f, bars
}

// tunes are bars of many lengths at many tempi, which change on bar lines and
// just past them; in the last, signatures end bars early.
func tunes() map[string]tune {
	out := map[string]tune{}
	tempi := []float64{30, 61.7, 100, 104, 112, 118, 133.3, 200, 280}
	meters := [][2]uint8{{4, 4}, {3, 4}, {2, 2}, {5, 4}, {6, 8}, {7, 8}, {12, 8}, {1, 4}, {5, 16}}
	for _, division := range []uint16{24, 480, 5000} {
		for _, meter := range meters {
			out[fmt.Sprintf("%d/%d at %d ticks", meter[0], meter[1], division)] = tune{division: division, tempi: tempi, meters: [][2]uint8{meter}, bars: 5}
		}
		out[fmt.Sprintf("all meters at %d ticks", division)] = tune{division: division, tempi: tempi, meters: meters, bars: 3, late: uint32(division) / 24}
		out[fmt.Sprintf("bars cut short at %d ticks", division)] = tune{division: division, tempi: tempi, meters: meters[:7], bars: 3, cut: uint32(division) / 2}
	}
	return out
}

// A note on a bar line, or a rounding before or behind it, is on the first beat
// of the bar that begins there.
func TestBarOf_KnowsEveryBarLine(t *testing.T) {
	t.Parallel()
	for name, u := range tunes() {
		f, bars := u.read(t)
		for i, bar := range bars {
			for _, s := range []float64{bar.at.Seconds(), math.Round(bar.at.Seconds()*1e4) / 1e4, bar.at.Seconds() - 5e-5, bar.at.Seconds() + 5e-5} {
				number, beat, ok := barOf(f, max(0, s))
				require.True(t, ok, name)
				require.Equal(t, i+1, number, "%s: %g s", name, s)
				require.Equal(t, 1.0, beat, "%s: %g s, bar %d", name, s, number)
			}
			if i > 0 {
				assert.Regexp(t, fmt.Sprintf(`^bar %d \(`, i+1), span(f, bar.at.Seconds()-5e-5, bar.at.Seconds()+5e-5), name)
			}
		}
	}
}

// No bar has a beat that its meter does not count, wherever a note falls.
func TestBarOf_NamesOnlyBeatsThatTheBarHas(t *testing.T) {
	t.Parallel()
	for name, u := range tunes() {
		f, bars := u.read(t)
		last, lastBeat := 0, 0.0
		for at := time.Duration(0); at < bars[len(bars)-1].at; at += 29*time.Millisecond + 300*time.Microsecond {
			number, beat, ok := barOf(f, at.Seconds())
			require.True(t, ok, name)
			require.Less(t, beat, bars[number-1].beats+1, "%s: bar %d at %v", name, number, at)
			require.GreaterOrEqual(t, beat, 1.0, "%s: bar %d at %v", name, number, at)
			require.True(t, number > last || number == last && beat >= lastBeat, "%s: time runs back at %v", name, at)
			last, lastBeat = number, beat
			require.NotContains(t, point(f, at.Seconds()), "beat "+trim(bars[number-1].beats+1, 2)+" ")
		}
	}
	assert.Equal(t, "bar 1 beat 4.75 (0:02.4)", point(fading{}, 2.35), "where what follows has no bars, no beat is made up")
}

// fading is music whose bars end with the first.
type fading struct{}

func (fading) Bar(at time.Duration) (int, float64, bool) {
	return 1, 1 + at.Seconds()/0.6, at < 2400*time.Millisecond
}

func TestText_PutsAMarkerOnItsBarLine(t *testing.T) {
	t.Parallel()
	f, bars := tune{division: 480, tempi: []float64{112}, meters: [][2]uint8{{4, 4}}, bars: 9}.read(t)
	assert.Equal(t, "bar 9 beat 1 (0:17.1)", strings.TrimSpace(point(f, bars[8].at.Seconds())))
}
