package players

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"stillhand/midiin"
)

// Strings is how Pickup's channels carry the strings.
const Strings = "1=1,2=2,3=3,4=4"

// pickup is a pitch-to-MIDI converter with one channel a string. Its shares
// and ranges are guesses at what such devices do; no measurement stands behind
// them.
type pickup struct {
	*rand.Rand
	periods float64 // of the fundamental until a pitch is told
	spread  float64 // of that, in periods
	ghosts  float64 // a note
	doubles float64
	events  []midiin.Event
}

// Pickup is the take as a converter sends it, and the number of ghosts and
// double triggers in it.
func (t Take) Pickup(seed uint64) (events []midiin.Event, wrong int) {
	r := rand.New(rand.NewPCG(seed, 0xB455))
	p := &pickup{Rand: r, periods: 1 + r.Float64(), spread: 0.15, ghosts: 0.06 * r.Float64(), doubles: 0.04 * r.Float64()}
	for s := range t.Neck.Strings() {
		for _, m := range [][2]int{{101, 0}, {100, 0}, {6, 12}, {38, 0}} {
			p.send(0, 0xB0, s, m[0], m[1])
		}
	}
	bent := make([]bool, t.Neck.Strings())
	keys := make([]int, t.Neck.Strings())
	for i, h := range t.Hits {
		ch, pitch := h.Place.String-1, t.Neck.Pitch(h.Place)
		hz := 440 * math.Exp2(float64(pitch-69)/12)
		late := time.Duration((p.periods + p.spread*r.NormFloat64()) / hz * float64(time.Second))
		at := h.On + late
		slides := i+1 < len(t.Hits) && t.Hits[i+1].Slid
		if h.Slid {
			semitones := pitch - keys[ch]
			if semitones >= -12 && semitones <= 12 {
				p.bend(t.Hits[i-1], h, ch, semitones)
				bent[ch] = true
				if !slides {
					p.send(max(h.Off, at+20*time.Millisecond), 0x80, ch, keys[ch], 0)
				}
				continue
			}
			p.send(at-time.Millisecond, 0x80, ch, keys[ch], 0)
		}
		if bent[ch] {
			p.send(at-time.Millisecond, 0xE0, ch, 0, 64)
			bent[ch] = false
		}
		keys[ch] = pitch
		off := max(h.Off, at+20*time.Millisecond)
		if i+1 < len(t.Hits) && t.Hits[i+1].Place.String == h.Place.String && !slides {
			off = min(off, t.Hits[i+1].On)
		}
		if r.Float64() < p.ghosts {
			other := (ch + 1 + r.IntN(t.Neck.Strings()-1)) % t.Neck.Strings()
			g := h.On + time.Duration(r.IntN(40))*time.Millisecond
			k := t.Neck.Open[other] + r.IntN(7)
			p.send(g, 0x90, other, k, 6+r.IntN(16))
			p.send(g+time.Duration(8+r.IntN(35))*time.Millisecond, 0x80, other, k, 0)
			wrong++
		}
		if r.Float64() < p.doubles && off-at > 120*time.Millisecond && !slides {
			again := at + time.Duration(18+r.IntN(25))*time.Millisecond
			p.send(at, 0x90, ch, pitch, h.Velocity)
			p.send(again-4*time.Millisecond, 0x80, ch, pitch, 0)
			at = again
			p.send(at, 0x90, ch, pitch, h.Velocity*3/4)
			wrong++
		} else {
			p.send(at, 0x90, ch, pitch, h.Velocity)
		}
		if !slides {
			p.send(max(off, at+10*time.Millisecond), 0x80, ch, pitch, 0)
		}
	}
	slices.SortStableFunc(p.events, func(a, b midiin.Event) int { return cmp.Compare(a.At, b.At) })
	return p.events, wrong
}

func (p *pickup) send(at time.Duration, status, ch, d1, d2 int) {
	p.events = append(p.events, midiin.Event{At: max(0, at), Kind: midiin.Message, Data: [3]byte{byte(status | ch), byte(d1), byte(d2)}})
}

// bend slides from a to b on a channel whose range is an octave.
func (p *pickup) bend(a, b Hit, ch, semitones int) {
	steps := 6
	length := min(90*time.Millisecond, (b.On-a.On)/2)
	from := semitones - (b.Place.Fret - a.Place.Fret)
	for i := 1; i <= steps; i++ {
		x := float64(from) + float64(semitones-from)*float64(i)/float64(steps)
		v := min(16383, 8192+int(math.Round(x/12*8192)))
		p.send(b.On-length+length*time.Duration(i)/time.Duration(steps), 0xE0, ch, v&0x7F, v>>7)
	}
}
