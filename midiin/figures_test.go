package midiin

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The figures of cleaning, on simulated pickups (pickup_test.go). The command
// that prints them:
//
//	go test ./midiin -run Figures -v

// struckKey tells a note-on of a simulation.
type struckKey struct {
	at           time.Duration
	channel, key int
}

// figures counts what became of a simulation's note-ons, by kind.
type figures struct {
	all, dropped, held map[string]int
	slides, slid       int
}

func (f *figures) share(of map[string]int, kind string) float64 {
	return float64(of[kind]) / float64(max(f.all[kind], 1))
}

// measure plays seeds through Cleaners.
func measure(t *testing.T, o CleanerOptions, seeds uint64, change func(*pickup)) *figures {
	f := &figures{map[string]int{}, map[string]int{}, map[string]int{}, 0, 0}
	for seed := range seeds {
		p := newPickup(seed)
		change(p)
		kinds := map[struckKey]string{}
		h := hear(t)
		c := NewCleaner(o, h)
		es := p.play(1500)
		for _, e := range es {
			c.Event(e.Event)
			if e.kind == "" {
				continue
			}
			k := struckKey{e.At, int(e.Data[0] & 15), int(e.Data[1])}
			kinds[k] = e.kind
			f.all[e.kind]++
			if len(c.queue) > 0 {
				f.held[e.kind]++
			}
		}
		c.End(es[len(es)-1].At)
		for _, d := range h.dropped {
			f.dropped[kinds[struckKey{d.At, d.Channel, d.Pitch}]]++
		}
		f.slides += p.slid
		for _, n := range h.notes {
			if n.Slide != 0 {
				f.slid++
			}
		}
	}
	return f
}

func TestCleaner_FiguresOfGhostsAndDoubles(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name            string
		mode            Mode
		channels        []uint8
		ghosts, doubles float64 // at least dropped
		real, held      float64 // at most
	}{
		{"pickup, a channel a string", Pickup, []uint8{0, 1, 2, 3}, 0.95, 0.99, 0.003, 0.12},
		{"pickup, one channel", Pickup, []uint8{0, 0, 0, 0}, 0.95, 0.99, 0.003, 0.12},
		{"unknown, a channel a string", Auto, []uint8{0, 1, 2, 3}, 0.90, 0.50, 0.003, 0.04},
		{"unknown, one channel", Auto, []uint8{0, 0, 0, 0}, 0.90, 0.50, 0.003, 0.04},
	} {
		f := measure(t, CleanerOptions{Open: bass4, Frets: 22, Mode: c.mode}, 6, func(p *pickup) { p.channels = c.channels })
		t.Logf("%s: ghosts dropped %.4f of %d, double triggers %.4f of %d, harmonics first %.2f of %d, real notes dropped %.4f of %d, delivered at once %.3f",
			c.name, f.share(f.dropped, "ghost"), f.all["ghost"], f.share(f.dropped, "double"), f.all["double"],
			f.share(f.dropped, "flip"), f.all["flip"], f.share(f.dropped, "real"), f.all["real"], 1-f.share(f.held, "real"))
		assert.Greater(t, f.share(f.dropped, "ghost"), c.ghosts, c.name)
		assert.Greater(t, f.share(f.dropped, "double"), c.doubles, c.name)
		assert.Less(t, f.share(f.dropped, "real"), c.real, c.name)
		assert.Less(t, f.share(f.held, "real"), c.held, c.name)
	}
	f := measure(t, CleanerOptions{Open: bass4, Frets: 22, Mode: Keyboard}, 2, func(*pickup) {})
	assert.Empty(t, f.dropped, "keys: nothing is cleaned")
	assert.Empty(t, f.held, "keys: nothing waits")
}

