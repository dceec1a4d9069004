package fourth

import "math"

// plan is what a hand that looks ahead pays for, and how far it looks.
type plan struct {
	look     int // notes ahead
	commit   int // notes played before it looks again
	move     float64
	fret     float64 // of a move
	cross    float64 // to another string
	skip     float64 // for each string crossed beyond the first
	open     float64 // less than 0 for who likes open strings
	away     float64 // for each fret from home
	home     int
	relief   float64 // share of a move that a rest pays for
	little   float64 // for the last finger
	whim     float64 // mean of a cost drawn for each way to play a note
	schooled func(e event, s stance) float64
}

// topPosition is up to where a planned hand goes while the notes let it.
const topPosition = 14

// spot is one way to play one note.
type spot struct {
	stance
	whim float64
	cost float64 // of the best way to here
	from int     // spot of the note before on it
}

// finger plays line by what costs least as far as the player looks.
func (p *player) finger(line []event, pl plan) {
	spots := make([][]spot, len(line))
	for i, e := range line {
		spots[i] = p.spots(e.pitch, topPosition)
		if len(spots[i]) == 0 {
			spots[i] = p.spots(e.pitch, p.neck.Positions(p.width))
		}
		for j := range spots[i] {
			spots[i][j].whim = pl.whim * p.ExpFloat64()
		}
	}
	for i := 0; i < len(line); {
		end := min(i+pl.look+1, len(line))
		for k := i; k < end; k++ {
			for j := range spots[k] {
				s := &spots[k][j]
				s.cost, s.from = 0, 0
				switch {
				case k > i:
					s.cost, s.from = p.cheapest(pl, line[k-1], spots[k-1], s.stance)
				case i > 0:
					s.cost = pl.change(line[i-1], line[i-1].stance, s.stance)
				}
				s.cost += p.effort(pl, line[k], *s)
			}
		}
		best := 0
		for j, s := range spots[end-1] {
			if s.cost < spots[end-1][best].cost {
				best = j
			}
		}
		for k := end - 1; k >= i; k-- {
			line[k].stance = spots[k][best].stance
			best = spots[k][best].from
		}
		i = min(i+pl.commit, end)
	}
}

// spots lists the ways to play pitch with the hand no higher than top.
func (p *player) spots(pitch, top int) []spot {
	var all []spot
	for _, place := range p.places(pitch, p.neck.Frets) {
		from, to := max(1, place.Fret-p.width+1), min(place.Fret, top)
		if place.Fret == 0 {
			from, to = 1, top
		}
		for position := from; position <= to; position++ {
			all = append(all, spot{stance: stance{position, place}})
		}
	}
	return all
}

// cheapest is the cost of the best way to s, and the spot of the note e before
// that it comes from.
func (p *player) cheapest(pl plan, e event, before []spot, s stance) (cost float64, from int) {
	cost = math.Inf(1)
	for i, b := range before {
		if c := b.cost + pl.change(e, b.stance, s); c < cost {
			cost, from = c, i
		}
	}
	return cost, from
}

// effort is what s costs by itself.
func (p *player) effort(pl plan, e event, s spot) float64 {
	cost := s.whim + pl.away*apart(s.position, pl.home)
	switch s.place.Fret {
	case 0:
		cost += pl.open
	case s.position + p.width - 1:
		cost += pl.little
	}
	if pl.schooled != nil {
		cost += pl.schooled(e, s.stance)
	}
	return cost
}

// change is what going from a, where e is played, to b costs.
func (pl plan) change(e event, a, b stance) float64 {
	cost := 0.0
	if a.position != b.position {
		cost = pl.move + pl.fret*apart(a.position, b.position)
		if e.rest > 0 {
			cost *= 1 - pl.relief
		}
		if a.place.Fret == 0 { // the string rings meanwhile
			cost *= 0.7
		}
	}
	if crossed := abs(a.place.String - b.place.String); crossed > 0 {
		cost += pl.cross + pl.skip*float64(crossed-1)
	}
	return cost
}
