package players

import (
	"math"
	"slices"
)

// Naive is a simple tracker of the kind that the literature starts from: a
// hidden Markov model over places and positions with one setting for everybody,
// which hears neither gaps nor slides. It measures how hard the players are.
type Naive struct {
	Moves float64 // probability of a move before a note
	Fall  float64 // frets by which a move grows e times rarer
	Cross float64 // strings, likewise
	Open  float64 // weight of an open string beside 1 of a stopped one
	Low   float64 // factor of each fret further up the neck
	// Reacts makes the chances of what follows sum to 1 over the ways to play
	// the note: a hand that the note moves, and that is drawn to none. Without,
	// the note is drawn evenly from what lies in the window.
	Reacts bool
	Later  int // notes after a note's own that are heard
}

// Answer is how good the model's answers to a take are, told the strings or
// the pitches only.
func (v Naive) Answer(take Take, strings bool) Answer {
	n := len(take.Hits)
	h := &habits{neck: take.Neck, system: take.System, top: take.Neck.Positions(take.System.Width())}
	cells := make([][]cell, n)
	ways := make([][][]float64, n) // [note][cell before][cell]
	known := make([][]float64, n)  // [note][cell] given the notes up to it
	pitch := take.pitches()
	moves, crosses := v.kernels(h.top, take.Neck.Strings())
	for i := range n {
		cells[i] = h.cells(pitch[i])
		if strings {
			cells[i] = slices.DeleteFunc(cells[i], func(c cell) bool { return c.place != take.Hits[i].Place })
		}
		known[i] = make([]float64, len(cells[i]))
		if i == 0 {
			for b, c := range cells[0] {
				known[0][b] = v.weight(c)
			}
			continue
		}
		ways[i] = v.ways(cells[i-1], cells[i], moves, crosses)
		sum := 0.0
		for a, row := range ways[i] {
			for b, w := range row {
				known[i][b] += known[i-1][a] * w
				sum += known[i-1][a] * w
			}
		}
		for b := range known[i] {
			known[i][b] /= sum
		}
	}
	var total Answer
	for i := range n {
		to := min(n-1, i+v.Later)
		after := even(len(cells[to]))
		for ; to > i; to-- {
			earlier := make([]float64, len(cells[to-1]))
			for a, row := range ways[to] {
				for b, w := range row {
					earlier[a] += w * after[b]
				}
			}
			after = earlier
		}
		m, sum := marginal{map[int]float64{}, map[int]float64{}}, 0.0
		for b := range known[i] {
			sum += known[i][b] * after[b]
		}
		for b, c := range cells[i] {
			m.position[c.position] += known[i][b] * after[b] / sum
			m.str[c.place.String] += known[i][b] * after[b] / sum
		}
		total.Add(m.judge(take.Hits[i]), 1/float64(n))
	}
	return total
}

func (v Naive) weight(c cell) float64 {
	w := math.Pow(v.Low, float64(c.position))
	if c.place.Fret == 0 {
		w *= v.Open
	}
	return w
}

// ways is the chance of going from each cell to each, given the factor of each
// distance in frets and in strings.
func (v Naive) ways(from, to []cell, moves, crosses []float64) [][]float64 {
	ways, weights := make([][]float64, len(from)), make([]float64, len(to))
	for b, t := range to {
		weights[b] = v.weight(t)
	}
	for a, f := range from {
		ways[a] = make([]float64, len(to))
		sum := 0.0
		for b, t := range to {
			w := weights[b] * moves[abs(f.position-t.position)] * crosses[abs(f.place.String-t.place.String)]
			ways[a][b] = w
			sum += w
		}
		if v.Reacts {
			for b := range ways[a] {
				ways[a][b] /= sum
			}
		}
	}
	return ways
}

// kernels are the factors of moves and of string crossings by distance. Moves
// of all distances, up and down, sum to v.Moves.
func (v Naive) kernels(top, strings int) (moves, crosses []float64) {
	moves, crosses = []float64{1 - v.Moves}, make([]float64, strings)
	for d := 1; d < top; d++ {
		moves = append(moves, v.Moves*math.Expm1(1/v.Fall)/2*math.Exp(-float64(d)/v.Fall))
	}
	for d := range crosses {
		crosses[d] = math.Exp(-float64(d) / v.Cross)
	}
	return moves, crosses
}
