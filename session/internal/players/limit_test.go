package players

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
)

// Pitches of a four-string bass with 22 frets: E1 to F4.
const lowest, highest = 28, 65

// player is somebody with fewer foregone decisions than most, and a tune.
func player(t *testing.T, seed uint64, n int) (*habits, Take) {
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	h := newHabits(rand.New(rand.NewPCG(seed, habitStream)), neck)
	h.noise += 0.3
	h.extends += 0.1
	take := Take{Neck: neck, System: h.system}
	for _, pitch := range h.line.tune(n) {
		take.Hits = append(take.Hits, Hit{Place: h.places(pitch)[0]})
	}
	return h, take
}

func TestReactorModels_AgreeWithDraws(t *testing.T) {
	t.Parallel()
	const draws = 4000 // a share's standard error is 0.008 at most
	for seed := range uint64(6) {
		h, take := player(t, seed, 12)
		improviser := newImproviserModel(h, take, 0).(*reactorModel)
		a, shape := along{up: h.IntN(h.width), down: h.IntN(h.width), slip: 0.2, stray: 0.1}, h.IntN(2)
		sings := newReactorModel(h, take, alongStarts)
		sings.decide = func(q question, c *chances) { h.singChances(a, q, c) }
		walks := newWalkingModel(h, take, 0).(*reactorModel)
		walks.decide = func(q question, c *chances) { h.walkChances(shape, q, c) }
		for _, hand := range []struct {
			model *reactorModel
			draw  func(at *stance, q question) coach.Place
		}{
			{improviser, func(at *stance, q question) coach.Place { return h.improvise(at, q.pitch) }},
			{sings, func(at *stance, q question) coach.Place { return h.sing(a, at, q.pitch) }},
			{walks, func(at *stance, q question) coach.Place { return h.walk(at, shape, q.beat, q.pitch, q.next) }},
		} {
			for i := range take.Hits {
				from := stance{1 + h.IntN(h.top), 1 + h.IntN(h.neck.Strings())}
				drawn := map[cell]float64{}
				for range draws {
					at := from
					p := hand.draw(&at, hand.model.ask(i))
					drawn[cell{p, at.position}] += 1.0 / draws
				}
				sum := 0.0
				for _, s := range hand.model.steps(i, state{cell: cell{place(from.str, 0), from.position}}) {
					sum += s.p
					assert.InDelta(t, drawn[s.to.cell], s.p, 0.04)
					delete(drawn, s.to.cell)
				}
				assert.InDelta(t, 1, sum, 1e-6)
				assert.Empty(t, drawn, "done, but held to be impossible")
			}
		}
	}
}

func TestReaderModel_AgreesWithPlans(t *testing.T) {
	t.Parallel()
	const draws = 2000
	for seed := range uint64(4) {
		h, take := player(t, seed, 12)
		m := newReaderModel(h, take, draws).(*readerModel)
		for _, i := range []int{0, m.keep} {
			from := cell{}
			if i > 0 {
				all := h.cells(m.tune[i-1])
				from = all[h.IntN(len(all))]
			}
			drawn := map[[3]cell]float64{}
			for range draws {
				var way [3]cell
				copy(way[:], h.plan(m.tune[i:i+m.ahead], from, m.weighs)[:m.keep])
				drawn[way] += 1.0 / draws
			}
			for _, s := range m.steps(i, state{cell: from}) {
				var way [3]cell
				copy(way[:], s.cells)
				assert.InDelta(t, drawn[way], s.p, 0.06, "both are drawn")
				delete(drawn, way)
			}
			for _, p := range drawn {
				assert.Less(t, p, 0.01)
			}
		}
	}
}

// The chances of every cell at each of some turns, whatever the pitches.
func TestWindowModel_AgreesWithPlay(t *testing.T) {
	t.Parallel()
	const draws, turns = 20000, 4 // a share's standard error is 0.0035 at most
	for seed := range uint64(2) {
		h, take := player(t, seed, turns)
		for i := range take.Hits {
			take.Hits[i].On = ms(500 * float64(i))
		}
		m := newWindowModel(h, take, 0).(*windowModel)
		m.stay, m.double = 2, 0 // moves within a few notes
		drawn, moved := make([]map[cell]float64, turns), make([]float64, turns)
		for i := range drawn {
			drawn[i] = map[cell]float64{}
		}
		for range draws {
			hits := h.dwell(m.window, turns)
			for i, hit := range hits {
				drawn[i][cell{hit.Place, hit.Position}] += 1.0 / draws
				if i > 0 && hit.Position != hits[i-1].Position {
					moved[i] += 1.0 / draws
				}
			}
		}
		before := map[state]float64{}
		for _, s := range m.starts() {
			before[s] = 1 / float64(len(m.starts()))
		}
		for i := range turns {
			after, held, moves := map[state]float64{}, map[cell]float64{}, 0.0
			for s, p := range before {
				for m.pitch[i] = lowest; m.pitch[i] <= highest; m.pitch[i]++ {
					for _, st := range m.steps(i, s) {
						after[st.to] += p * st.p
						held[st.to.cell] += p * st.p
						if st.to.position != s.position {
							moves += p * st.p
						}
					}
				}
			}
			assert.InDelta(t, moved[i], moves, 0.015, "moves before turn %d", i)
			for c, p := range held {
				assert.InDelta(t, drawn[i][c], p, 0.015, "turn %d, %v", i, c)
				delete(drawn[i], c)
			}
			assert.Empty(t, drawn[i], "done, but held to be impossible")
			before = after
		}
	}
}

