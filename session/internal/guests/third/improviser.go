package third

import "stillhand/coach"

// improvise sings a line, a step or a leap from the last note, pulled to
// where the hand is; the hand moves only when it must.
func (p *player) improvise(n int) []step {
	events := p.rhythm(n)
	leap, pull, turn := p.between(0.15, 0.4), p.between(0.2, 0.5), p.between(0.05, 0.2)
	again := p.between(0.05, 0.3)
	pos := p.hand.home + p.r.IntN(4)
	str := 2 + p.r.IntN(3)
	at := p.nearest(p.neck.Open[str-1] + pos + 1)
	dir := 1
	score := make([]step, 0, len(events))
	for _, e := range events {
		middle := p.neck.Open[1] + (pos+p.hand.home)/2 - 2
		switch {
		case p.chance(again):
		case p.chance(leap):
			at = p.degree(at, pick(p.r, -7, -5, -4, -3, 3, 4, 5, 7))
		default:
			if p.chance(turn) {
				dir = -dir
			}
			if d := at - middle; (d > 7 || d < -7) && p.chance(pull) {
				dir = 1
				if d > 0 {
					dir = -1
				}
			}
			at = p.degree(at, dir*pick(p.r, 1, 1, 1, 2))
		}
		for at < lowest {
			at += 12
		}
		for at > p.neck.Open[0]+p.hand.top-2 {
			at -= 12
		}
		var pl coach.Place
		pl, pos = p.settle(at, pos, str)
		str = pl.String
		score = append(score, step{place: pl, pos: pos, beat: e.beat, length: e.length, phrase: e.phrase})
	}
	p.slides(score, p.hand.ornament)
	return score
}
