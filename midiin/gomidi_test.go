package midiin

import (
	"bytes"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"
)

// randomSMF writes a well-formed file with gomidi: several tracks with notes,
// controllers, bends, texts and tempo changes.
func randomSMF(t testing.TB, rng *rand.Rand) []byte {
	t.Helper()
	s := smf.NewSMF1()
	tracks := 1 + rng.IntN(5)
	if rng.IntN(3) == 0 {
		s, tracks = smf.New(), 1
	}
	s.TimeFormat = smf.MetricTicks(24 << rng.IntN(6))
	for range tracks {
		var tr smf.Track
		for range rng.IntN(200) {
			delta := uint32(rng.IntN(40)) * uint32(rng.IntN(40))
			ch, key := uint8(rng.IntN(16)), uint8(rng.IntN(128))
			switch rng.IntN(12) {
			case 0:
				tr.Add(delta, smf.MetaTempo(30+270*rng.Float64()))
			case 1:
				tr.Add(delta, smf.MetaText("text"))
			case 2:
				tr.Add(delta, midi.Pitchbend(ch, int16(rng.IntN(16000)-8000)))
			case 3:
				tr.Add(delta, midi.ControlChange(ch, uint8(rng.IntN(128)), uint8(rng.IntN(128))))
			case 4:
				tr.Add(delta, midi.ProgramChange(ch, uint8(rng.IntN(128))))
			case 5:
				tr.Add(delta, midi.SysEx([]byte{0x7E, 1, 2, 3}))
			case 6:
				tr.Add(delta, midi.AfterTouch(ch, key))
			case 7, 8:
				tr.Add(delta, midi.NoteOff(ch, key))
			default:
				tr.Add(delta, midi.NoteOn(ch, key, uint8(rng.IntN(128))))
			}
		}
		tr.Close(uint32(rng.IntN(100)))
		require.NoError(t, s.Add(tr))
	}
	data, err := s.Bytes()
	require.NoError(t, err)
	return data
}

// ticked is a channel message of a track at a tick.
type ticked struct {
	track int
	tick  int64
	msg   [3]byte
}

// byGomidi reads the channel messages of a file with gomidi, and its tempi.
func byGomidi(t testing.TB, data []byte) (ms []ticked, tempi []tempoChange, s *smf.SMF) {
	t.Helper()
	s, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	for i, tr := range s.Tracks {
		var tick int64
		for _, e := range tr {
			tick += int64(e.Delta)
			m := e.Message
			var bpm float64
			switch {
			case m.IsPlayable() && m[0] < 0xF0:
				x := ticked{track: i, tick: tick}
				copy(x.msg[:], m)
				ms = append(ms, x)
			case m.GetMetaTempo(&bpm):
				b := []byte(m)
				tempi = append(tempi, tempoChange{tick, uint32(b[3])<<16 | uint32(b[4])<<8 | uint32(b[5]), 0})
			}
		}
	}
	slices.SortStableFunc(ms, func(a, b ticked) int { return int(a.tick - b.tick) })
	slices.SortStableFunc(tempi, func(a, b tempoChange) int { return int(a.tick - b.tick) })
	return ms, tempi, s
}

// bendsFirst moves a bend that a track has within five milliseconds behind a
// note-on of its channel, and before the next note of it, to the note-on.
func bendsFirst(ms []ticked, at func(tick int64) time.Duration) {
	for i := 0; i < len(ms); i++ {
		on := ms[i]
		if on.msg[0]>>4 != 0x9 || on.msg[2] == 0 {
			continue
		}
		for j := i + 1; j < len(ms); j++ {
			x := ms[j]
			if x.track != on.track || x.msg[0]&0x0F != on.msg[0]&0x0F {
				continue
			}
			if x.msg[0]>>4 == 0x8 || x.msg[0]>>4 == 0x9 {
				break
			}
			if x.msg[0]>>4 == 0xE {
				if at(x.tick)-at(on.tick) <= 5*time.Millisecond {
					x.tick = on.tick
					copy(ms[i+1:], ms[i:j])
					ms[i] = x
					i++
				}
				break
			}
		}
	}
}

func TestFile_AgreesWithGomidi(t *testing.T) {
	t.Parallel()
	compared := 0
	for seed := range uint64(80) {
		data := randomSMF(t, rand.New(rand.NewPCG(seed, 1)))
		want, tempi, s := byGomidi(t, data)
		division := int64(data[12])<<8 | int64(data[13])
		bendsFirst(want, func(tick int64) time.Duration { return exactTime(division, tempi, tick) })
		got := messages(collect(t, readWhole(t, data)))
		require.Len(t, got, len(want), "seed %d", seed)
		for i, w := range want {
			if m := messages([]Event{{Data: w.msg}})[0].msg; m != got[i].msg {
				require.Equal(t, m, got[i].msg, "seed %d message %d", seed, i)
			}
			// gomidi rounds every stretch of constant tempo down to a microsecond,
			// and puts tempi of one tick in any order.
			if !slices.ContainsFunc(tempi, func(x tempoChange) bool { return ties(tempi, x.tick) }) {
				slack := time.Duration(len(tempi)+1) * time.Microsecond
				if by := time.Duration(s.TimeAt(w.tick)) * time.Microsecond; (by - got[i].at).Abs() > slack {
					require.Equal(t, by, got[i].at, "seed %d message %d", seed, i)
				}
				compared++
			}
			if i%10 == 0 {
				require.Equal(t, exactTime(division, tempi, w.tick), got[i].at, "seed %d message %d", seed, i)
			}
		}
	}
	assert.Greater(t, compared, 10_000)
}

