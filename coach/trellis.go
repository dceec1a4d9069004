package coach

// trellis runs every style forward and backward over frames. One step costs
// cells times positions a string that the next note can take, which is
// positions times strings: a fretted note lies under no more than width+2
// positions a string.
type trellis struct {
	np, ns int
	open   []int
	casts  []*cast
	acc    []float64   // scratch, [position]
	ahead  [][]float64 // scratch, [span][position]
}

// Weights of what ought not to happen but must not break the track.
const (
	gripBreak  = 1e-3 // a move inside a grip, or both its notes on one string
	slideBreak = 1e-3 // a slide that changes the string or goes other than its frets
)

// negligible is the filtered probability under which a cell is forgotten.
const negligible = 1e-12

// crossing is the factor from span b to span s into f.
func (c *cast) crossing(f *frame, b, s span) float64 {
	same := b.str == s.str
	switch {
	case f.link == gripped && same:
		return gripBreak
	case f.link == slid && same:
		return 1
	case f.link == slid:
		return slideBreak
	}
	return c.crossed[abs(b.str-s.str)]
}

// ways is the weight of going from cell x in span b to every position of s,
// up to the gap: row by position from c.from[s.fret]. Grips and slides bend
// the row into t.acc.
func (t *trellis) ways(c *cast, f *frame, x *cell, s span) []float64 {
	n := s.hi - s.lo
	row := c.lays[f.lay].ways[s.fret][x.pos*n : (x.pos+1)*n]
	switch f.link {
	case gripped:
		bent := t.acc[:n]
		for j := range bent {
			bent[j] = row[j]
			if s.lo+j != x.pos {
				bent[j] *= gripBreak
			}
		}
		return bent
	case slid:
		bent := t.acc[:n]
		for j := range bent {
			bent[j] = row[j] * slideBreak
			if s.lo+j-x.pos == f.note.Slide {
				bent[j] = c.cover[s.fret][s.lo+j]
			}
		}
		return bent
	}
	return row
}

// leave sets the factor of leaving each cell of b for f, and returns the
// probability that style k gave to f's strings before it heard the gap.
func (t *trellis) leave(k int, b, f *frame) (mass float64) {
	c := t.casts[k]
	cells := b.cells[k]
	if c.manner == placed || f.link != struck {
		for i := range cells {
			cells[i].leave = 1
		}
		return 1
	}
	reach := c.lays[f.lay].reach
	for i := range cells {
		x := &cells[i]
		sum := 0.0
		for _, s := range f.spans {
			sum += c.crossed[abs(b.spans[x.span].str-s.str)] * reach[s.fret][x.pos]
		}
		x.leave = 1
		if c.manner == reacting {
			x.leave = 1 / sum
			sum = 1
		}
		mass += x.p * sum
	}
	return mass
}

// forward carries style k's belief from b into f and returns the likelihood
// of f's note and gap: 0 if the style finds no way there.
func (t *trellis) forward(k int, b, f *frame) float64 {
	c := t.casts[k]
	mass := t.leave(k, b, f)
	from, cells := b.cells[k], f.cells[k][:0]
	total := 0.0
	for si, s := range f.spans {
		acc := t.ahead[si][:s.hi-s.lo]
		clear(acc)
		for i := range from {
			x := &from[i]
			o := b.spans[x.span]
			a := x.p * x.leave * c.crossing(f, o, s)
			row := t.ways(c, f, x, s)[:len(acc)]
			gap := f.gap[o.ringing()][t.np+s.lo-x.pos:][:len(acc)]
			for j := range acc {
				acc[j] += a * row[j] * gap[j]
			}
		}
		room := t.room(c, b, f)
		for j, x := range acc {
			if room != nil {
				x *= room[s.lo+j]
			}
			total += x
			cells = append(cells, cell{pos: s.lo + j, span: si, p: x})
		}
	}
	f.cells[k] = cells
	if !(total > 0) {
		return 0
	}
	kept := cells[:0]
	for _, x := range cells {
		if x.p /= total; x.p > negligible {
			kept = append(kept, x)
		}
	}
	f.cells[k] = kept
	if f.link != struck {
		return total
	}
	if c.manner == placed {
		return total * f.melody
	}
	return total / mass * f.melody / f.all
}

