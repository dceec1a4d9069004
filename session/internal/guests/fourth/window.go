package fourth

import (
	"math"

	"stillhand/coach"
)

// windows chooses a window, plays a phrase in it, and moves on purpose to
// another, anywhere near.
func (p *player) windows(n int) []event {
	k := p.newKey()
	opens := p.chance(0.4)
	shortest, longest := p.within(4, 8), p.within(12, 26)
	rests, reach, long := p.between(0.2, 0.9), p.between(1.5, 5), p.between(0, 0.25)
	position := p.within(1, 9)
	var line []event
	for len(line) < n {
		notes := p.under(position, k, opens)
		if len(notes) < 5 {
			position = p.within(1, 12)
			continue
		}
		at := p.IntN(len(notes))
		if len(line) > 0 {
			at = p.closest(notes, at, line[len(line)-1].pitch)
		}
		line = append(line, p.patrol(notes, at, min(p.within(shortest, longest), n-len(line)), long)...)
		p.breathe(line, rests, 0.5)
		position = p.neighbour(position, reach)
	}
	return line
}

// closest is the index of the note next to pitch, or at if none is nearer.
func (p *player) closest(notes []stance, at, pitch int) int {
	for i, s := range notes {
		if abs(p.neck.Pitch(s.place)-pitch) < abs(p.neck.Pitch(notes[at].place)-pitch) {
			at = i
		}
	}
	return at
}

// patrol is a phrase of n notes of a window, from the note at on.
func (p *player) patrol(notes []stance, at, n int, long float64) []event {
	phrase := make([]event, n)
	direction, style := inward(at, len(notes)), p.IntN(3)
	for i := range phrase {
		beats := 0.5
		if p.chance(long) {
			beats = 1
		}
		phrase[i] = p.played(notes[at], beats)
		switch style {
		case 0:
			at += direction
		case 1:
			at += direction * thirds[i%2]
		case 2:
			at += pick(p, -2, -1, 1, 2, direction)
		}
		at, direction = turned(at, direction, len(notes))
	}
	return phrase
}

// thirds are the steps of a scale in broken thirds.
var thirds = [2]int{2, -1}

// played is the note of a stance.
func (p *player) played(s stance, beats float64) event {
	return event{pitch: p.neck.Pitch(s.place), beats: beats, stance: s}
}

// neighbour is another position than from, the likelier the nearer.
func (p *player) neighbour(from int, reach float64) int {
	for {
		to := from + p.within(-7, 7)
		if to != from && to >= 1 && to <= 13 && p.chance(math.Exp(-(apart(to, from)-1)/reach)) {
			return to
		}
	}
}

// boxes is a hand that knows shapes: boxes of a scale and riffs that it carries
// from root to root.
type boxes struct {
	*player
	position, start int
	favourites      []float64
	returns         float64 // share of moves back to the start
	varies          float64
	stretch         float64 // share of notes at the edge reached for outside of it
	line            []event
}

// windowsFreely plays in boxes of a scale, or carries a shape over roots.
func (p *player) windowsFreely(n int) []event {
	k := p.newKey()
	b := boxes{player: p, favourites: p.newFavourites(), varies: p.between(0.05, 0.35)}
	opens, scales := p.between(0, 0.5), p.between(0.2, 0.8)
	b.stretch, b.returns = p.between(0, 0.02), p.between(0.1, 0.6)
	b.start = 1 + class(k.root-p.neck.Open[3]-1) // the root on the lowest string
	b.start = max(1, b.start-p.within(0, 1))
	b.position = b.start
	for len(b.line) < n {
		if p.chance(scales) {
			notes := p.under(b.position, k, p.chance(opens))
			if len(notes) < 4 {
				b.move()
				continue
			}
			b.roam(notes)
		} else {
			b.carry()
		}
		p.breathe(b.line, 0.4, 0.5)
		b.move()
	}
	return b.line[:n]
}

// roam plays notes of a box for a few bars.
func (b *boxes) roam(notes []stance) {
	at := b.IntN(len(notes))
	for _, beats := range b.rhythm(b.favourites, float64(4*b.within(1, 3))) {
		b.add(notes[at], beats)
		at += []int{-3, -2, -1, 0, 1, 2, 3}[b.weighed(0.3, 1, 3, 0.5, 3, 1, 0.3)]
		at = min(max(at, 0), len(notes)-1)
	}
}

// tone is a note of a shape: strings above its root, and a finger.
type tone struct{ strings, finger int }

// carry plays a shape from a root on a low string, and mostly again from others.
func (b *boxes) carry() {
	rhythm := b.rhythm(b.favourites, 4)
	root, last := b.within(3, 4), b.width-1
	tones := []tone{{0, 0}, {0, last}, {1, 0}, {1, last - 1}, {2, last - 1}, {1, last}, {0, last - 1}, {2, 0}}
	shape := make([]tone, len(rhythm))
	for i := 1; i < len(shape); i++ {
		shape[i] = pick(b.player, tones...)
	}
	for left := b.within(2, 5); left > 0; left-- {
		for i, beats := range rhythm {
			t := shape[i]
			if i > 0 && b.chance(b.varies) {
				t = pick(b.player, tones...)
			}
			b.add(stance{b.position, coach.Place{String: root - t.strings, Fret: b.position + t.finger}}, beats)
		}
		if left > 1 && b.chance(0.6) {
			b.move()
		}
	}
}

// add plays s, or the fret beside it that a finger stretches to.
func (b *boxes) add(s stance, beats float64) {
	if fret := s.place.Fret; fret > 0 && b.chance(b.stretch) {
		if fret == s.position && fret > 1 {
			s.place.Fret--
		} else if fret == s.position+b.width-1 {
			s.place.Fret++
		}
	}
	b.line = append(b.line, b.played(s, beats))
}

// move goes to another position, by such ways as chords are apart.
func (b *boxes) move() {
	ways := []int{-5, -3, -2, -1, 1, 2, 3, 5, 7, -7, 12, -12}
	for from := b.position; b.position == from; {
		to := b.start
		if !b.chance(b.returns) || from == b.start {
			to = from + ways[b.weighed(2, 1.5, 3, 1, 1, 3, 1.5, 2, 1, 1, 0.3, 0.3)]
		}
		if to >= 1 && to <= 14 {
			b.position = to
		}
	}
}
