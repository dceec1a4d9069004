package midiin

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"time"
)

// pickup simulates a bass with a pitch-to-MIDI converter: a hand that plays in
// positions, loud and soft, short and legato, and a converter that is late on
// low notes, hears ghosts and strikes notes twice. Its shares and ranges are
// the project's own guesses at what such devices do; no recording or
// measurement stands behind them.
type pickup struct {
	rng      *rand.Rand
	open     []int
	frets    int
	channels []uint8 // of each string
	periods  float64 // delay of the converter

	ghosts, doubles, flips float64 // shares of notes
	vibrato, slides        float64 // shares of long notes

	events []tagged
	slid   int // slides made
}

// bendRange is what the simulated converter announces, in semitones: an octave.
const bendRange = 12

// tagged is an event with what the simulation knows about it.
type tagged struct {
	Event
	kind   string // of note-ons: real, ghost, double or flip
	struck time.Duration
	order  int
}

func newPickup(seed uint64) *pickup {
	return &pickup{
		rng:      rand.New(rand.NewPCG(seed, 7)),
		open:     bass4,
		frets:    22,
		channels: []uint8{0, 1, 2, 3},
		periods:  converterPeriods,
		ghosts:   0.08,
		doubles:  0.04,
		flips:    0.005,
	}
}

func (p *pickup) between(lo, hi float64) float64 { return lo + (hi-lo)*p.rng.Float64() }

func (p *pickup) chance(share float64) bool { return p.rng.Float64() < share }

func milliseconds(ms float64) time.Duration { return time.Duration(ms * float64(time.Millisecond)) }

func (p *pickup) add(at time.Duration, kind string, struck time.Duration, status, d1, d2 int) {
	p.events = append(p.events, tagged{
		Event:  Event{At: max(at, 0), Kind: Message, Data: [3]byte{byte(status), byte(d1), byte(d2)}},
		kind:   kind,
		struck: struck,
		order:  len(p.events),
	})
}

// sound adds a note of the converter.
func (p *pickup) sound(kind string, str, pitch int, velocity float64, struck, at, off time.Duration) {
	ch := int(p.channels[str])
	v := int(math.Round(min(max(velocity, 1), 127)))
	p.add(at, kind, struck, 0x90|ch, pitch, v)
	p.add(off, "", 0, 0x80|ch, pitch, 0)
}

// short is the length of a ghost: most last 10 to 50 ms.
func (p *pickup) short() time.Duration {
	return milliseconds(min(8+18*math.Exp(0.45*p.rng.NormFloat64()), 70))
}

// play makes a take of n notes and returns its events in order.
func (p *pickup) play(n int) []tagged {
	now := 500 * time.Millisecond
	for _, ch := range p.channels { // RPN 0,0 (MIDI 1.0)
		for _, cc := range [][2]int{{101, 0}, {100, 0}, {6, bendRange}, {38, 0}} {
			p.add(0, "", 0, 0xB0|int(ch), cc[0], cc[1])
		}
	}
	position, str := 1+p.rng.IntN(12), p.rng.IntN(len(p.open))
	dynamic, beat := 78.0, 250.0
	lastOff := make([]time.Duration, len(p.open))
	for i := 0; i < n; i++ {
		if i%24 == 0 {
			dynamic, beat = p.between(50, 100), p.between(110, 450)
			position = 1 + p.rng.IntN(14)
		}
		if p.chance(0.1) {
			position = min(max(position+p.rng.IntN(9)-4, 1), p.frets-4)
		}
		if p.chance(0.5) {
			str = min(max(str+p.rng.IntN(3)-1, 0), len(p.open)-1)
		}
		fret := position + p.rng.IntN(4)
		if p.chance(0.1) {
			fret = 0
		}
		pitch := p.open[str] + fret
		velocity := dynamic + 12*p.rng.NormFloat64()
		length := beat * p.between(0.5, 0.98)
		step := beat
		switch x := p.rng.Float64(); {
		case x < 0.20: // hammered or pulled off
			velocity *= p.between(0.5, 0.85)
			length = beat * p.between(0.9, 0.99)
		case x < 0.24: // muted
			velocity *= p.between(0.35, 0.7)
			length = p.between(30, 70)
		case x < 0.26: // grace
			velocity *= p.between(0.5, 0.9)
			step = p.between(50, 75)
			length = step - 3
		}
		velocity = max(velocity, 12)
		struck := now
		hz := 440 * math.Exp2(float64(pitch-69)/12)
		at := struck + milliseconds(p.periods/hz*1000)
		at = max(at, lastOff[str]+time.Millisecond)
		off := max(struck+milliseconds(length), at+milliseconds(25))
		if length > 250 {
			off = p.bend(str, fret, at, off)
		}
		p.wrong(str, pitch, velocity, &at, &off, struck)
		lastOff[str] = off
		now += milliseconds(max(step, 50))
		if p.chance(0.03) {
			now += milliseconds(p.between(200, 1500))
		}
	}
	slices.SortFunc(p.events, func(a, b tagged) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.order, b.order))
	})
	return p.events
}

