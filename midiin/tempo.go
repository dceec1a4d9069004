package midiin

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"sort"
	"time"
)

// defaultTempo is the tempo of a file that states none, in microseconds a
// quarter note: 120 beats a minute (RP-001).
const defaultTempo = 500_000

// clock turns ticks into time. A stretch of constant tempo adds ticks times a
// whole number; one division at the end gives nanoseconds, so no rounding adds
// up however many tempi there are.
type clock struct {
	divisor  uint64 // ticks a quarter note, or a number of ticks of an SMPTE clock
	segments []segment
}

// segment is a stretch of constant tempo. Sums are 128 bits wide: nanoseconds
// times divisor.
type segment struct {
	tick   int64
	slope  uint64 // nanoseconds times divisor that one tick lasts
	hi, lo uint64 // sum at tick
}

type tempoChange struct {
	tick  int64
	micro uint32 // microseconds a quarter note
	track uint16
}

// newClock makes a clock of a header's division and the tempo changes, which
// may come in any order; of two at one tick the later one counts. An SMPTE
// division knows no tempo.
func newClock(division uint16, tempi []tempoChange) clock {
	if division&0x8000 != 0 {
		fps, ticks := uint64(-int8(division>>8)), uint64(division&0xFF)
		slope := uint64(time.Second)
		if fps == 29 { // 30 drop frame: 30,000 frames in 1,001 seconds
			fps, slope = 30_000, slope*1001
		}
		return clock{divisor: fps * ticks, segments: []segment{{slope: slope}}}
	}
	slices.SortStableFunc(tempi, func(a, b tempoChange) int { return cmp.Compare(a.tick, b.tick) })
	c := clock{divisor: uint64(division), segments: make([]segment, 1, 1+len(tempi))}
	c.segments[0].slope = defaultTempo * uint64(time.Microsecond)
	for _, t := range tempi {
		last := &c.segments[len(c.segments)-1]
		slope := uint64(t.micro) * uint64(time.Microsecond)
		if t.tick == last.tick {
			last.slope = slope
			continue
		}
		hi, lo := last.sum(t.tick)
		c.segments = append(c.segments, segment{tick: t.tick, slope: slope, hi: hi, lo: lo})
	}
	return c
}

func (s *segment) sum(tick int64) (hi, lo uint64) {
	hi, lo = bits.Mul64(uint64(tick-s.tick), s.slope)
	lo, carry := bits.Add64(lo, s.lo, 0)
	return hi + s.hi + carry, lo
}

// at is the time of tick, rounded down to a nanosecond. hint is the segment to
// look from, for callers that walk forward; it is moved on.
func (c *clock) at(tick int64, hint *int) time.Duration {
	for *hint+1 < len(c.segments) && c.segments[*hint+1].tick <= tick {
		*hint++
	}
	return c.divide(c.segments[*hint].sum(tick))
}

func (c *clock) divide(hi, lo uint64) time.Duration {
	if hi >= c.divisor {
		return maxTime
	}
	q, _ := bits.Div64(hi, lo, c.divisor)
	return time.Duration(min(q, uint64(maxTime)))
}

// tick is the place of a time in ticks, with its fraction. Within a nanosecond
// of a whole tick it is that tick, so that tick undoes at.
func (c *clock) tick(at time.Duration) float64 {
	i := sort.Search(len(c.segments), func(i int) bool {
		s := &c.segments[i]
		return c.divide(s.hi, s.lo) > at
	})
	s := &c.segments[max(0, i-1)]
	ns := float64(s.slope) / float64(c.divisor)
	x := float64(at-c.divide(s.hi, s.lo)) / ns
	if r := math.Round(x); math.Abs(r-x)*ns <= 2 {
		x = r
	}
	return float64(s.tick) + x
}

type meterChange struct {
	tick         int64
	beats, power uint8 // as in meter
	track        uint16
}

// meter counts bars. RP-001 begins every file in 4/4.
type meter struct {
	tick        int64
	beats       int64 // in a bar
	power       uint  // a beat is a quarter note times 4 / 2^power
	bar         int   // number of the bar that begins at tick, from 1
	ticksPerBar int64 // times 2^power
}

// meterLimit bounds the beat that a time signature may name: 1/1024 notes.
const meterLimit = 10

// newMeters numbers bars through all time signatures. A signature inside a bar
// ends that bar.
func newMeters(division uint16, changes []meterChange) []meter {
	slices.SortStableFunc(changes, func(a, b meterChange) int { return cmp.Compare(a.tick, b.tick) })
	ms := make([]meter, 1, 1+len(changes))
	ms[0] = meter{beats: 4, power: 2, bar: 1, ticksPerBar: 16 * int64(division)}
	for _, c := range changes {
		m := meter{tick: c.tick, beats: int64(c.beats), power: uint(c.power), ticksPerBar: 4 * int64(c.beats) * int64(division)}
		last := &ms[len(ms)-1]
		if m.tick == last.tick {
			m.bar = last.bar
			*last = m
			continue
		}
		span := m.tick - last.tick
		bars := span / last.ticksPerBar << last.power // whole bars, without overflow
		rest := span % last.ticksPerBar << last.power
		bars += (rest + last.ticksPerBar - 1) / last.ticksPerBar
		m.bar = last.bar + int(bars)
		ms = append(ms, m)
	}
	return ms
}

// place is the bar and the beat, both from 1, of a place in ticks.
func (m *meter) place(tick float64) (bar int, beat float64) {
	x := (tick - float64(m.tick)) * float64(int64(1)<<m.power)
	whole := math.Floor(x / float64(m.ticksPerBar))
	rest := x - whole*float64(m.ticksPerBar)
	return m.bar + int(whole), 1 + rest*float64(m.beats)/float64(m.ticksPerBar)
}
