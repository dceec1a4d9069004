//go:build linux

package main_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/report"
)

// What is promised of speed, each measured beside what it is held against, in
// one run:
//
//	go test -run '^$' -bench Ratio -benchtime 1x ./coach ./session/dashboard ./cmd/stillhand

// longLine is a file of n notes: a line that wanders over the neck, the same
// one always, on one channel or on one for each string.
func longLine(t testing.TB, n int, perString bool) []byte {
	t.Helper()
	open := [4]int{43, 38, 33, 28}
	var track smf.Track
	track.Add(0, smf.MetaTrackSequenceName("Bass"))
	str, fret := 3, 5
	r := fixedRand()
	for i := range n {
		str = min(3, max(0, str+r.IntN(3)-1))
		fret = min(17, max(0, fret+r.IntN(5)-2))
		if i%97 == 0 {
			fret = r.IntN(18)
		}
		channel := uint8(0)
		if perString {
			channel = uint8(str)
		}
		key := uint8(open[str] + fret)
		track = append(track,
			smf.Event{Delta: uint32(r.IntN(7)) * 4, Message: smf.Message(midi.NoteOn(channel, key, 90))},
			smf.Event{Delta: 100, Message: smf.Message(midi.NoteOff(channel, key))})
	}
	track.Close(0)
	s := smf.New()
	require.NoError(t, s.Add(track))
	data, err := s.Bytes()
	require.NoError(t, err)
	return data
}

// fixedRand gives the same numbers always.
func fixedRand() *rand.Rand { return rand.New(rand.NewPCG(8, 1)) }

// measured are programs of their own, so that each has its peak of memory to
// itself: they work on the file that is their argument and print what it took.
var measured = map[string]func(data []byte) error{
	"measure-parse": func(data []byte) error {
		_, err := smf.ReadFrom(bytes.NewReader(data))
		return err
	},
	"measure-review": func(data []byte) error {
		_, err := review(data)
		return err
	},
	"measure-review-json": func(data []byte) error {
		r, err := review(data)
		if err == nil {
			err = report.JSON(io.Discard, r)
		}
		return err
	},
}

func init() {
	for name, do := range measured {
		programs[name] = measure(do)
	}
}

// review computes everything that review prints.
func review(data []byte) (*session.Review, error) {
	setup, err := session.Resolve().Setup()
	if err != nil {
		return nil, err
	}
	f, err := midiin.ReadFile("long.mid", data, midiin.FileOptions{})
	if err != nil {
		return nil, err
	}
	return session.NewRecording(f).Review(context.Background(), setup)
}

// cost is what a program took.
type cost struct {
	wall, cpu time.Duration
	memory    int // bytes of the process at its peak
}

// measure is the main function of a measured program.
func measure(do func([]byte) error) func() {
	return func() {
		data, err := os.ReadFile(os.Args[1])
		began, before := time.Now(), cpuTime()
		if err == nil {
			err = do(data)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		fmt.Println(int64(time.Since(began)), int64(cpuTime()-before), memoryPeak("self"))
	}
}

// cpuTime is the time that this process has had on all cores.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

var peakLine = regexp.MustCompile(`VmHWM:\s+(\d+) kB`)

// memoryPeak is the most memory in bytes that a process has had.
func memoryPeak(process string) int {
	text, err := os.ReadFile("/proc/" + process + "/status")
	if err != nil {
		panic(err)
	}
	kb, err := strconv.Atoi(string(peakLine.FindSubmatch(text)[1]))
	if err != nil {
		panic(err)
	}
	return kb << 10
}

// costOf runs a measured program on the file at path.
func costOf(t testing.TB, program, path string) (c cost) {
	t.Helper()
	out, err := exec.Command(program, path).Output()
	require.NoError(t, err)
	_, err = fmt.Sscan(string(out), &c.wall, &c.cpu, &c.memory)
	require.NoError(t, err, string(out))
	return c
}

// BenchmarkRatio_Review holds the review of a million notes, everything
// computed, against gomidi's reader merely parsing the same bytes: the least
// of three runs each, by turns.
func BenchmarkRatio_Review(b *testing.B) {
	const notes = 1_000_000
	for _, input := range []struct {
		name      string
		perString bool
	}{{"strings", true}, {"pitch", false}} {
		path := filepath.Join(b.TempDir(), "long.mid")
		require.NoError(b, os.WriteFile(path, longLine(b, notes, input.perString), 0o600))
		least := map[string]cost{}
		for range 3 {
			for program := range measured {
				c := costOf(b, program, path)
				if l, ok := least[program]; ok {
					c = cost{min(c.wall, l.wall), min(c.cpu, l.cpu), min(c.memory, l.memory)}
				}
				least[program] = c
			}
		}
		parse := least["measure-parse"]
		for _, program := range slices.Sorted(maps.Keys(measured)) {
			c := least[program]
			b.Run(input.name+"/"+strings.TrimPrefix(program, "measure-"), func(b *testing.B) {
				b.ReportMetric(0, "ns/op")
				b.ReportMetric(c.wall.Seconds(), "s")
				b.ReportMetric(float64(c.memory)/(1<<20), "MB-peak")
				b.ReportMetric(float64(c.wall)/float64(parse.wall), "x-time")
				b.ReportMetric(float64(c.cpu)/float64(parse.cpu), "x-cpu")
				b.ReportMetric(float64(c.memory)/float64(parse.memory), "x-memory")
			})
		}
	}
}

// Musicians do not rate a delay of 10 ms otherwise than none, 20 ms they do
// (Jack, Mehrabi, Stockman, McPherson, Music Perception 36(1)).
const noticed = 10 * time.Millisecond

// BenchmarkRatio_EventToScreen is from the write of a note-on to the screen
// that shows it, through a pseudo-terminal, at eight notes a second.
func BenchmarkRatio_EventToScreen(b *testing.B) {
	x, c, s := sitDown(b)
	notes, _ := c.stream(s, 16, 5*time.Second)
	x.shows(strconv.Itoa(notes) + " notes")
	p50, p99 := quantile(s.took, 0.5), quantile(s.took, 0.99)
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(p50.Seconds()*1e3, "ms-p50")
	b.ReportMetric(p99.Seconds()*1e3, "ms-p99")
	b.ReportMetric(float64(p99)/float64(noticed), "x-noticed")
	x.keys("q")
	require.Equal(b, 0, x.exit())
}

// BenchmarkRatio_StartUp is from the start of the program to its first screen,
// and to the end of its shortest answer, against what is promised.
func BenchmarkRatio_StartUp(b *testing.B) {
	const promised = 150 * time.Millisecond
	home := b.TempDir()
	times := map[string]func() time.Duration{
		"screen": func() time.Duration {
			x := open(b, launch{args: []string{"live", "%FIFO"}, cols: 120, rows: 40, home: home})
			took := x.shows("? keys").Sub(x.began)
			x.keys("q")
			require.Equal(b, 0, x.exit())
			return took
		},
		"answer": func() time.Duration {
			began := time.Now()
			require.NoError(b, exec.Command("stillhand", "neck").Run())
			return time.Since(began)
		},
	}
	for name, start := range times {
		var took []time.Duration
		for range 20 {
			took = append(took, start())
		}
		b.Run(name, func(b *testing.B) {
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(quantile(took, 0.5).Seconds()*1e3, "ms-p50")
			b.ReportMetric(slices.Max(took).Seconds()*1e3, "ms-max")
			b.ReportMetric(float64(quantile(took, 0.5))/float64(promised), "x-promised")
		})
	}
}
