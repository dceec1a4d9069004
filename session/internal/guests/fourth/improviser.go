package fourth

import (
	"math"

	"stillhand/coach"
)

// improvise stays while the note lies under the hand and moves the least
// otherwise, now and then a fret further than it must.
func (p *player) improvise(n int) []event {
	line := p.newTune().write(n)
	opens := p.between(0, 1)
	if p.chance(0.3) {
		opens = 0
	}
	over, cross := p.between(0, 0.2), p.between(0.05, 0.4)
	hand := stance{p.within(1, 7), coach.Place{String: 3}}
	for i := range line {
		best := p.choose(line[i].pitch, 17, func(place coach.Place) (int, float64) {
			cost := cross * apart(place.String, hand.place.String)
			if place.Fret == 0 {
				if !p.chance(opens) {
					cost += 20
				}
				return hand.position, cost + 0.3
			}
			to := p.reach(hand.position, place.Fret)
			if to != hand.position {
				cost += 3 + apart(to, hand.position)
			}
			return to, cost
		})
		if fret := best.place.Fret; best.position != hand.position && p.chance(over) {
			if best.position > hand.position && best.position < fret {
				best.position++
			} else if best.position < hand.position && best.position > max(1, fret-p.width+1) {
				best.position--
			}
		}
		hand = best
		line[i].stance = hand
	}
	return line
}

// reaction is how a hand that reacts takes a note, and where it lands when it
// must move.
type reaction struct {
	opens    float64 // share of open strings taken where there is a choice
	up, down int     // offset of the finger that lands on a higher or lower note
	least    float64 // share of moves that go no further than they must
	same     float64 // liking for the string
	stretch  float64 // share of notes next to the window that are reached for
	top      int     // highest fret
}

// improviseFreely reacts too, but each player has a way to land: on a favoured
// finger, on the same string or at the nearest place.
func (p *player) improviseFreely(n int) []event {
	line := p.newPiece().write(n)
	l := reaction{
		opens: pick(p, 0, 0.3, 0.9),
		up:    p.within(0, 1), down: p.width - 1 - p.within(0, 1),
		least: p.between(0, 0.7), same: p.between(0, 1.5), stretch: p.between(0, 0.04),
		top: p.within(10, 17),
	}
	hand := stance{p.within(1, 8), coach.Place{String: 3}}
	for i := range line {
		hand = p.react(hand, line[i].pitch, l)
		line[i].stance = hand
	}
	return line
}

// react is how hand goes on to pitch.
func (p *player) react(hand stance, pitch int, l reaction) stance {
	if len(p.places(pitch, l.top)) == 0 { // beyond what the player likes: on the highest string
		fret := pitch - p.neck.Open[0]
		return stance{fret, coach.Place{String: 1, Fret: fret}}
	}
	next := p.choose(pitch, l.top, func(place coach.Place) (int, float64) {
		fret, strings := place.Fret, apart(place.String, hand.place.String)
		switch {
		case fret == 0 && (pitch == lowest || p.chance(l.opens)):
			return hand.position, 0.2*strings - 0.1
		case fret == 0:
			return hand.position, math.Inf(1)
		case p.covers(hand.position, fret):
			return hand.position, 0.2 * strings
		case p.outside(hand.position, fret) && p.chance(l.stretch):
			return hand.position, 0.2*strings + 0.5
		}
		to := p.reach(hand.position, fret)
		return to, 3 + apart(to, hand.position) + l.same*strings
	})
	if next.position != hand.position {
		next.position = p.land(hand.position, next.place.Fret, l)
	}
	return next
}

// land is where the hand goes from position to play fret outside of its window.
func (p *player) land(position, fret int, l reaction) int {
	switch {
	case p.chance(l.least):
		return p.reach(position, fret)
	case fret < position:
		return max(1, fret-l.down)
	}
	return max(1, fret-l.up)
}