func TestCleaner_FiguresOfSlidesAndVibrato(t *testing.T) {
	t.Parallel()
	o := CleanerOptions{Open: bass4, Frets: 22, Mode: Pickup}
	f := measure(t, o, 4, func(p *pickup) { p.vibrato = 0.8 })
	t.Logf("vibrato on 0.8 of long notes: %d slides heard where there are none", f.slid)
	assert.Zero(t, f.slid)
	f = measure(t, o, 4, func(p *pickup) { p.slides, p.ghosts, p.doubles = 0.5, 0, 0 })
	t.Logf("slides: %d heard of %d", f.slid, f.slides)
	assert.InDelta(t, f.slides, f.slid, 0.02*float64(f.slides))
}

// wiring is an order of channels.
type wiring func(rng *rand.Rand, strings int) []uint8

var wirings = map[string]wiring{
	"from 1 down": func(_ *rand.Rand, n int) []uint8 { return channelsFrom(0, n, false) },
	"from 1 up":   func(_ *rand.Rand, n int) []uint8 { return channelsFrom(0, n, true) },
	"from 2 to 4, down or up": func(rng *rand.Rand, n int) []uint8 {
		return channelsFrom(uint8(1+rng.IntN(3)), n, rng.IntN(2) == 0)
	},
	"from 11, down or up": func(rng *rand.Rand, n int) []uint8 { return channelsFrom(10, n, rng.IntN(2) == 0) },
	"in any order": func(rng *rand.Rand, n int) []uint8 {
		chs := channelsFrom(0, n, false)
		rng.Shuffle(n, func(i, j int) { chs[i], chs[j] = chs[j], chs[i] })
		return chs
	},
}

func channelsFrom(base uint8, n int, up bool) []uint8 {
	chs := make([]uint8, n)
	for i := range chs {
		chs[i] = base + uint8(i)
		if up {
			chs[i] = base + uint8(n-1-i)
		}
	}
	return chs
}

func TestCleaner_FiguresOfStringsFound(t *testing.T) {
	t.Parallel()
	for _, open := range [][]int{bass4, {43, 38, 33, 28, 23}, {48, 43, 38, 33, 28, 23}} {
		for name, wire := range wirings {
			takes, right, notes, twice := 20, 0, 0, 0
			wrong, all := 0, 0 // notes delivered with a string, and all
			for seed := range uint64(takes) {
				p := newPickup(seed)
				p.open, p.channels = open, wire(rand.New(rand.NewPCG(seed, 99)), len(open))
				h := hear(t)
				c := NewCleaner(CleanerOptions{Open: open, Frets: 22}, h)
				first := 0
				for _, e := range p.play(300) {
					c.Event(e.Event)
					if first == 0 && len(h.found) > 0 {
						first = len(h.notes)
					}
				}
				notes += first
				of := map[int]int{}
				for s, ch := range p.channels {
					of[int(ch)] = s + 1
				}
				for _, n := range h.notes {
					all++
					if n.String > 0 && n.String != of[n.Channel] {
						wrong++
					}
				}
				if len(h.found) == 0 {
					continue
				}
				ok := true
				for ch, s := range of {
					if c.finder.seen&(1<<ch) != 0 {
						ok = ok && int(h.found[len(h.found)-1].channel[ch]) == s
					}
				}
				if ok {
					right++
				}
				if len(h.found) > 1 {
					twice++
				}
			}
			t.Logf("%d strings, channels %s: %d of %d takes right, told after %.0f notes on average, %d told again, %.4f of all notes with a wrong string before that",
				len(open), name, right, takes, float64(notes)/float64(takes), twice, float64(wrong)/float64(all))
			assert.Less(t, float64(wrong)/float64(all), 0.01, "%d strings, channels %s", len(open), name)
			assert.GreaterOrEqual(t, right, takes-takes/20, "%d strings, channels %s", len(open), name)
			assert.LessOrEqual(t, notes, 40*takes)
		}
		for seed := range uint64(10) {
			p := newPickup(seed)
			p.open, p.channels = open, make([]uint8, len(open))
			h := hear(t)
			c := NewCleaner(CleanerOptions{Open: open, Frets: 22}, h)
			for _, e := range p.play(300) {
				c.Event(e.Event)
			}
			require.Empty(t, h.found, "one channel tells no strings")
		}
	}
}
