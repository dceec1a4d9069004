package players

import (
	"math"
	"slices"
)

// readerModel is a hand that plans ahead and plays some notes of each plan.
// A plan's chances are counted from draws of the player's noise, each of which
// is worked out backward from the plan's end, for every start at once.
type readerModel struct {
	*habits
	reader
	notes, draws int
	plans        map[int]map[cell][]step // by first note and the cell before it
}

func newReaderModel(h *habits, take Take, draws int) model {
	n := len(take.Hits)
	return &readerModel{habits: h, reader: h.newReader(n), notes: n, draws: draws, plans: map[int]map[cell][]step{}}
}

func (m *readerModel) starts() []state { return []state{{}} }

func (m *readerModel) block(i int) int { return min(m.keep, m.notes-i) }

func (m *readerModel) steps(i int, from state) []step {
	if m.plans[i] == nil {
		m.plans[i] = m.draw(i)
	}
	return m.plans[i][from.cell]
}

// draw counts the ways in which the notes from i on are planned and begun.
func (m *readerModel) draw(i int) map[cell][]step {
	layers := make([][]cell, m.ahead)
	ways := make([][][]float64, m.ahead) // [layer][cell before][cell]
	for k := range layers {
		layers[k] = m.cells(m.tune[i+k])
		before := []cell{{}}
		switch {
		case k > 0:
			before = layers[k-1]
		case i > 0:
			before = m.cells(m.tune[i-1])
		}
		ways[k] = make([][]float64, len(before))
		for a := range before {
			ways[k][a] = make([]float64, len(layers[k]))
			for b := range layers[k] {
				ways[k][a][b] = m.way(before[a], layers[k][b])
			}
		}
	}
	starts := []cell{{}}
	if i > 0 {
		starts = m.cells(m.tune[i-1])
	}
	keep := m.block(i)
	next, ahead := make([][]int, m.ahead), make([][]float64, m.ahead)
	for k := range next {
		next[k], ahead[k] = make([]int, len(ways[k])), make([]float64, len(ways[k]))
	}
	plans := map[cell][]step{}
	type plan struct {
		start int
		cells [3]cell
	}
	index := map[plan]int{}
	rest := make([]float64, 0, 64)
	for range m.draws {
		for k := m.ahead - 1; k >= 0; k-- {
			rest = rest[:0]
			for b, c := range layers[k] {
				x := m.own(m.weighs, c)
				if k < m.ahead-1 {
					x += ahead[k+1][b]
				}
				rest = append(rest, x)
			}
			for a, way := range ways[k] {
				best, at := math.Inf(1), 0
				for b, x := range way {
					if x += rest[b]; x < best {
						best, at = x, b
					}
				}
				ahead[k][a], next[k][a] = best, at
			}
		}
		for a, s := range starts {
			p, at := plan{start: a}, a
			for k := range keep {
				at = next[k][at]
				p.cells[k] = layers[k][at]
			}
			j, ok := index[p]
			if !ok {
				j = len(plans[s])
				index[p] = j
				cells := slices.Clone(p.cells[:keep])
				plans[s] = append(plans[s], step{cells, state{cell: cells[keep-1]}, 0})
			}
			plans[s][j].p += 1 / float64(m.draws)
		}
	}
	return plans
}

// way is the cost of going from a, or from anywhere, to b.
func (m *readerModel) way(a, b cell) float64 {
	if a.position == 0 {
		return 0.1 * float64(b.position)
	}
	return m.step(m.weighs, a, b)
}
