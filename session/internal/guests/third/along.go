package third

import "stillhand/coach"

// along plays runs on one string. Most inch on by as little as the note asks; some
// turn the hand over (upwards the first finger lands, downwards the last) and
// some drag one finger.
// Between two runs (about a third of the notes) they play a little in position.
func (p *player) along(n int) []step {
	events := p.rhythm(n)
	full := pick(p.r, 0, 0.1, 0.25, 0.5) // chance to turn the whole hand over
	one := pick(p.r, 0, 0.05, 0.2)       // chance to stay on the finger just used
	leap, turn := p.between(0.02, 0.08), p.between(0.08, 0.3)
	again, drone := p.between(0.08, 0.3), p.hand.open*p.between(0, 0.1)
	linger := p.between(0.3, 0.6) // chance to stay with what lies under the hand
	patience := 8 + p.r.IntN(12)
	rests := p.between(0.6, 1)               // chance of a passage in position between two runs
	position := 0                            // notes of it left
	favourite := pick(p.r, 1, 1, 2, 3, 4, 4) // melodies on top, riffs below
	str := favourite
	fret := func(pitch int) int { return pitch - p.neck.Open[str-1] }
	at := p.nearest(p.neck.Open[str-1] + p.hand.home + 2)
	pos, _ := p.reach(p.hand.home, max(1, fret(at)))
	dir, left := 1, patience
	var notes []coach.Place
	k, side := 0, 1
	score := make([]step, 0, len(events))
	for _, e := range events {
		add := func(f int) {
			score = append(score, step{place: coach.Place{String: str, Fret: f}, pos: pos, beat: e.beat, length: e.length, phrase: e.phrase})
		}
		if left--; left < 0 { // another string near where the hand is
			if str == favourite {
				str = min(max(str+pick(p.r, -1, 1), 1), p.neck.Strings())
			} else {
				str = favourite
			}
			left = patience/2 + p.r.IntN(patience)
			at = p.nearest(p.neck.Open[str-1] + pos + p.r.IntN(p.width))
			if p.chance(rests) {
				position = 4 + p.r.IntN(10)
				notes = p.box(pos, 0.02)
				k = p.r.IntN(len(notes))
			}
		}
		if position > 0 { // across the strings before the next run
			position--
			if k == 0 || k == len(notes)-1 || p.chance(0.1) {
				side = -side
			}
			left++
			k = min(max(k+side*pick(p.r, 1, 1, 2, 2, 3), 0), len(notes)-1)
			score = append(score, step{place: notes[k], pos: pos, beat: e.beat, length: e.length, phrase: e.phrase})
			continue
		}
		if p.chance(drone) && p.inScale(p.neck.Open[str-1]) {
			add(0)
			continue
		}
		switch {
		case p.chance(again):
		case p.chance(linger):
			if f := pos + p.r.IntN(p.width); p.inScale(p.neck.Open[str-1] + f) {
				at = p.neck.Open[str-1] + f
			}
		case p.chance(leap):
			at = p.degree(at, dir*pick(p.r, 2, 3, 4))
		default:
			if p.chance(turn) {
				dir = -dir
			}
			at = p.degree(at, dir)
		}
		for fret(at) > p.hand.top {
			dir = -1
			at = p.degree(at, -2)
		}
		for fret(at) < 1 {
			dir = 1
			at = p.degree(at, 1)
		}
		f := fret(at)
		if !p.covers(pos, f) {
			to, _ := p.reach(pos, f)
			switch out := f - pos; {
			case (out == p.width || out == -1) && p.chance(p.hand.stretch):
				to = pos
			case p.chance(one) && len(score) > 0:
				last := score[len(score)-1]
				if k := last.place.Fret - last.pos; last.place.Fret > 0 && k >= 0 && k < p.width {
					to = f - k
				}
			case p.chance(full) && f > pos:
				to = f
			case p.chance(full) && f < pos:
				to = f - p.width + 1
			}
			pos = min(max(to, 1), p.last)
		}
		add(f)
	}
	p.slides(score, max(p.hand.ornament*2, one/2))
	return score
}
