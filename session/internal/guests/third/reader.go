package third

import (
	"math"

	"stillhand/coach"
)

// taste is what a reader pays for.
type taste struct {
	move, perMM, hurry, cross, open, little, height, out, whim float64
}

// node is one way to play one note of the page.
type node struct {
	place coach.Place
	pos   int
	cost  float64
	from  int
}

// read fingers the page some notes ahead by what costs least to this player,
// and plays a few notes of the plan before the next look.
func (p *player) read(n int) []step {
	events := p.written(n)
	t := taste{
		move:   p.between(1, 2.6),
		perMM:  p.between(0.008, 0.03),
		hurry:  p.between(0, 2.5),
		cross:  p.between(0.05, 0.5),
		open:   1.6 - 2.2*p.hand.open,
		little: p.between(0, 0.35),
		height: p.between(0.03, 0.12),
		out:    pick(p.r, 8, 12, 20.0),
		whim:   p.between(0, 0.5),
	}
	look, play := 4+p.r.IntN(6), 1+p.r.IntN(3)
	score := make([]step, 0, len(events))
	for len(score) < len(events) {
		i := len(score)
		plan := p.plan(score, events[i:min(i+look, len(events))], t)
		for k, x := range plan[:min(play, len(plan))] {
			e := events[i+k]
			score = append(score, step{place: x.place, pos: x.pos, beat: e.beat, length: e.length, phrase: e.phrase})
		}
	}
	p.slides(score, p.hand.ornament)
	return score
}

// plan is the cheapest way through the notes from where the score stands.
func (p *player) plan(score []step, notes []event, t taste) []node {
	start := node{pos: p.hand.home, place: coach.Place{String: 3, Fret: p.hand.home}}
	due := notes[0].beat - 4
	if len(score) > 0 {
		last := score[len(score)-1]
		start, due = node{place: last.place, pos: last.pos}, last.beat
	}
	layers := [][]node{{start}}
	for _, e := range notes {
		before := layers[len(layers)-1]
		time := (e.beat - due) * 60 / p.touch.bpm
		due = e.beat
		var layer []node
		for _, pl := range p.neck.Places(nil, e.pitch) {
			lo, hi := pl.Fret-p.width, pl.Fret+1
			if pl.Fret == 0 {
				lo, hi = 1, p.last
			}
			for pos := max(lo, 1); pos <= min(hi, p.last); pos++ {
				own := t.height * math.Abs(float64(pos-p.hand.home))
				switch off := pl.Fret - pos; {
				case pl.Fret == 0:
					own = t.open + 2*(1-p.lowHand(pos))
				case off < 0 || off >= p.width:
					own += t.out
				case off == p.width-1:
					own += t.little
				}
				own += t.whim * p.r.Float64()
				if pl.Fret > p.hand.top {
					own += 3
				}
				best := node{place: pl, pos: pos, cost: math.Inf(1)}
				for j, b := range before {
					if pl.Fret == 0 && b.pos != pos {
						continue
					}
					c := b.cost + own + t.cross*float64(abs(pl.String-b.place.String))
					if b.pos != pos {
						mm := p.travel(b.pos, pos)
						need := p.touch.leave + p.touch.perRoot*math.Sqrt(mm)
						m := t.move + t.perMM*mm
						if b.place.Fret == 0 {
							m *= 0.6
						} else if have := 0.6 * time; have < need {
							m += t.hurry * (need - have) / need
						}
						c += m
					}
					if c < best.cost {
						best.cost, best.from = c, j
					}
				}
				if !math.IsInf(best.cost, 1) {
					layer = append(layer, best)
				}
			}
		}
		layers = append(layers, layer)
	}
	end := len(layers) - 1
	k := 0
	for j, x := range layers[end] {
		if x.cost < layers[end][k].cost {
			k = j
		}
	}
	plan := make([]node, end)
	for i := end; i >= 1; i-- {
		plan[i-1] = layers[i][k]
		k = layers[i][k].from
	}
	return plan
}