func ties(tempi []tempoChange, tick int64) bool {
	n := 0
	for _, x := range tempi {
		if x.tick == tick {
			n++
		}
	}
	return n > 1
}

// exactTime is the time of a tick by its definition in RP-001, in fractions,
// rounded down to a nanosecond.
func exactTime(division int64, tempi []tempoChange, tick int64) time.Duration {
	sum, micro, from := new(big.Rat), int64(500_000), int64(0)
	stretch := func(to int64) {
		sum.Add(sum, big.NewRat((to-from)*micro, division))
		from = to
	}
	for _, c := range tempi {
		if c.tick > tick {
			break
		}
		stretch(c.tick)
		micro = int64(c.micro)
	}
	stretch(tick)
	sum.Mul(sum, big.NewRat(1000, 1))
	return time.Duration(new(big.Int).Quo(sum.Num(), sum.Denom()).Int64())
}

func TestClock_AddsNoRounding(t *testing.T) {
	t.Parallel()
	// 10,000 tempi of which none divides: a millisecond would be lost by rounding
	// each stretch down to a microsecond.
	var tempi []tempoChange
	for i := range 10_000 {
		tempi = append(tempi, tempoChange{tick: int64(i), micro: uint32(500_003 + i%7)})
	}
	c := newClock(997, slices.Clone(tempi))
	hint := 0
	for _, tick := range []int64{0, 1, 500, 5_000, 9_999, 1_000_000} {
		assert.Equal(t, exactTime(997, tempi, tick), c.at(tick, &hint))
	}
	assert.Equal(t, maxTime, newClockAt(1, 1<<24-1, 1<<54), "times beyond reach stop at the last one")
}

func newClockAt(division uint16, micro uint32, tick int64) time.Duration {
	c := newClock(division, []tempoChange{{micro: micro}})
	return c.at(tick, new(int))
}

func TestClock_TickUndoesAt(t *testing.T) {
	t.Parallel()
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 2))
		var tempi []tempoChange
		for range rng.IntN(20) {
			tempi = append(tempi, tempoChange{tick: rng.Int64N(10_000), micro: 1 + rng.Uint32N(2_000_000)})
		}
		c := newClock(uint16(1+rng.IntN(960)), tempi)
		for range 100 {
			tick, hint := rng.Int64N(20_000), 0
			at := c.at(tick, &hint)
			// Two ticks may share a nanosecond at absurd tempi; none here do.
			assert.Equal(t, float64(tick), c.tick(at), "seed %d", seed)
		}
	}
}

func TestFile_CountsBarsThroughMetreChanges(t *testing.T) {
	t.Parallel()
	// 3/4 from the start, 6/8 from bar 3, back to 4/4 inside what would be bar 5,
	// at 120 quarter notes a minute and 96 ticks a quarter note. Counted by hand.
	track := unhex(t, `00FF580403021808 00902850 8440FF580406031808 00902940 8460FF580404021808 8800902A40`+end)
	f, err := ReadFile("bars.mid", smfBytes(0, 96, track), FileOptions{})
	require.NoError(t, err)
	quarter := 500 * time.Millisecond
	for _, c := range []struct {
		at   time.Duration
		bar  int
		beat float64
	}{
		{0, 1, 1}, {2 * quarter, 1, 3}, {3 * quarter, 2, 1},
		{6 * quarter, 3, 1}, {6*quarter + quarter/2, 3, 2}, {9 * quarter, 4, 1}, {11 * quarter, 4, 5},
		{12 * quarter, 5, 1},           // 608 ticks of 6/8 are two bars of 288, and 32 of a third
		{12*quarter + quarter/3, 6, 1}, // which the new metre ends
		{16*quarter + quarter/3, 7, 1},
	} {
		bar, beat, ok := f.Bar(c.at)
		require.True(t, ok)
		assert.Equal(t, c.bar, bar, "bar at %v", c.at)
		assert.InDelta(t, c.beat, beat, 0.02, "beat at %v", c.at)
	}
	f, err = ReadFile("free.mid", smfBytes(0, 96, unhex(t, "00902850 60802840"+end)), FileOptions{})
	require.NoError(t, err)
	_, _, ok := f.Bar(0)
	assert.False(t, ok, "no time signature, no bars")
}