func TestWindowModel_AgreesWithDoubles(t *testing.T) {
	t.Parallel()
	const draws = 40000
	h, take := player(t, 5, 3)
	take.Hits[2].On = ms(500)
	m := newWindowModel(h, take, 0).(*windowModel)
	require.Equal(t, []int{0, 0, 1}, m.turn)
	m.double = 0.3
	drawn, alone := map[[2]cell]float64{}, 0.0
	for range draws {
		if hits := h.dwell(m.window, 2); hits[1].On == together {
			drawn[[2]cell{{hits[0].Place, hits[0].Position}, {hits[1].Place, hits[1].Position}}] += 1.0 / draws
		} else {
			alone += 1.0 / draws
		}
	}
	held := map[[2]cell]float64{}
	for _, s := range m.starts() {
		for m.pitch[0] = lowest; m.pitch[0] <= highest; m.pitch[0]++ {
			m.turn[1] = 0
			for m.pitch[1] = m.pitch[0]; m.pitch[1] < m.pitch[0]+12; m.pitch[1]++ {
				for _, st := range m.steps(0, s) {
					held[[2]cell(st.cells)] += st.p / float64(len(m.starts()))
				}
			}
			m.turn[1] = 1
			for _, st := range m.steps(0, s) {
				alone -= st.p / float64(len(m.starts()))
			}
		}
	}
	assert.InDelta(t, 0, alone, 0.01, "notes struck alone, drawn less held")
	require.NotEmpty(t, held)
	for c, p := range held {
		assert.InDelta(t, drawn[c], p, 0.01, "%v", c)
		delete(drawn, c)
	}
	assert.Empty(t, drawn, "done, but held to be impossible")
}

// Every hidden path of a tiny take, one by one.
func TestLimit_AgreesWithEveryPath(t *testing.T) {
	t.Parallel()
	const n = 4
	for _, f := range []Family{Tuned[0], Tuned[1], Tuned[3]} {
		for seed := range uint64(2) {
			l := f.NewLimit(seed, n, 8)
			for _, heard := range [][2]bool{{true, false}, {true, true}, {false, true}} {
				whole, soon := l.posteriors(heard[0], heard[1])
				escaped := l.Escapes
				for i := range n {
					assertMarginal(t, l.enumerate(i, n, heard), whole[i])
					if l.model.block(0) == 1 {
						assertMarginal(t, l.enumerate(i, min(n, i+1+2), heard), soon[i])
					}
				}
				assert.Equal(t, escaped, l.Escapes)
			}
		}
	}
}

// enumerate is what is known about note i from the first n notes.
func (l *Limit) enumerate(i, n int, heard [2]bool) marginal {
	m, sum := marginal{map[int]float64{}, map[int]float64{}}, 0.0
	var walk func(path []cell, at state, p float64)
	walk = func(path []cell, at state, p float64) {
		if len(path) >= n {
			m.position[path[i].position] += p
			m.str[path[i].place.String] += p
			sum += p
			return
		}
		for _, s := range l.model.steps(len(path), at) {
			x, longer := p*s.p, append([]cell(nil), path...)
			for _, c := range s.cells {
				if heard[0] && c.place != l.take.Hits[len(longer)].Place {
					x = 0
				}
				if heard[1] && len(longer) > 0 {
					x *= l.timing.heard(len(longer), longer[len(longer)-1], c)
				}
				longer = append(longer, c)
			}
			if x > 0 {
				walk(longer, s.to, x)
			}
		}
	}
	for _, s := range l.model.starts() {
		walk(nil, s, 1)
	}
	for _, shares := range []map[int]float64{m.position, m.str} {
		for k := range shares {
			shares[k] /= sum
		}
	}
	return m
}

func assertMarginal(t *testing.T, want, got marginal) {
	t.Helper()
	for q, p := range want.position {
		assert.InDelta(t, p, got.position[q], 1e-4)
	}
	for s, p := range want.str {
		assert.InDelta(t, p, got.str[s], 1e-4)
	}
}

// Gaps as often up to a length as their distribution says, staying and moving.
func TestTiming_AgreesWithGaps(t *testing.T) {
	t.Parallel()
	const n = 90000
	for seed := range uint64(4) {
		h, take := player(t, seed, 0)
		positions := []int{3, 3, 5, 5, 12, 12} // stay, move two, stay, move seven, stay, move back
		for i := range n {
			q := positions[i%len(positions)]
			p := place(1, q)
			if i%6 == 5 {
				p.Fret = 0
			}
			take.Hits = append(take.Hits, Hit{Place: p, Position: q})
		}
		h.addTime(take.Hits)
		tm := timing{h, take}
		for kind := range 6 {
			for _, x := range []float64{-5, 5, 20, 50, 90, 150, 300} {
				heard, held, count := 0.0, 0.0, 0.0
				for i := kind; i+1 < n; i += 6 {
					a, b := take.Hits[i], take.Hits[i+1]
					count++
					if b.On-a.Off <= ms(x) {
						heard++
					}
					held += tm.upTo(x, (b.On-a.On).Seconds()*1000, i, cell{a.Place, a.Position}, cell{b.Place, b.Position})
				}
				assert.InDelta(t, heard/count, held/count, 0.015, "kind %d up to %g ms", kind, x)
			}
		}
	}
}
