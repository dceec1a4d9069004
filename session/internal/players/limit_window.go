package players

import "stillhand/coach"

// windowModel is a hand that is placed, dwells, and chooses among the notes
// under it. Its chances are exact: nothing is drawn.
type windowModel struct {
	*habits
	window
	pitch  []int           // [note]
	turn   []int           // [note] decisions before it: a note struck with another is none
	next   [][]float64     // [position][position] chances of moving so
	places [][]coach.Place // [position] under the hand
}

func newWindowModel(h *habits, take Take, _ int) model {
	m := &windowModel{habits: h, window: h.newWindow(), pitch: take.pitches(), turn: make([]int, len(take.Hits))}
	for i := 1; i < len(m.turn); i++ {
		m.turn[i] = m.turn[i-1] + 1
		if take.together(i) {
			m.turn[i]--
		}
	}
	m.next, m.places = make([][]float64, h.top+1), make([][]coach.Place, h.top+1)
	for q := 1; q <= h.top; q++ {
		m.next[q], m.places[q] = m.moves(q), h.under(q)
	}
	return m
}

// moves is the chance of each position after from.
func (m *windowModel) moves(from int) []float64 {
	to := make([]float64, m.top+1)
	for _, q := range m.favourites {
		to[q] += m.jump * 0.7 / float64(len(m.favourites))
	}
	for q := 1; q <= m.high; q++ {
		to[m.box(m.clamp(q))] += m.jump * 0.3 / float64(m.high)
	}
	for _, d := range windowMoves {
		q := m.clamp(from + d)
		if m.boxes {
			q = m.box(q)
		}
		to[q] += (1 - m.jump) / float64(len(windowMoves))
	}
	moved := 1 - to[from]
	to[from] = 0
	for q := range to {
		to[q] /= moved
	}
	return to
}

func (m *windowModel) starts() []state {
	var all []state
	q := m.favourites[0]
	for at := range m.places[q] {
		all = append(all, state{cell{position: q}, at, -1})
	}
	return all
}

func (m *windowModel) block(i int) int {
	if i+1 < len(m.turn) && m.turn[i+1] == m.turn[i] {
		return 2
	}
	return 1
}

// leaves is the chance that a window begun at since is left at turn, if it was
// not left before.
func (m *windowModel) leaves(since, turn int) float64 {
	if since < 0 {
		if turn == m.stay-1 {
			return 1
		}
		return 0
	}
	lasts := func(n int) float64 { // at least n turns
		return min(max((1.7*float64(m.stay)-float64(n-1))/(1.4*float64(m.stay)), 0), 1)
	}
	n := turn - since
	return 1 - lasts(n+1)/max(lasts(n), 1e-12)
}

func (m *windowModel) steps(i int, from state) []step {
	leaves := m.leaves(from.since, m.turn[i])
	var all []step
	if leaves < 1 {
		all = m.within(all, i, from.position, from.at, from.since, 1-leaves)
	}
	if leaves > 0 {
		pitch := m.neck.Pitch(m.places[from.position][from.at])
		for q, p := range m.next[from.position] {
			if p > 0 {
				all = m.within(all, i, q, m.closest(m.places[q], pitch), m.turn[i], leaves*p)
			}
		}
	}
	return all
}

// within appends the ways to play the notes at i in a window, from its note at.
func (m *windowModel) within(all []step, i, position, at, since int, p float64) []step {
	places := m.places[position]
	for to, o := range places {
		x := (1 - m.stepwise) * 0.7 / float64(len(places))
		if to == at {
			x += (1 - m.stepwise) * 0.3
		}
		for _, d := range windowSteps {
			if to == max(0, min(len(places)-1, at+d)) {
				x += m.stepwise / float64(len(windowSteps))
			}
		}
		x *= p
		for s, open := range m.neck.Open {
			if open == m.pitch[i] {
				all = m.strike(all, i, position, to, since, place(s+1, 0), x*m.open*0.25/float64(m.neck.Strings()))
			}
		}
		x *= 1 - m.open*0.25
		if f := position + m.width; f <= m.neck.Frets {
			all = m.strike(all, i, position, to, since, place(o.String, f), x*m.extends*0.15)
			x *= 1 - m.extends*0.15
		}
		all = m.strike(all, i, position, to, since, o, x)
	}
	return all
}

// strike appends playing o, alone or with a partner, if it is what was heard.
func (m *windowModel) strike(all []step, i, position, at, since int, o coach.Place, p float64) []step {
	if m.neck.Pitch(o) != m.pitch[i] {
		return all
	}
	cells := []cell{{o, position}}
	other, possible := m.partner(m.places[position], o)
	switch {
	case m.block(i) == 2:
		if !possible || m.neck.Pitch(other) != m.pitch[i+1] {
			return all
		}
		p *= m.double
		cells = append(cells, cell{other, position})
	case possible:
		p *= 1 - m.double
	}
	return append(all, step{cells, state{cells[len(cells)-1], at, since}, p})
}