// wheel adds a pitch bend in semitones.
func (p *pickup) wheel(at time.Duration, str int, semitones float64) {
	v := min(max(int(math.Round(8192+semitones/bendRange*8192)), 0), 16383)
	p.add(at, "", 0, 0xE0|int(p.channels[str]), v&0x7F, v>>7)
}

// bend lets a long note swing in vibrato, or slide to another fret, and returns
// its end.
func (p *pickup) bend(str, fret int, at, off time.Duration) time.Duration {
	const every = 5 * time.Millisecond
	switch x := p.rng.Float64(); {
	case x < p.vibrato:
		hz, depth := p.between(4.5, 7), p.between(0.1, 0.45)
		for t := at + 80*time.Millisecond; t < off; t += every {
			p.wheel(t, str, depth*math.Sin(2*math.Pi*hz*(t-at).Seconds()))
		}
	case x < p.vibrato+p.slides:
		frets := 1 + p.rng.IntN(5)
		if fret > 12 || fret > 6 && p.chance(0.5) {
			frets = -frets
		}
		begin := at + milliseconds(p.between(60, 150))
		takes := milliseconds(p.between(40, 40*math.Abs(float64(frets))+40))
		for t := begin; t < begin+takes; t += every {
			p.wheel(t, str, float64(frets)*float64(t-begin)/float64(takes))
		}
		p.wheel(begin+takes, str, float64(frets)+p.between(-0.1, 0.1))
		off = max(off, begin+takes+milliseconds(p.between(100, 300)))
		p.slid++
	default:
		return off
	}
	p.wheel(off+time.Millisecond, str, 0)
	return off
}

// wrong adds a note with what the converter gets wrong about it.
func (p *pickup) wrong(str, pitch int, velocity float64, at, off *time.Duration, struck time.Duration) {
	other := min(max(str+1-2*p.rng.IntN(2), 0), len(p.open)-1)
	if other == str {
		other = (str + 1) % len(p.open)
	}
	stray := p.open[other] + p.rng.IntN(8)
	if p.chance(p.flips) { // the octave or the twelfth first
		up := 12
		if p.chance(0.4) {
			up = 19
		}
		first := *at
		*at += milliseconds(p.between(15, 32))
		*off = max(*off, *at+milliseconds(25))
		p.sound("flip", str, min(pitch+up, p.open[str]+p.frets), velocity*p.between(0.7, 1), struck, first, *at-time.Millisecond)
	}
	if p.chance(p.doubles) {
		again := *at + milliseconds(p.between(15, 40))
		*off = max(*off, again+milliseconds(20))
		p.sound("real", str, pitch, velocity, struck, *at, again-milliseconds(p.between(1, 8)))
		p.sound("double", str, pitch, velocity*p.between(0.4, 1.1), struck, again, *off)
	} else {
		p.sound("real", str, pitch, velocity, struck, *at, *off)
	}
	if p.chance(p.ghosts) {
		soft := velocity * p.between(0.08, 0.35)
		switch p.rng.IntN(3) {
		case 0: // the neighbour string hears the stroke
			t := *at + milliseconds(p.between(-15, 25))
			p.sound("ghost", other, stray, soft, t, t, t+p.short())
		case 1: // a harmonic at the stroke
			t := *at + milliseconds(p.between(2, 25))
			p.sound("ghost", other, min(pitch+12, p.open[other]+p.frets), soft, t, t, t+p.short())
		case 2: // the string is let go
			t := *off + milliseconds(p.between(2, 20))
			p.sound("ghost", other, stray, soft, t, t, t+p.short())
		}
	}
}
