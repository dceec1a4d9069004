package coach

// trellis runs every style forward and backward over frames. One step costs
// cells times positions a string that the next note can take, which is
// positions times strings: a fretted note lies under no more than width+2
// positions a string.
type trellis struct {
	np, ns int
	open   []int
	casts  []*cast
	joint  []float64   // scratch, [position]
	acc    []float64   // scratch, [position]
	ahead  [][]float64 // scratch, [span][position]

	negligible float64 // filtered probability up to which a cell is forgotten
}

// Weights of what ought not to happen but must not break the track.
const (
	gripBreak  = 1e-3 // a move inside a grip, or both its notes on one string
	slideBreak = 1e-3 // a slide that changes the string or goes other than its frets
)

// negligible keeps what is far from likely from being carried along.
const negligible = 2e-3

// crossing is the factor from span b to span s into f.
func (c *cast) crossing(f *frame, b, s *span) float64 {
	if f.link == struck {
		return c.crossed[abs(b.str-s.str)]
	}
	return c.bentCrossing(f, b, s)
}

// bentCrossing is crossing for grips and slides.
func (c *cast) bentCrossing(f *frame, b, s *span) float64 {
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

// ways is the weight of going from cell x to every position of s, up to the
// gap: the first at s.lo.
func (t *trellis) ways(c *cast, f *frame, x *cell, s *span) []float64 {
	n := s.hi - s.lo
	row := c.lays[f.lay].ways[s.fret][x.pos*n : (x.pos+1)*n]
	if f.link == struck {
		return row
	}
	return t.bent(c, f, x, s, row)
}

// bent is row as grips and slides bend it, in t.acc.
func (t *trellis) bent(c *cast, f *frame, x *cell, s *span, row []float64) []float64 {
	bent := t.acc[:len(row)]
	for j := range bent {
		bent[j] = row[j]
		switch q := s.lo + j; {
		case f.link == gripped && q != x.pos:
			bent[j] *= gripBreak
		case f.link == slid && q-x.pos == f.note.Slide:
			bent[j] = c.cover[s.fret][q]
		case f.link == slid:
			bent[j] *= slideBreak
		}
	}
	return bent
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

// string is the probability that style k, with its belief in b, gives to the
// one string of f given its pitch.
func (t *trellis) string(k int, b, f *frame) float64 {
	c := t.casts[k]
	reach := c.lays[f.lay].reach
	p, sum := 0.0, 0.0
	for i := range b.cells[k] {
		x := &b.cells[k][i]
		this, all := 0.0, 0.0
		for s, open := range t.open {
			fret := f.note.Pitch - open
			if fret < 0 || fret >= len(reach) {
				continue
			}
			w := c.crossed[abs(b.spans[x.span].str-s)] * reach[fret][x.pos]
			if all += w; s == f.spans[0].str {
				this = w
			}
		}
		if c.manner == reacting {
			this, all = this/all, 1
		}
		p += x.p * this
		sum += x.p * all
	}
	return p / sum
}

// forward carries style k's belief from b into f and returns the likelihood
// of f's note and gap: 0 if the style finds no way there.
func (t *trellis) forward(k int, b, f *frame) float64 {
	c := t.casts[k]
	mass := t.leave(k, b, f)
	from, cells := b.cells[k], f.cells[k][:0]
	room := t.room(c, b, f)
	total := 0.0
	for si := range f.spans {
		s := &f.spans[si]
		acc := t.ahead[si][:s.hi-s.lo]
		clear(acc)
		for i := range from {
			x := &from[i]
			o := &b.spans[x.span]
			a := x.p * x.leave * c.crossing(f, o, s)
			row := t.ways(c, f, x, s)[:len(acc)]
			gap := f.gap[o.ringing()][t.np+s.lo-x.pos:][:len(acc)]
			for j := range acc {
				acc[j] += a * row[j] * gap[j]
			}
		}
		if room != nil {
			for j, r := range room[s.lo:s.hi] {
				acc[j] *= r
			}
		}
		for _, x := range acc {
			total += x
		}
	}
	f.total[k] = total
	f.cells[k] = cells
	if !(total > 0) {
		return 0
	}
	norm := 1 / total
	for si := range f.spans {
		s := &f.spans[si]
		for j, x := range t.ahead[si][:s.hi-s.lo] {
			if x *= norm; x > t.negligible {
				cells = append(cells, cell{pos: s.lo + j, span: si, p: x})
			}
		}
	}
	f.cells[k] = cells
	switch {
	case f.link != struck:
		return total
	case c.manner == placed:
		return total * f.melody
	}
	return total * f.melody / (mass * f.all)
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
	for si := range f.spans {
		s := &f.spans[si]
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
		o := &b.spans[x.span]
		sum := 0.0
		for si := range f.spans {
			s := &f.spans[si]
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

// pairs is style k's posterior of the class of move into f, once the messages
// have come to f: z is the sum of its cells' probabilities times messages. With
// a weight above zero the style learns from it.
func (t *trellis) pairs(k int, f *frame, z, weight float64) (p [moveClasses]float64) {
	c, b := t.casts[k], f.from
	t.spread(k, b, f)
	norm := 1 / (z * f.total[k])
	if f.link != struck {
		weight = 0
	}
	for i := range b.cells[k] {
		x := &b.cells[k][i]
		o := &b.spans[x.span]
		for si := range f.spans {
			s := &f.spans[si]
			ahead := t.ahead[si][:s.hi-s.lo]
			row := t.ways(c, f, x, s)[:len(ahead)]
			gap := f.gap[o.ringing()][t.np+s.lo-x.pos:][:len(ahead)]
			a := norm * x.p * x.leave * c.crossing(f, o, s)
			joint := t.joint[:len(ahead)]
			sum := 0.0
			for j := range ahead {
				y := a * row[j] * gap[j] * ahead[j]
				joint[j] = y
				sum += y
			}
			at := x.pos - s.lo // of staying in joint
			stay, near := 0.0, 0.0
			for j := max(0, at-nearFrets); j <= min(len(joint)-1, at+nearFrets); j++ {
				if j == at {
					stay = joint[j]
				} else {
					near += joint[j]
				}
			}
			p[0] += stay
			p[1] += near
			p[2] += max(0, sum-stay-near)
			if weight > 0 {
				c.learn(s, x.pos, joint, sum, stay, weight)
			}
		}
	}
	if sum := p[0] + p[1] + p[2]; sum > 0 { // one, but for what a teacher overruled
		for i := range p {
			p[i] /= sum
		}
	}
	return p
}

// learn counts a hand that went from position p to those of joint for a note
// at s: in all sum, stay of it nowhere.
func (c *cast) learn(s *span, p int, joint []float64, sum, stay, weight float64) {
	l := &c.learnt
	if c.manner != reacting || s.fret == 0 || c.cover[s.fret][p] == 1 {
		l.free += weight * sum
		l.moved += weight * (sum - stay)
	}
	if c.manner != reacting || s.fret == 0 || sum-stay < 1e-9 {
		return
	}
	for j, y := range joint {
		if q := s.lo + j; q != p && s.fret-q >= 0 && s.fret-q < c.width+2 {
			l.landed[direction(p, q)][s.fret-q] += weight * y
		}
	}
}
