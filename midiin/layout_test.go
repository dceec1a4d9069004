package midiin

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/testdata/bound"
)

// struck is a note of a test: ticks at 96 a quarter, channel from 0.
type struck struct{ from, to, ch, pitch int }

// inTurn plays pairs of channel and pitch one after the other, an eighth each, round
// and round.
func inTurn(notes int, riff ...[2]int) (ns []struck) {
	for i := range notes {
		n := riff[i%len(riff)]
		ns = append(ns, struck{48 * i, 48*i + 40, n[0], n[1]})
	}
	return ns
}

// atOnce is inTurn with a second note to each of one channel.
func atOnce(ns []struck, ch int, pitches ...int) []struck {
	for i, n := range ns {
		ns = append(ns, struck{n.from, n.to, ch, pitches[i%len(pitches)]})
	}
	return ns
}

// later is after twenty notes in turn.
func later(ns []struck) []struck {
	for i := range ns {
		ns[i].from, ns[i].to = ns[i].from+20*48, ns[i].to+20*48
	}
	return ns
}

// strike makes a track of notes.
func strike(ns []struck) []byte {
	type message struct{ at, status, pitch, velocity int }
	var ms []message
	for _, n := range ns {
		ms = append(ms, message{n.from, 0x90 | n.ch, n.pitch, 80}, message{n.to, 0x80 | n.ch, n.pitch, 0})
	}
	slices.SortStableFunc(ms, func(a, b message) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.status, b.status)) })
	var b []byte
	at := 0
	for _, m := range ms {
		b = append(b, byte((m.at-at)>>7|0x80), byte((m.at-at)&0x7F), byte(m.status), byte(m.pitch), byte(m.velocity))
		at = m.at
	}
	return append(b, 0, 0xFF, 0x2F, 0)
}

// apart puts each channel into a track of its own.
func apart(ns []struck) (tracks [][]byte) {
	for ch := range 16 {
		if own := slices.DeleteFunc(slices.Clone(ns), func(n struck) bool { return n.ch != ch }); len(own) > 0 {
			tracks = append(tracks, strike(own))
		}
	}
	return tracks
}

// Where a hand lies says nothing of which string is which: what one hand plays on
// the strings of G2 D2 A1 E1 (common practice) is read whole.
func TestFile_ReadsTheStringsOfOneHand(t *testing.T) {
	t.Parallel()
	for name, ns := range map[string][]struck{
		"high up on two strings":                 inTurn(60, [2]int{1, 50}, [2]int{1, 52}, [2]int{0, 54}, [2]int{0, 55}, [2]int{0, 57}, [2]int{0, 59}),
		"low on one, high on the one below":      inTurn(60, [2]int{2, 44}, [2]int{2, 45}, [2]int{2, 47}, [2]int{1, 43}, [2]int{1, 45}, [2]int{1, 46}),
		"higher on the lower string":             inTurn(60, [2]int{2, 50}, [2]int{2, 52}, [2]int{1, 45}, [2]int{1, 43}, [2]int{0, 48}, [2]int{0, 50}),
		"octaves at once":                        atOnce(inTurn(60, [2]int{3, 33}, [2]int{3, 35}), 1, 45, 47),
		"the strings in no order, two at once":   atOnce(inTurn(60, [2]int{2, 31}, [2]int{0, 36}, [2]int{3, 41}), 1, 45, 47, 48),
		"every other of five in no order":        atOnce(inTurn(60, [2]int{0, 38}, [2]int{2, 28}, [2]int{2, 30}), 1, 48, 50, 49),
		"grips, and runs high up the low string": append(atOnce(inTurn(20, [2]int{3, 30}, [2]int{3, 31}), 2, 35), later(inTurn(40, [2]int{3, 47}, [2]int{3, 49}))...),
		"the same, strings from the lowest":      append(atOnce(inTurn(20, [2]int{0, 30}, [2]int{0, 31}), 1, 35), later(inTurn(40, [2]int{0, 47}, [2]int{0, 49}))...),
		"high up on three strings":               inTurn(60, [2]int{2, 45}, [2]int{2, 47}, [2]int{1, 55}, [2]int{1, 57}, [2]int{0, 60}, [2]int{0, 62}),
		"high up on C3, the highest of six":      inTurn(60, [2]int{0, 67}, [2]int{0, 69}, [2]int{1, 64}, [2]int{1, 62}, [2]int{2, 57}, [2]int{2, 59}, [2]int{3, 53}, [2]int{3, 52}, [2]int{4, 47}, [2]int{4, 49}, [2]int{5, 43}, [2]int{5, 42}, [2]int{2, 56}, [2]int{3, 51}, [2]int{1, 61}, [2]int{2, 57}, [2]int{3, 52}, [2]int{4, 47}, [2]int{3, 53}, [2]int{2, 58}, [2]int{1, 62}),
		"an open string below a hand at 9":       append(inTurn(60, [2]int{0, 52}, [2]int{0, 54}, [2]int{1, 48}), struck{0, 48 * 60, 3, 28}),
	} {
		f, err := ReadFile("hand.mid", smfBytes(0, 96, strike(ns)), FileOptions{})
		require.NoError(t, err)
		assert.Contains(t, f.Track(), ": one channel a string", name)
		assert.Equal(t, len(ns), f.Notes(), name)
		assert.Empty(t, f.Warnings(), name)
		if tracks := apart(ns); len(tracks) > 2 {
			f, err = ReadFile("hand.mid", smfBytes(1, 96, tracks...), FileOptions{})
			require.NoError(t, err)
			assert.Contains(t, f.Track(), ": one channel a string", name)
			assert.Equal(t, len(ns), f.Notes(), name)
		}
	}
}

