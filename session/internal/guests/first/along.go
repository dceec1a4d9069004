package first

import "stillhand/coach"

// along plays up and down one string for a while, then another.
func (p *player) along(n int) []note {
	fresh := p.in(0.05, 0.5) // chance that a shift lays out the whole window ahead
	if p.chance(0.3) {
		fresh = 0
	}
	turn := p.in(0.15, 0.45)
	leap := p.in(0, 0.12)
	dwell := p.in(0.6, 0.88) // chance of staying under the hand rather than going on
	touch := p.in(0.05, 0.5) // chance of the neighbour string under the hand
	stay := 8 + p.rng.IntN(30)
	end := min(p.top+p.width-1, 6+p.rng.IntN(7)) // last fret of the string in use
	first := p.chance(0.2)                       // always lands on the first finger
	beat := p.rhythm()
	k := p.newKey()
	str := 1 + p.pick([]float64{0.3, 0.07, 0.13, 0.5})
	pos := p.home
	fret := pos
	dir := 1
	left := stay
	notes := make([]note, 0, n)
	for len(notes) < n {
		nt := note{beats: beat()}
		if left--; left <= 0 {
			left = stay/2 + p.rng.IntN(stay)
			if str += 1 - 2*p.rng.IntN(2); str < 1 {
				str = 2
			} else if str > p.neck.Strings() {
				str = p.neck.Strings() - 1
			}
			if p.chance(0.15) {
				k = p.newKey()
			}
			if p.chance(0.5) && len(notes) > 0 {
				last := &notes[len(notes)-1]
				last.rest = 1
				last.beats++
			}
		}
		if p.chance(turn) {
			dir = -dir
		}
		steps := 1
		if p.chance(leap) {
			steps = 2 + p.rng.IntN(3)
		}
		if p.chance(0.08) {
			steps = 0
		}
		open := p.neck.Open[str-1]
		to := k.step(open+fret, dir*steps) - open
		if to > end || to < 1 {
			dir = -dir
			to = k.step(open+fret, dir*steps) - open
		}
		to = max(1, min(to, end))
		if to >= 1 && p.reach(pos, to) != 0 && p.chance(dwell) {
			dir = -dir
			for range 3 {
				if back := fret - 1 - p.rng.IntN(p.width) + p.width/2; back > 0 && k.in(open+back) && p.reach(pos, back) == 0 {
					to = back
					break
				}
				to = fret
			}
		}
		if near := str + 1 - 2*p.rng.IntN(2); near >= 1 && near <= p.neck.Strings() && p.chance(touch) {
			pl := coach.Place{String: near, Fret: pos + p.sys.Fingers[p.rng.IntN(len(p.sys.Fingers))].Offset}
			if k.in(p.neck.Pitch(pl)) {
				nt.place, nt.pos = pl, pos
				notes = append(notes, nt)
				continue
			}
		}
		if p.open > 0.4 && p.chance(p.open*0.08) {
			nt.place, nt.pos = coach.Place{String: str}, pos
			notes = append(notes, nt)
			continue
		}
		fret = to
		m := p.reach(pos, fret)
		if (m == 1 || m == -1) && p.chance(p.extend*4) {
			m = 0
		} else if m != 0 {
			pos += m
			switch {
			case first:
				pos = fret
			case p.chance(fresh) && dir > 0:
				pos = fret
			case p.chance(fresh) && dir < 0:
				pos = fret - p.width + 1
			}
			pos = p.clamp(pos)
		}
		nt.place, nt.pos = coach.Place{String: str, Fret: fret}, pos
		notes = append(notes, nt)
	}
	return notes
}
