package third

import "math"

// walk plays a bar at a time: the player sees the bar and the root after it, takes
// the position that holds most of it for the least way, and reaches for the
// rest.
func (p *player) walk(n int) []step {
	events := p.walking(n)
	plans := p.between(0.3, 1)
	ahead := p.chance(0.5) // moves already with the approach note
	miss := p.between(18, 50)
	p.hand.home = pick(p.r, 1, 1, 2, 3, 5)
	p.hand.open = pick(p.r, 0.2, 0.6, 0.85, 0.95)
	pos, str, want := p.hand.home, 3, 0
	var score []step
	group := func(e event) int {
		if ahead {
			return int(e.beat+1) / 4
		}
		return e.bar
	}
	for i, e := range events {
		if i == 0 || group(e) != group(events[i-1]) && p.chance(plans) {
			end := i
			for end < len(events) && group(events[end]) == group(e) {
				end++
			}
			end = min(end+1, len(events))
			best, cost := pos, math.Inf(1)
			for q := 1; q <= min(p.last, p.hand.top-p.width+1); q++ {
				c := p.travel(pos, q) * 0.6
				if q != pos {
					c += 22
				}
				c += 7 * math.Abs(float64(q-p.hand.home))
				for k, f := range events[i:end] {
					if !p.held(f.pitch, q) {
						c += miss
						if k == 0 {
							c += 40
						}
					}
				}
				if c < cost {
					best, cost = q, c
				}
			}
			want = best
		}
		from := pos
		if want > 0 && p.holdsFretted(e.pitch, want) {
			from = want
		}
		pl, to := p.settle(e.pitch, from, str)
		if pl.Fret > 0 { // while an open string sounds, the plan waits
			pos, want = to, 0
		}
		str = pl.String
		score = append(score, step{place: pl, pos: pos, beat: e.beat, length: e.length, phrase: e.phrase})
	}
	p.slides(score, p.hand.ornament/2)
	return score
}
