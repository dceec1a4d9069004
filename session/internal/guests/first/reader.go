package first

import (
	"math"

	"stillhand/coach"
)

// taste is what a reader weighs when planning fingerings.
type taste struct {
	horizon int
	commit  int     // notes played before planning anew
	shift   float64 // any shift
	way     float64 // for each 100 mm of it
	cross   float64 // each string crossed after the first
	first   float64 // the first string crossed
	stretch float64 // for each 100 mm of the window's stretch
	open    float64 // cost of an open string, under zero liked
	finger  [5]float64
	high    float64 // each fret above the seventh on a lower string
	home    float64 // each fret away from home
	hurry   float64 // how much dearer a shift is with no time
}

// stand is where the hand is and which string it plays.
type stand struct {
	place coach.Place
	pos   int
}

// read plays a score, looking ahead and choosing the cheapest way by the
// player's own taste; every horizon's plan is played for some notes and then
// made anew.
func (p *player) read(n int) []note {
	t := taste{
		horizon: 3 + p.rng.IntN(6),
		shift:   p.in(0.4, 1.2),
		way:     p.in(0.2, 1.0),
		cross:   p.cross * 0.8,
		first:   p.cross * 0.35,
		stretch: p.in(0, 0.5),
		open:    1.1 - 0.9*p.open,
		high:    p.in(0, 0.12),
		home:    p.in(0, 0.06),
		hurry:   p.in(0, 1),
	}
	t.commit = 1 + p.rng.IntN(t.horizon)
	for f := range t.finger {
		t.finger[f] = p.in(0, 0.35)
	}
	score := p.score(n)
	notes := make([]note, 0, n)
	now := stand{coach.Place{String: 2 + p.rng.IntN(2), Fret: p.home}, p.home}
	free := true
	for len(notes) < n {
		i := len(notes)
		before := 4.0
		if i > 0 {
			before = score[i-1].beats
		}
		plan := p.plan(t, now, free, before, score[i:min(n, i+t.horizon)])
		free = false
		for j := range min(t.commit, len(plan)) {
			now = plan[j]
			nt := note{now.place, now.pos, score[i+j].beats, score[i+j].rest}
			notes = append(notes, nt)
		}
	}
	return notes
}

// plan returns the cheapest stands for the notes of score from now on. When
// free, the hand may start anywhere.
func (p *player) plan(t taste, now stand, free bool, before float64, score []written) []stand {
	type node struct {
		stand
		cost float64
		from int
	}
	layers := [][]node{{{now, 0, -1}}}
	stretch := p.chance(p.extend * 4) // this time an extension will do
	for i, w := range score {
		if i > 0 {
			before = score[i-1].beats
		}
		prev := layers[i]
		var layer []node
		put := func(s stand, cost float64, from int) {
			for k := range layer {
				if layer[k].stand == s {
					if cost < layer[k].cost {
						layer[k].cost, layer[k].from = cost, from
					}
					return
				}
			}
			layer = append(layer, node{s, cost, from})
		}
		for _, pl := range p.neck.Places(nil, w.pitch) {
			for k, from := range prev {
				if pl.Fret == 0 {
					put(stand{pl, from.pos}, from.cost+t.open+p.crossing(t, from.place, pl), k)
					continue
				}
				for off := -1; off <= p.width; off++ {
					pos := pl.Fret - off
					if pos < 1 || pos > p.top {
						continue
					}
					cost := from.cost + p.crossing(t, from.place, pl)
					if f := p.sys.FingerAt(off); f > 0 {
						cost += t.finger[f]
					} else if stretch && pos == from.pos {
						cost += 1.2 // an extension, only with a hand that stays
					} else {
						continue
					}
					if !(free && i == 0) && pos != from.pos {
						mm := math.Abs(p.neck.FretMM(pos) - p.neck.FretMM(from.pos))
						quick := 1 + t.hurry*max(0, 0.6-before*60/p.bpm)
						cost += (t.shift + t.way*mm/100) * quick
					}
					cost += t.stretch * p.neck.StretchMM(pos, p.width) / 100
					cost += t.home * math.Abs(float64(pos-p.home))
					if pl.String > 1 && pl.Fret > 7 {
						cost += t.high * float64(pl.Fret-7)
					}
					put(stand{pl, pos}, cost, k)
				}
			}
		}
		if len(layer) == 0 { // beyond the player's top: let the hand go there
			pl := p.neck.Places(nil, w.pitch)[0]
			put(stand{pl, max(1, pl.Fret-p.width+1)}, prev[0].cost+9, 0)
		}
		layers = append(layers, layer)
	}
	best := 0
	last := layers[len(layers)-1]
	for k := range last {
		if last[k].cost < last[best].cost {
			best = k
		}
	}
	out := make([]stand, len(score))
	for i := len(score); i > 0; i-- {
		out[i-1] = layers[i][best].stand
		best = layers[i][best].from
	}
	return out
}

func (p *player) crossing(t taste, a, b coach.Place) float64 {
	d := a.String - b.String
	if d < 0 {
		d = -d
	}
	if d == 0 {
		return 0
	}
	return t.first + t.cross*float64(d-1)
}
