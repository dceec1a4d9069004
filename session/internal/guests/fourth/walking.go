package fourth

import (
	"math"
	"slices"

	"stillhand/coach"
)

// walk chooses a place for each bar, the nearest that holds most of it; what
// lies outside is fetched by the least move.
func (p *player) walk(n int) []event {
	form := p.IntN(forms)
	line := strides{p, lowest, lowest + p.within(17, 24), p.between(0.5, 1.5), p.between(0, 0.15)}.write(n, form)
	open := pick(p, 0.15, 1.2, 3)
	pull, cross := p.between(0.15, 0.5), p.between(0.05, 0.3)
	home := p.within(1, 6)
	hand := stance{home, coach.Place{String: 3}}
	for from := 0; from < n; from += 4 {
		bar := line[from:min(from+4, n)]
		hand.position = p.stand(bar, hand.position, home, pull, open)
		for i := range bar {
			hand = p.choose(bar[i].pitch, 15, func(place coach.Place) (int, float64) {
				cost := cross * apart(place.String, hand.place.String)
				if place.Fret == 0 {
					return hand.position, cost + open
				}
				to := p.reach(hand.position, place.Fret)
				if to != hand.position {
					cost += 1.5 + apart(to, hand.position)
				}
				return to, cost
			})
			bar[i].stance = hand
		}
	}
	return line
}

// stand is where the hand at position is best for bar.
func (p *player) stand(bar []event, position, home int, pull, open float64) int {
	best, least := position, math.Inf(1)
	for to := 1; to <= 12; to++ {
		cost := pull*apart(to, position) + 0.05*apart(to, home)
		if to != position {
			cost += 0.8
		}
		for _, e := range bar {
			miss := 3.0
			for _, place := range p.places(e.pitch, p.neck.Frets) {
				switch {
				case place.Fret == 0:
					miss = min(miss, open)
				case p.covers(to, place.Fret):
					miss = 0
				}
			}
			cost += miss
		}
		if cost < least {
			best, least = to, cost
		}
	}
	return best
}

// patterns are figures over a root, in semitones of a dominant chord.
var patterns = [][]int{{0, 4, 7, 9, 10, 9, 7, 4}, {0, 7, 12, 7}, {0, 0, 7, 9}, {0, 4, 7, 12}, {0, 7}, {0, 3, 5, 6, 7, 10}}

// chordal is a hand that takes each chord by its shape.
type chordal struct {
	*player
	open    float64 // cost of an open string
	back    float64 // share of notes fetched from outside after which it goes back
	lazy    float64 // share of chords that it stays for where it holds them
	stretch float64 // share of notes next to the window that are reached for
}

// walkFreely walks, skips, or plays patterns; the hand goes with the chords.
func (p *player) walkFreely(n int) []event {
	form := p.IntN(forms)
	high := lowest + p.within(18, 26)
	skips := p.between(0, 0.25)
	var line []event
	if p.IntN(3) < 2 {
		line = p.skipped(strides{p, lowest, high, p.between(0.5, 2), p.between(0, 0.25)}.write(n, form), skips)[:n]
	} else {
		line = p.patterned(n, form, high)
	}
	c := chordal{p, pick(p, -0.2, 0.5, 2), p.between(0, 1), p.between(0, 0.7), p.between(0, 0.15)}
	hand := stance{p.within(1, 6), coach.Place{String: 3}}
	home := hand.position
	for i, e := range line {
		if i == 0 || e.over != line[i-1].over {
			hand.position = c.take(line[i:min(i+4, n)], hand.position)
			home = hand.position
		} else if hand.position != home && p.chance(c.back) && p.holds(home, e.pitch) {
			hand.position = home
		}
		hand = c.play(e.pitch, hand)
		line[i].stance = hand
	}
	return line
}

// skipped repeats such a share of notes on the last third of their beat.
func (p *player) skipped(line []event, share float64) []event {
	var all []event
	for _, e := range line {
		if !p.chance(share) {
			all = append(all, e)
			continue
		}
		again := e
		e.beats, again.beats = 2./3, 1./3
		all = append(all, e, again)
	}
	return all
}

// patterned is n eighths of patterns over the changes of form.
func (p *player) patterned(n, form, high int) []event {
	changes, pattern := p.changes(form), pick(p, patterns...)
	var line []event
	for i := 0; len(line) < n; i++ {
		c := changes[i%len(changes)]
		if i%len(changes) == 0 && p.chance(0.4) {
			pattern = pick(p, patterns...)
		}
		root := lowest + class(c.root-lowest)
		for eighth := range 2 * c.beats {
			pitch := root + c.quality.bent(pattern[eighth%len(pattern)])
			for pitch > high {
				pitch -= 12
			}
			line = append(line, event{pitch: pitch, beats: 0.5, over: c.harmony})
		}
	}
	return line[:n]
}

// bent is what a tone of a dominant chord is in a chord of quality q.
func (q quality) bent(tone int) int {
	switch {
	case tone == 4 && (q == minor || q == diminished):
		return 3
	case tone == 7 && q == diminished:
		return 6
	}
	return tone
}

// holds reports whether the hand at position stops pitch somewhere.
func (p *player) holds(position, pitch int) bool {
	for _, place := range p.places(pitch, p.neck.Frets) {
		if place.Fret > 0 && p.covers(position, place.Fret) {
			return true
		}
	}
	return false
}

// take is where the hand at position goes for a chord, of which it sees the next
// notes: the root comes under the first finger, or under the second where the
// chord is major.
func (c chordal) take(next []event, position int) int {
	holdsAll := true
	for _, e := range next {
		open := c.open < 1 && slices.Contains(c.neck.Open, e.pitch)
		holdsAll = holdsAll && (open || c.holds(position, e.pitch))
	}
	if holdsAll && c.chance(c.lazy) {
		return position
	}
	finger, quality := 0, next[0].over.quality
	if quality == major || quality == dominant && c.chance(0.5) {
		finger = 1
	}
	best, least := position, math.Inf(1)
	for _, place := range c.places(next[0].pitch, 13) {
		if place.String == 1 || place.Fret == 0 {
			continue
		}
		to := max(1, place.Fret-finger)
		if cost := apart(to, position) + 0.3*float64(to) + 0.5*c.Float64(); cost < least {
			best, least = to, cost
		}
	}
	return best
}

// play is how hand goes on to pitch.
func (c chordal) play(pitch int, hand stance) stance {
	return c.choose(pitch, 17, func(place coach.Place) (int, float64) {
		cost := 0.15 * apart(place.String, hand.place.String)
		switch {
		case place.Fret == 0:
			return hand.position, cost + c.open
		case c.covers(hand.position, place.Fret):
			return hand.position, cost
		case c.outside(hand.position, place.Fret) && c.chance(c.stretch):
			return hand.position, cost + 0.6
		}
		to := c.reach(hand.position, place.Fret)
		return to, cost + 1.5 + apart(to, hand.position)
	})
}
