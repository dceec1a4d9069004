package second

import (
	"math"
	"math/rand/v2"

	"stillhand/coach"
)

// reader sees the notes ahead and takes the path that costs least over a
// horizon; then plays a few of them and looks again. The costs are private.
type reader struct {
	*player
	comp    *composer
	horizon int
	commit  int
	move    float64 // to lift the hand at all
	mm      float64 // per 100 mm
	hurry   float64 // per 100 ms of time that is lacking
	cross   float64 // per string
	skip    float64 // more for a string jumped over
	open    float64 // below 0: a friend of open strings
	finger  [5]float64
	stretch float64 // per 100 mm between outer fingers
	region  float64 // per fret away from home
	reachy  float64 // for an extension
	whim    float64 // noise on every place
}

func newReader(p *player, r *rand.Rand) *reader {
	d := &reader{player: p, move: 2.6, mm: 0.8, hurry: 0.5, cross: 0.25, skip: 0.2, stretch: 0.1, region: 0.06, reachy: 12, whim: 0.1}
	d.horizon = []int{4, 5, 6, 8, 10}[r.IntN(5)]
	d.commit = from(r, 1, max(1, d.horizon/2))
	d.open = []float64{6, 0.5, 0.1, -0.6}[p.habits.open]
	for i := range d.finger {
		d.finger[i] = between(r, 0, 0.15)
	}
	lo, hi := p.compass(r)
	switch r.IntN(6) {
	case 0: // the economist: anything but a shift
		d.move, d.cross, d.region = 3.8, 0.05, 0.01
	case 1: // the cellar: lives by the nut, as the parts are written
		p.home, d.region, hi = 1, 0.3, 44
		d.open = min(d.open, 0.2)
	case 2: // the singer: one string for one tone, moves gladly
		d.cross, d.skip, d.move, d.mm = 1, 0.6, 1.3, 0.5
		hi += 4
	case 3: // one sore finger: spared wherever that can be had
		d.finger[from(r, min(2, p.width-1), p.width-1)] = 0.6
	case 4: // sees whole phrases and plays them as learnt
		d.horizon, d.commit, d.move = p.phrase, p.phrase, 3
	default: // small hands: keeps up where the frets are close
		p.home = from(r, 3, 5)
		d.stretch, d.region = 0.6, 0.15
		lo, hi = p.compass(r)
		hi += 2
	}
	if p.extend >= 0.1 {
		d.reachy = 8
	}
	if p.home == 1 {
		lo = 28
	}
	p.at = p.home
	d.comp = newComposer(p, r, lo, hi)
	d.comp.lift = between(r, 0, 0.03)
	return d
}

type grip struct {
	place coach.Place
	pos   int
}

// grips is every way to play pitch; an open string goes with any position.
func (d *reader) grips(pitch int) []grip {
	var out []grip
	for _, pl := range d.neck.Places(nil, pitch) {
		if pl.Fret == 0 {
			for pos := 1; pos <= d.top; pos++ {
				out = append(out, grip{pl, pos})
			}
			continue
		}
		for pos := max(1, pl.Fret-d.width); pos <= min(d.top, pl.Fret+1); pos++ {
			out = append(out, grip{pl, pos})
		}
	}
	return out
}

// ease is the cost of a grip by itself.
func (d *reader) ease(g grip) float64 {
	if g.place.Fret == 0 {
		return d.open
	}
	c := d.region*math.Abs(float64(g.pos-d.home)) + d.stretch*d.neck.StretchMM(g.pos, d.width)/100
	if f := d.system.FingerAt(g.place.Fret - g.pos); f > 0 {
		c += d.finger[g.place.Fret-g.pos]
	} else {
		c += d.reachy
	}
	return c + d.whim*d.hand.Float64()
}

// pass is the cost of going from one grip to the next with ms between them.
func (d *reader) pass(a, b grip, ms float64) float64 {
	c := 0.0
	if a.pos != b.pos {
		if b.place.Fret == 0 {
			return math.Inf(1) // an open string does not move the hand
		}
		c = d.move + d.mm*math.Abs(d.neck.FretMM(b.pos)-d.neck.FretMM(a.pos))/100
		c += d.hurry * max(0, d.travel(a.pos, b.pos)-0.5*ms) / 100
	}
	if n := abs(a.place.String - b.place.String); n > 0 {
		c += d.cross + d.skip*float64(n-1)
	}
	return c
}

func (d *reader) play(n int) []step {
	notes := d.comp.line(n + d.horizon)
	d.last = coach.Place{String: 3, Fret: d.home}
	for i := 0; i < n; {
		end := min(i+d.horizon, len(notes))
		path := d.plan(notes[i:end], i)
		for k := 0; k < d.commit && i < end; k++ {
			s, g := &notes[i], path[k]
			s.place, s.position = g.place, g.pos
			s.slid = i > 0 && d.last.String == g.place.String && d.last.Fret > 0 && g.place.Fret > 0 &&
				d.last.Fret != g.place.Fret && d.at != g.pos && chance(d.hand, d.slide)
			d.at, d.last = g.pos, g.place
			i++
		}
	}
	return notes
}

// plan is the least path over notes from the hand as it is.
func (d *reader) plan(notes []step, index int) []grip {
	type node struct {
		grip
		cost float64
		from int
	}
	layers := make([][]node, len(notes))
	start := grip{d.last, d.at}
	for i, s := range notes {
		for _, g := range d.grips(s.pitch) {
			nd := node{grip: g, cost: math.Inf(1), from: -1}
			if i == 0 {
				ms := 1000.0 // before the first note there is all the time
				if index > 0 {
					ms = 60000 / d.bpm * 0.5
				}
				nd.cost = d.pass(start, g, ms)
			} else {
				ms := notes[i-1].beats * 60000 / d.bpm
				for k, a := range layers[i-1] {
					if c := a.cost + d.pass(a.grip, g, ms); c < nd.cost {
						nd.cost, nd.from = c, k
					}
				}
			}
			nd.cost += d.ease(g)
			layers[i] = append(layers[i], nd)
		}
	}
	k := 0
	final := layers[len(layers)-1]
	for j := range final {
		if final[j].cost < final[k].cost {
			k = j
		}
	}
	path := make([]grip, len(notes))
	for i := len(notes) - 1; i >= 0; i-- {
		path[i] = layers[i][k].grip
		k = layers[i][k].from
	}
	return path
}