func TestFile_TakesNoTwoPartsForStrings(t *testing.T) {
	t.Parallel()
	short := atOnce(inTurn(60, [2]int{0, 28}, [2]int{0, 31}), 1, 45, 47)
	for i := range short {
		short[i].to = short[i].from + 10
	}
	for name, ns := range map[string][]struck{
		"short notes, struck at once out of reach": short,
		"in turn, two octaves and more apart":      inTurn(60, [2]int{0, 28}, [2]int{0, 31}, [2]int{1, 62}, [2]int{1, 64}),
	} {
		f, err := ReadFile("two.mid", smfBytes(0, 96, strike(ns)), FileOptions{})
		require.NoError(t, err)
		assert.Contains(t, f.Track(), "track 1 channel 1: one note at a time", name)
		assert.Len(t, f.Warnings(), 1, name)
	}
}

// randomPart walks by whole tones and leaps between low and high, in notes of unit
// ticks or twice that.
func randomPart(r *rand.Rand, ch, low, high, unit int) (ns []struck) {
	pitch := low + r.IntN(high-low+1)
	for at := 0; at < 96*64; {
		long := unit * (1 + r.IntN(2))
		ns = append(ns, struck{at, at + long*7/8, ch, pitch})
		at += long
		if pitch += []int{-7, -4, -2, 2, 3, 5}[r.IntN(6)]; pitch < low || pitch > high {
			pitch = low + r.IntN(high-low+1)
		}
	}
	return ns
}

// The parts of a band, none with a program or a name, are no strings: they sound at
// once where no one hand reaches both.
func TestFile_TakesNoBandForStrings(t *testing.T) {
	t.Parallel()
	type voice struct{ low, high, unit int }
	bass := voice{28, 43, 48}
	for name, others := range map[string][]voice{
		"two basses":               {{28, 43, 48}},
		"a second bass a bit up":   {{33, 48, 48}},
		"a melody an octave above": {{41, 56, 48}},
		"a cello":                  {{36, 57, 96}},
		"a string quartet":         {{36, 57, 96}, {48, 67, 48}, {55, 67, 48}},
		"an organ's two hands":     {{48, 60, 96}, {55, 67, 48}},
		"a riff and a lead":        {{40, 52, 24}, {52, 67, 48}},
	} {
		for seed := range uint64(20) {
			r := rand.New(rand.NewPCG(seed, 5))
			ns := randomPart(r, 0, bass.low, bass.high, bass.unit)
			for i, v := range others {
				ns = append(ns, randomPart(r, i+1, v.low, v.high, v.unit)...)
			}
			for _, data := range [][]byte{smfBytes(0, 96, strike(ns)), smfBytes(1, 96, apart(ns)...)} {
				f, err := ReadFile("band.mid", data, FileOptions{})
				require.NoError(t, err)
				assert.NotContains(t, f.Track(), "one channel a string", "%s, seed %d", name, seed)
				assert.Less(t, f.Notes(), len(ns))
			}
		}
	}
}

// One part far above the rest, with a note at the very bottom, is read like any
// other file.
func TestFile_ReadsPartsAtTheEndsOfTheKeyboard(t *testing.T) {
	t.Parallel()
	ns := inTurn(1200, [2]int{0, 28}, [2]int{1, 33})
	for i, n := range inTurn(41, [2]int{2, 127}) {
		if i == 40 {
			n.pitch = 0
		}
		n.from, n.to = n.from+1200*48, n.to+1200*48
		ns = append(ns, n)
	}
	f, err := ReadFile("ends.mid", smfBytes(0, 96, strike(ns)), FileOptions{})
	require.NoError(t, err)
	assert.Positive(t, f.Notes())
}

// The notes of a track are read once to tell whether its channels are strings or one
// voice, not once for each question. Reading costs memory that does not grow with
// the notes, so it is counted; not parallel.
func TestFile_ReadsNotesOnceToTellStrings(t *testing.T) {
	allocated := func(data []byte, track string) float64 {
		return float64(bound.Allocated(func() {
			_, err := ReadFile("turns.mid", data, FileOptions{Track: track})
			require.NoError(t, err)
		}))
	}
	strings := smfBytes(0, 96, strike(inTurn(60, [2]int{1, 28}, [2]int{2, 33}, [2]int{3, 38})))
	voice := smfBytes(0, 96, strike(inTurn(60, [2]int{1, 24}, [2]int{2, 66}, [2]int{3, 45}, [2]int{1, 66}, [2]int{2, 45}, [2]int{3, 24}, [2]int{1, 45}, [2]int{2, 24}, [2]int{3, 66})))
	f, err := ReadFile("turns.mid", voice, FileOptions{})
	require.NoError(t, err)
	require.Equal(t, "track 1 channels 2, 3, 4: the only part with notes", f.Track())
	few := float64(unsafe.Sizeof(layout{})) // less than a reading takes
	assert.InDelta(t, allocated(strings, ""), allocated(voice, ""), few)

	named := append(unhex(t, "00FF030142"), strike(inTurn(60, [2]int{1, 28}, [2]int{2, 33}, [2]int{3, 38}))...)
	data := smfBytes(0, 96, named)
	assert.InDelta(t, allocated(data, "1"), allocated(data, "B"), few, "asked for by its name")
}
