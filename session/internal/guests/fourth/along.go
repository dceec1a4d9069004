package fourth

import (
	"math"

	"stillhand/coach"
)

// along plays scales along one string: a note above the hand is taken with the
// first finger, one below with the last.
func (p *player) along(n int) []event {
	k := p.newKey()
	str, top := 1+p.IntN(4), p.within(11, 17)
	opens := pick(p, 0, 0, 0.5, 1)
	rests := p.between(0.2, 0.7)
	stay := p.within(20, 60)
	position := p.within(2, 7)
	hand := stance{position, coach.Place{Fret: position}}
	left := stay
	var line []event
	for len(line) < n {
		hand.place.String = str
		open := p.neck.Open[str-1]
		ladder := k.ladder(open+1, open+top)
		if opens > 0 {
			ladder = k.ladder(open, open+top)
		}
		phrase := p.climb(hand, ladder, opens, n-len(line))
		hand = phrase[len(phrase)-1].stance
		line = append(line, phrase...)
		p.breathe(line, rests, 0.5)
		if left -= len(phrase); left <= 0 {
			left = stay
			str = p.beside(str)
		}
	}
	return line
}

// climb is a phrase of at most n notes on the hand's string. The open string is
// played for the share opens of the times that it is come upon.
func (p *player) climb(hand stance, ladder []int, opens float64, n int) []event {
	open := p.neck.Open[hand.place.String-1]
	at := nearest(ladder, p.neck.Pitch(hand.place))
	phrase := make([]event, min(n, p.within(4, 14)))
	direction := 1
	if at > len(ladder)*2/3 || at > len(ladder)/3 && p.chance(0.5) {
		direction = -1
	}
	style := p.weighed(1, 0.6, 0.7, 1)
	for i := range phrase {
		if ladder[at] == open && !p.chance(opens) {
			at, direction = 1, 1
		}
		fret := ladder[at] - open
		switch {
		case fret == 0:
		case fret >= hand.position+p.width:
			hand.position = fret
		case fret < hand.position:
			hand.position = max(1, fret-p.width+1)
		}
		hand.place.Fret = fret
		phrase[i] = p.played(hand, 0.5)
		step := direction
		switch style {
		case 0:
		case 1:
			step *= thirds[i%2]
		case 2:
			step = pick(p, -1, 1, direction)
		case 3: // turns round in the hand before going on
			next := at + step
			if (next < 0 || next >= len(ladder) || !p.covers(hand.position, ladder[next]-open)) && p.chance(0.75) {
				direction = -direction
				step = direction
			}
		}
		at, direction = turned(at+step, direction, len(ladder))
	}
	return phrase
}

// beside is a string next to str, or str itself at the edge of the neck.
func (p *player) beside(str int) int {
	return min(max(str+pick(p, -1, 1), 1), p.neck.Strings())
}

// manner is how a singer's hand goes along a string.
type manner int

const (
	foreseeing manner = iota // it goes where the next notes lie
	landing                  // on any finger
	pointing                 // one finger plays, at most with its neighbour
)

// singer carries motifs up and down a string.
type singer struct {
	*player
	key
	manner     manner
	finger     int // offset of the one that points
	ahead      int // notes foreseen
	favourites []float64
	str, top   int
	pedal      float64 // share of notes before which an open string is struck
	drone      int     // that string
}

// alongFreely sings motifs along a string, some with an open pedal.
func (p *player) alongFreely(n int) []event {
	s := singer{player: p, key: p.newKey(), favourites: p.newFavourites(), str: 1 + p.IntN(4), top: p.within(10, 17)}
	s.pedal = pick(p, 0, 0, 0.25, 0.5)
	s.drone = s.lower()
	s.manner = manner(p.weighed(0.45, 0.35, 0.2))
	s.finger = p.IntN(p.width)
	s.ahead = p.within(2, 5)
	position := p.within(2, 8)
	fret, stay, changed := position, p.within(24, 100), 0
	var line []event
	for len(line) < n {
		if len(line)-changed > stay {
			s.str = p.beside(s.str)
			s.drone = s.lower()
			changed = len(line)
		}
		phrase := s.sing(fret)
		position, fret = s.lay(phrase, position, fret)
		line = append(line, phrase...)
		p.breathe(line, 0.5, 0.5)
	}
	return line[:n]
}

// lower is the singer's string or the one below.
func (s *singer) lower() int { return min(s.str+s.IntN(2), s.neck.Strings()) }

// sing is a motif, begun near fret and carried along the string.
func (s *singer) sing(fret int) []event {
	open := s.neck.Open[s.str-1]
	ladder := s.ladder(open+1, open+s.top)
	rhythm := s.rhythm(s.favourites, float64(s.within(2, 4)))
	motif := make([]int, len(rhythm))
	for i := 1; i < len(motif); i++ {
		motif[i] = motif[i-1] + []int{-3, -2, -1, 0, 1, 2, 3}[s.weighed(0.3, 0.8, 3, 0.4, 3, 0.8, 0.3)]
	}
	at, direction := nearest(ladder, open+fret), pick(s.player, -1, 1)
	var phrase []event
	for left := s.within(1, 4); left > 0; left-- {
		for i, beats := range rhythm {
			pitch := ladder[folded(at+motif[i], len(ladder))]
			if s.chance(s.pedal) && beats >= 0.5 {
				beats /= 2
				phrase = append(phrase, s.played(stance{place: coach.Place{String: s.drone}}, beats))
			}
			phrase = append(phrase, s.played(stance{place: coach.Place{String: s.str, Fret: pitch - open}}, beats))
		}
		at += direction * s.within(1, 2)
		if at < 0 || at >= len(ladder) {
			at = len(ladder) / 2
		}
	}
	return phrase
}

// lay leads the hand at position through a phrase. It returns where that ends,
// and the last fret stopped, before it fret.
func (s *singer) lay(phrase []event, position, fret int) (int, int) {
	for i := range phrase {
		if f := phrase[i].place.Fret; f > 0 {
			fret = f
			position = s.hold(phrase, i, position)
		}
		phrase[i].position = position
	}
	return position, fret
}

// hold is where the hand at position plays note i of phrase, which is stopped.
func (s *singer) hold(phrase []event, i, position int) int {
	fret := phrase[i].place.Fret
	switch {
	case s.manner == pointing:
		if s.covers(position, fret) && abs(fret-position-s.finger) <= 1 && s.chance(0.5) {
			return position
		}
		return max(1, fret-s.finger)
	case s.covers(position, fret):
		return position
	}
	best, least := fret, math.Inf(1)
	for to := max(1, fret-s.width+1); to <= fret; to++ {
		var cost float64
		if s.manner == landing {
			cost = s.Float64()
		} else {
			cost = 0.08*apart(to, position) + s.beyond(phrase[i+1:], to)
		}
		if cost < least {
			best, least = to, cost
		}
	}
	return best
}

// beyond counts the stopped notes foreseen that the hand at position does not hold.
func (s *singer) beyond(next []event, position int) float64 {
	seen, out := 0, 0.0
	for _, e := range next {
		if e.place.Fret == 0 {
			continue
		}
		if seen++; seen > s.ahead {
			break
		}
		if !s.covers(position, e.place.Fret) {
			out++
		}
	}
	return out
}