// room is what normalises a placed style over what could have been played at
// each position, or nil.
func (t *trellis) room(c *cast, b, f *frame) []float64 {
	if c.manner == placed && f.link == struck {
		return c.lays[f.lay].room[b.pitch]
	}
	return nil
}

// spread lays f's messages out by span and position, for backward and pairs.
func (t *trellis) spread(k int, b, f *frame) {
	room := t.room(t.casts[k], b, f)
	for si, s := range f.spans {
		clear(t.ahead[si][:s.hi-s.lo])
	}
	for _, x := range f.cells[k] {
		if room != nil {
			x.beta *= room[x.pos]
		}
		t.ahead[x.span][x.pos-f.spans[x.span].lo] = x.beta
	}
}

// backward carries style k's message from f to b.
func (t *trellis) backward(k int, b, f *frame) {
	c := t.casts[k]
	cells := b.cells[k]
	if f.link == placeless {
		for i := range cells {
			cells[i].beta = f.cells[k][i].beta
		}
		return
	}
	t.spread(k, b, f)
	for i := range cells {
		x := &cells[i]
		o := b.spans[x.span]
		sum := 0.0
		for si, s := range f.spans {
			ahead := t.ahead[si][:s.hi-s.lo]
			row := t.ways(c, f, x, s)[:len(ahead)]
			gap := f.gap[o.ringing()][t.np+s.lo-x.pos:][:len(ahead)]
			dot := 0.0
			for j := range ahead {
				dot += row[j] * gap[j] * ahead[j]
			}
			sum += dot * c.crossing(f, o, s)
		}
		x.beta = sum * x.leave
	}
}

// pairs is style k's posterior of the class of move into f, from messages
// already at f. With a weight above zero the style learns from it.
func (t *trellis) pairs(k int, f *frame, weight float64) (p [moveClasses]float64) {
	c, b := t.casts[k], f.from
	t.spread(k, b, f)
	for learning := range 2 {
		sum := p[0] + p[1] + p[2]
		if learning == 1 && (weight == 0 || f.link != struck || !(sum > 0)) {
			break
		}
		for i := range b.cells[k] {
			x := &b.cells[k][i]
			o := b.spans[x.span]
			for si, s := range f.spans {
				ahead := t.ahead[si][:s.hi-s.lo]
				row := t.ways(c, f, x, s)[:len(ahead)]
				gap := f.gap[o.ringing()][t.np+s.lo-x.pos:][:len(ahead)]
				a := x.p * x.leave * c.crossing(f, o, s)
				if learning == 0 {
					for j := range ahead {
						p[class(s.lo+j-x.pos)] += a * row[j] * gap[j] * ahead[j]
					}
					continue
				}
				a *= weight / sum
				for j := range ahead {
					if y := a * row[j] * gap[j] * ahead[j]; y > 0 {
						c.learn(s.fret, x.pos, s.lo+j, y)
					}
				}
			}
		}
	}
	if sum := p[0] + p[1] + p[2]; sum > 0 {
		for i := range p {
			p[i] /= sum
		}
	} else {
		p[0] = 1
	}
	return p
}

// learn counts a hand going from position p to q for a note at fret.
func (c *cast) learn(fret, p, q int, weight float64) {
	l := &c.learnt
	if c.manner != reacting || fret == 0 || c.cover[fret][p] == 1 {
		l.free += weight
		if p != q {
			l.moved += weight
		}
	}
	if p != q && fret > 0 && c.manner == reacting {
		if o := fret - q; o >= 0 && o < c.width+2 {
			l.landed[direction(p, q)][o] += weight
		}
	}
}
