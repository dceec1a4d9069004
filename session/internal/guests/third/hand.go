package third

import (
	"math"
	"slices"

	"stillhand/coach"
)

// covers reports whether the hand at pos plays fret without leaving.
func (p *player) covers(pos, fret int) bool { return fret >= pos && fret < pos+p.width }

// reach is how far the hand at pos must go, in mm, to play fret, and where it
// then is: the least movement.
func (p *player) reach(pos, fret int) (int, float64) {
	to := pos
	switch {
	case fret < pos:
		to = fret
	case fret >= pos+p.width:
		to = fret - p.width + 1
	}
	to = min(max(to, 1), p.last)
	return to, p.travel(pos, to)
}

// travel is the first finger's way in mm.
func (p *player) travel(from, to int) float64 {
	return math.Abs(p.neck.FretMM(to) - p.neck.FretMM(from))
}

// settle fingers one pitch with a hand that is at pos and last played string
// str: it stays where it reaches, else it goes where it must.
func (p *player) settle(pitch, pos, str int) (coach.Place, int) {
	var buf [8]coach.Place
	places := p.neck.Places(buf[:0], pitch)
	// Open strings are a habit, asked once.
	likesOpen := p.chance(p.hand.open * p.lowHand(pos))
	best, at, cost := coach.Place{}, pos, math.Inf(1)
	for _, pl := range places {
		if pl.Fret > p.hand.top && len(places) > 1 && best.String != 0 {
			continue
		}
		to, c := pos, 0.0
		if pl.Fret == 0 {
			if !likesOpen {
				c = 60 // mm that it would rather go
			}
		} else {
			var mm float64
			to, mm = p.reach(pos, pl.Fret)
			if mm > 0 {
				c = 25 + mm + 5*math.Abs(float64(to-p.hand.home))
			}
		}
		if str > 0 {
			c += 8 * p.hand.cross * math.Abs(float64(pl.String-str))
		}
		if c < cost {
			best, at, cost = pl, to, c
		}
	}
	if at == pos {
		return best, pos
	}
	out := best.Fret - pos
	if (out == p.width || out == -1) && p.chance(p.hand.stretch) {
		return best, pos
	}
	if p.chance(p.hand.favour) {
		if to := best.Fret - p.hand.finger; to >= 1 && to <= p.last {
			at = to
		}
	}
	return best, at
}

// lowHand is 1 where open strings lie at hand and falls further up.
func (p *player) lowHand(pos int) float64 {
	return 1 / (1 + math.Exp(float64(pos)-5.5))
}

// held reports whether the hand at pos has the pitch, open strings as liked.
func (p *player) held(pitch, pos int) bool {
	return p.holdsFretted(pitch, pos) || p.hand.open*p.lowHand(pos) > 0.4 && slices.Contains(p.neck.Open, pitch)
}

func (p *player) holdsFretted(pitch, pos int) bool {
	for s := 1; s <= p.neck.Strings(); s++ {
		if f, ok := p.neck.Fret(pitch, s); ok && p.covers(pos, f) {
			return true
		}
	}
	return false
}

// slides marks shifts along one string that this player slides.
func (p *player) slides(score []step, share float64) {
	for i := 1; i < len(score); i++ {
		a, b := score[i-1], score[i]
		if a.pos != b.pos && a.place.String == b.place.String && a.place.Fret > 0 && b.place.Fret > 0 &&
			a.place.Fret-a.pos == b.place.Fret-b.pos && b.beat-a.beat <= 1 && a.length >= 0.9*(b.beat-a.beat) && p.chance(share) {
			score[i].slid = true
		}
	}
}
