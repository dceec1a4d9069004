package second

import "math/rand/v2"

// improviser plays what comes to mind; the hand follows when it must. How much
// the mind follows the hand is private.
type improviser struct {
	*player
	comp  *composer
	shape float64 // chance to bend an idea to what lies under the hand
	drop  float64 // chance, at a breath, to let the hand fall back home
}

func newImproviser(p *player, r *rand.Rand) *improviser {
	m := &improviser{player: p}
	lo, hi := p.compass(r)
	switch r.IntN(5) {
	case 0: // crawls: the least move, whatever the string
		p.landUp, p.landDown, p.crossing = -1, -1, max(p.crossing, 0.2)
		m.shape = 0.1
	case 1: // leads with the index finger, all over the neck
		p.landUp, p.landDown = 0, 0
		m.shape = 0.3
		hi += 3
	case 2: // thinks in shapes and rarely leaves them
		m.shape = 0.75
		p.landUp = min(1, p.width-2)
	case 3: // stretches, then goes; likes one string
		p.extend, p.crossing = 0.1, 2
		m.shape = 0.4
	default: // low and plain, falls home at every breath
		p.home, m.drop, m.shape = from(r, 1, 3), 0.6, 0.4
		lo, hi = 28, 46
	}
	p.at = p.home
	m.comp = newComposer(p, r, lo, hi)
	m.comp.lift = between(r, 0, 0.03)
	return m
}

func (m *improviser) play(n int) []step {
	notes := m.comp.line(n)
	for i := range notes {
		s := &notes[i]
		if s.breath && i > 0 && chance(m.hand, m.drop) && abs(m.at-m.home) > 3 {
			m.at = m.home // it hangs loose there; the next note finds it so
		}
		if _, ok := m.inWindow(m.at, s.pitch); !ok && chance(m.hand, m.shape) {
			s.pitch = m.bent(s.pitch)
		}
		m.react(s)
	}
	return notes
}

// bent is a note of the key under the hand, at most three semitones off, or
// the pitch as it was.
func (m *improviser) bent(pitch int) int {
	best, d := pitch, 4
	for _, t := range m.comp.tones {
		if _, ok := m.inWindow(m.at, t); ok && abs(t-pitch) < d {
			best, d = t, abs(t-pitch)
		}
	}
	return best
}
