package players

import (
	"math/rand/v2"

	"stillhand/coach"
)

// outcome is one thing an improviser may do with a note.
type outcome struct {
	stance
	place coach.Place
	p     float64
}

// Limit is what the improviser of a seed lets anybody know from the notes
// alone: the true generating model with all its private habits, smoothed over
// the whole take, right this often about the position and the string. The
// model's chances are counted from draws decisions each, and gaps and slides
// are not heard, so a tracker that reads those may come out above it.
func Limit(seed uint64, n int, strings bool, draws int) (exact, str float64) {
	take, h := Tuned[1].perform(seed, n)
	h.Rand = rand.New(rand.NewPCG(seed, 0x11))
	type question struct {
		stance
		pitch int
	}
	known := map[question][]outcome{}
	ask := func(at stance, pitch int) []outcome {
		q := question{at, pitch}
		if all, ok := known[q]; ok {
			return all
		}
		counts := map[outcome]float64{}
		for range draws {
			to := at
			p := h.improvise(&to, pitch)
			counts[outcome{to, p, 0}] += 1 / float64(draws)
		}
		var all []outcome
		for o, p := range counts {
			o.p = p
			all = append(all, o)
		}
		known[q] = all
		return all
	}
	fits := func(o outcome, i int) bool { return !strings || o.place == take.Hits[i].Place }
	start := map[stance]float64{}
	for d := range improviserStarts {
		for s := range take.Neck.Strings() {
			start[stance{h.low + d, s + 1}] = 1
		}
	}
	forward := make([]map[stance]float64, n)
	before := start
	for i := range n {
		now, sum := map[stance]float64{}, 0.0
		for at, p := range before {
			for _, o := range ask(at, take.Neck.Pitch(take.Hits[i].Place)) {
				if fits(o, i) {
					now[o.stance] += p * o.p
					sum += p * o.p
				}
			}
		}
		for at, p := range now {
			if p /= sum; p < 1e-9 {
				delete(now, at)
			} else {
				now[at] = p
			}
		}
		forward[i], before = now, now
	}
	after := map[stance]float64{}
	for at := range forward[n-1] {
		after[at] = 1
	}
	for i := n - 1; i >= 0; i-- {
		positions, strs := map[int]float64{}, map[int]float64{}
		for at, p := range forward[i] {
			positions[at.position] += p * after[at]
			strs[at.str] += p * after[at]
		}
		if most(positions) == take.Hits[i].Position {
			exact++
		}
		if most(strs) == take.Hits[i].Place.String {
			str++
		}
		if i == 0 {
			break
		}
		earlier, top := map[stance]float64{}, 0.0
		for at := range forward[i-1] {
			for _, o := range ask(at, take.Neck.Pitch(take.Hits[i].Place)) {
				if fits(o, i) {
					earlier[at] += o.p * after[o.stance]
				}
			}
			top = max(top, earlier[at])
		}
		for at := range earlier {
			earlier[at] /= top
		}
		after = earlier
	}
	return exact / float64(n), str / float64(n)
}

// most is the key of the largest value, the lowest of equals.
func most(m map[int]float64) int {
	best := -1
	for k, p := range m {
		if best < 0 || p > m[best] || p == m[best] && k < best {
			best = k
		}
	}
	return best
}
