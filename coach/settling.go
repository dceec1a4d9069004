package coach

// settle makes the oldest pending note final.
func (t *Tracker) settle() {
	f := t.frame(t.done)
	e, class := t.estimate(t.done, true)
	e.Settled = true
	f.settled = true
	t.queue = append(t.queue, e)
	t.last = e
	copy(t.lastPos, t.pos)
	t.expect += e.Moved
	t.done++
	h := &t.habits
	h.Notes++
	h.Shifts += e.Moved
	if e.Place.String != 0 && e.Place.Fret == 0 {
		h.Open += e.PlaceProbability
	}
	if f.bin >= 0 {
		for c, x := range class {
			h.gapCounts(c)[f.bin] += x
		}
	}
	if n := t.done; n%16 == 0 && (n <= 128 || n%64 == 0) {
		t.melody.lay()
		for _, c := range t.casts {
			c.build()
		}
	}
}

// estimate is what can be said of note i from everything heard so far, and
// the probability of each class of move into it.
func (t *Tracker) estimate(i int, learn bool) (Estimate, [moveClasses]float64) {
	f := t.frame(i)
	e := Estimate{Note: i, At: f.note.At, Sure: f.sure}
	if len(f.spans) == 0 {
		clear(t.pos)
		return e, [moveClasses]float64{1}
	}
	clear(t.pos)
	clear(t.strs)
	var class [moveClasses]float64
	for k := range t.casts {
		t.smooth(k, f)
		z := 0.0
		for _, s := range f.spans {
			for j := s.str*t.np + s.lo; j < s.str*t.np+s.hi; j++ {
				z += f.alpha[k][j] * f.beta[k][j]
			}
		}
		w := t.weights[k] / z
		if f.from == nil || f.link == placeless {
			class[0] += t.weights[k]
		} else {
			one := t.pairs(k, f, 1, false)
			sum := one[0] + one[1] + one[2]
			if learn && f.link == struck {
				t.pairs(k, f, t.weights[k]/sum, true)
			}
			for i, x := range one {
				class[i] += x / sum * t.weights[k]
			}
		}
		for _, s := range f.spans {
			for p := s.lo; p < s.hi; p++ {
				x := w * f.alpha[k][s.str*t.np+p] * f.beta[k][s.str*t.np+p]
				t.pos[p] += x
				t.strs[s.str] += x
			}
		}
	}
	best := 0
	for p := range t.pos {
		if t.pos[p] > t.pos[best] {
			best = p
		}
	}
	e.Position, e.Probability = best+1, min(1, t.pos[best])
	e.Low, e.High = t.runs(t.pos, best)
	if f.link != placeless {
		s := f.spans[0]
		for _, o := range f.spans {
			if t.strs[o.str] > t.strs[s.str] {
				s = o
			}
		}
		e.Place, e.PlaceProbability = Place{s.str + 1, s.fret}, min(1, t.strs[s.str])
		e.Finger, e.Extended = t.finger(e.Place, e.Position)
	}
	e.From = e.Position
	if f.from != nil {
		e.Moved = min(1, max(0, class[1]+class[2]))
		if e.Moved >= 0.5 {
			e.From = t.origin(f, best) + 1
		}
	}
	return e, class
}

// smooth fills f.beta[k] with the message of all later notes.
func (t *Tracker) smooth(k int, f *frame) {
	last := f.index
	for last+1 < t.count && t.frame(last+1).from == t.frame(last) {
		last++
	}
	g := t.frame(last)
	for _, s := range g.spans {
		for j := s.str*t.np + s.lo; j < s.str*t.np+s.hi; j++ {
			g.beta[k][j] = 1
		}
	}
	for i := last; i > f.index; i-- {
		g, b := t.frame(i), t.frame(i-1)
		if g.link == placeless {
			copy(b.beta[k], g.beta[k])
			continue
		}
		t.backward(k, b, g)
	}
}

// runs returns the narrowest run of positions around best that holds enough.
func (t *Tracker) runs(pos []float64, best int) (low, high int) {
	low, high = 1, t.np
	for lo := range pos {
		sum := 0.0
		for hi := lo; hi < len(pos) && hi-lo < high-low; hi++ {
			if sum += pos[hi]; sum >= runMass {
				if lo <= best && best <= hi {
					low, high = lo+1, hi+1
				}
				break
			}
		}
	}
	return low, high
}

const runMass = 0.9

// origin is the likeliest position before f given that the hand moved to q.
func (t *Tracker) origin(f *frame, q int) int {
	best, at := 0.0, q
	clear(t.run)
	b := f.from
	t.read(f)
	for k, c := range t.casts {
		for _, to := range f.spans {
			if q < to.lo || q >= to.hi {
				continue
			}
			y := t.weights[k] * t.room(c, b, f, q) * f.beta[k][to.str*t.np+q]
			for _, s := range b.spans {
				x := y * c.crossing(f.link, s.str, to.str)
				for p := s.lo; p < s.hi; p++ {
					if p != q {
						j := s.str*t.np + p
						t.run[p] += x * b.alpha[k][j] * f.scale[k][j] * t.way(c, f, s, to, p, q)
					}
				}
			}
		}
	}
	for p, x := range t.run {
		if x > best {
			best, at = x, p
		}
	}
	return at
}

// finger returns the finger on place with the hand at position, and whether it
// reaches out of the window.
func (t *Tracker) finger(p Place, position int) (finger int, extended bool) {
	if p.Fret == 0 {
		return 0, false
	}
	off := p.Fret - position
	for _, d := range [...]int{0, -1, 1} {
		if n := t.system.FingerAt(off + d); n != 0 {
			return n, d != 0
		}
	}
	return 0, false
}
