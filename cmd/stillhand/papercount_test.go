package main_test

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	main "stillhand/cmd/stillhand"
	"stillhand/session"
	"stillhand/testdata"
)

// The paper count was made by hand; here it is held against all windows of all
// notes tried in every order, with nothing of package coach. The neck's figures
// are those of a 34-inch scale.
func TestPaperCount_HoldsAgainstEveryPath(t *testing.T) {
	t.Parallel()
	text, err := testdata.Files.ReadFile("twobar.count.txt")
	require.NoError(t, err)
	lines := regexp.MustCompile(`(?m)^(four|three) +(\d+) +(\d+) +(\d+) +(\d+) +([\d.]+)$`).FindAllStringSubmatch(string(text), -1)
	require.Len(t, lines, 2)

	var frets []int
	for _, r := range counted(readTruth(t, "twobar.truth.csv")) {
		if r.fret > 0 {
			frets = append(frets, r.fret)
		}
	}
	require.Len(t, frets, 10)
	windows := regexp.MustCompile(`(?m)^ *\d+ +[12]\.\S+ +\d +(\d+) +\S+ +(\S+) +(\S+)$`).FindAllStringSubmatch(string(text), -1)
	require.Len(t, windows, 11, "every window is written out")

	width := map[string]int{"four": 4, "three": 3}
	for _, l := range lines {
		w := width[l[1]]
		best := everyPath(frets, w)
		goShifts := asYouGo(frets, w)
		assert.Equal(t, l[2:6], []string{strconv.Itoa(best.shifts), strconv.Itoa(best.travel), strconv.Itoa(best.least), strconv.Itoa(goShifts)}, l[1])
		assert.Equal(t, l[6], strconv.FormatFloat(best.widest, 'f', 1, 64), l[1])
	}
	for _, l := range windows {
		fret, err := strconv.Atoi(l[1])
		require.NoError(t, err)
		for i, name := range []string{"four", "three"} {
			want := "any"
			if fret > 0 {
				want = strconv.Itoa(max(1, fret-width[name]+1)) + ".." + strconv.Itoa(fret)
			}
			assert.Equal(t, want, l[2+i], "%s fingers, fret %d", name, fret)
		}
	}
}

// review --json agrees with the count made on paper, to the last figure.
func TestPaperCount_ReviewAgrees(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	text, err := testdata.Files.ReadFile("twobar.count.txt")
	require.NoError(t, err)
	out, errs, code := main.Run("review", "--json", "../../testdata/twobar.mid")
	require.Zero(t, code, errs)
	var r session.Review
	require.NoError(t, json.Unmarshal([]byte(out), &r))
	lines := regexp.MustCompile(`(?m)^(four|three) +(\d+) +(\d+) +(\d+) +(\d+) +([\d.]+)$`).FindAllStringSubmatch(string(text), -1)
	require.Len(t, lines, 2)
	for _, l := range lines {
		s := r.Systems[l[1]]
		got := []string{strconv.Itoa(s.Fewest), strconv.Itoa(s.TravelFrets), strconv.Itoa(s.LeastTravelFrets), strconv.Itoa(s.AsYouGo), strconv.FormatFloat(s.WidestMM, 'f', 1, 64)}
		assert.Equal(t, l[2:], got, l[1])
	}
	assert.Equal(t, 11, r.Input.Notes)
	assert.Equal(t, "known", r.Input.Strings)
}

type pathCount struct {
	shifts, travel int     // fewest shifts, and the least travel among those
	least          int     // the least travel of all paths
	widest         float64 // mm: the widest window of the narrowest path with those shifts and that travel
}

func everyPath(frets []int, width int) pathCount {
	best := pathCount{math.MaxInt, math.MaxInt, math.MaxInt, math.Inf(1)}
	var walk func(i, position, shifts, travel, lowest int)
	walk = func(i, position, shifts, travel, lowest int) {
		if i == len(frets) {
			x := func(fret int) float64 { return 34 * 25.4 * (1 - math.Exp2(-float64(fret)/12)) }
			widest := x(lowest+width-1) - x(lowest)
			best.least = min(best.least, travel)
			switch {
			case shifts < best.shifts || shifts == best.shifts && travel < best.travel:
				best.shifts, best.travel, best.widest = shifts, travel, widest
			case shifts == best.shifts && travel == best.travel:
				best.widest = min(best.widest, widest)
			}
			return
		}
		for p := max(1, frets[i]-width+1); p <= frets[i]; p++ {
			s, d := shifts, 0
			if position != 0 && p != position {
				s, d = s+1, max(p-position, position-p)
			}
			walk(i+1, p, s, travel+d, min(lowest, p))
		}
	}
	walk(0, 0, 0, 0, math.MaxInt)
	return best
}

func asYouGo(frets []int, width int) (shifts int) {
	position := max(1, frets[0]-1)
	for _, f := range frets {
		switch {
		case f < position:
			position = f
			shifts++
		case f >= position+width:
			position = f - width + 1
			shifts++
		}
	}
	return shifts
}

// Each broken file has the fault that the README says, read off its bytes by
// the words of RP-001 and RP-029.
func TestBroken_FilesHaveTheFaultsTheyShould(t *testing.T) {
	t.Parallel()
	read := func(name string) []byte {
		data, err := testdata.Files.ReadFile("broken/" + name)
		require.NoError(t, err)
		return data
	}
	header := func(data []byte) []uint16 { // format, tracks, division
		require.Equal(t, "MThd\x00\x00\x00\x06", string(data[:8]))
		return []uint16{binary.BigEndian.Uint16(data[8:]), binary.BigEndian.Uint16(data[10:]), binary.BigEndian.Uint16(data[12:])}
	}
	assert.Empty(t, read("empty.mid"))
	assert.NotContains(t, string(read("text.mid")), "MThd")
	assert.Equal(t, []uint16{1, 0, 96}, header(read("notracks.mid")))
	assert.Len(t, read("notracks.mid"), 14)

	truncated := read("truncated.mid")
	assert.Greater(t, int(binary.BigEndian.Uint32(truncated[18:])), len(truncated)-22, "the track says more bytes than follow")
	assert.Equal(t, []byte{0, 0x90, 33}, truncated[len(truncated)-3:], "cut inside a note-on")

	end := "\xff\x2f\x00"
	for name, has := range map[string]bool{"missing-end.mid": false, "nonotes.mid": true, "drums-only.mid": true, "smpte.mid": true, "format2.mid": true} {
		data := string(read(name))
		assert.Equal(t, has, data[len(data)-3:] == end, name)
	}
	assert.NotRegexp(t, `[\x90-\x9f]`, string(read("nonotes.mid"))[22:])
	assert.Equal(t, []uint16{2, 2, 96}, header(read("format2.mid")))

	division := header(read("smpte.mid"))[2]
	assert.Equal(t, int8(-25), int8(division>>8), "frames a second, negative")
	assert.Equal(t, uint16(40), division&0xff, "ticks a frame")

	riff := read("riff.rmi")
	assert.Equal(t, "RIFF", string(riff[:4]))
	assert.Equal(t, "RMIDdata", string(riff[8:16]))
	assert.Equal(t, len(riff)-8, int(binary.LittleEndian.Uint32(riff[4:])))
	assert.Equal(t, []uint16{0, 1, 96}, header(riff[20:]))
	assert.Equal(t, len(riff)-20, int(binary.LittleEndian.Uint32(riff[16:])))
}
