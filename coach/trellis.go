package coach

// trellis runs every style forward and backward over frames. Going forward, a
// step weighs each way from what is left of the note before to the places of
// this one, at most width+2 positions a string for a fretted note, and keeps
// the weights of those ways that matter: everything that looks back over them
// is a product of a few cells with a few.
type trellis struct {
	np, ns int
	open   []int
	casts  []*cast

	gaps  [2][]float64 // [before: fretted, open][np+nearFrets+frets moved] likelihood of the newest gap against that of a far move
	dense []float64    // scratch, [cell before][place and position]
	leave []float64    // scratch, [cell before]
	mass  []float64    // scratch, [cell before]
	acc   []float64    // scratch, [place and position]
	kept  []int        // scratch, columns of dense that are kept

	negligible float64 // filtered probability up to which a cell is forgotten
}

// Weights of what ought not to happen but must not break the track.
const (
	gripBreak  = 1e-3 // a move inside a grip, or both its notes on one string
	slideBreak = 1e-3 // a slide that changes the string or goes other than its frets
)

// negligible keeps what is far from likely from being carried along.
const negligible = 2e-3

// across is the factor from span b to span s into f.
func (c *cast) across(f *frame, b, s *span) float64 {
	same := b.str == s.str
	switch {
	case f.link == gripped && same:
		return gripBreak
	case f.link == slid && same:
		return 1
	case f.link == slid:
		return slideBreak
	}
	return c.crossed[abs(b.str-s.str)] * f.strings[crossing(b, s)]
}

// weigh fills t.dense with the weight of every way from b's cells into f, a row
// for each cell of all places of f one after the other, and t.mass with the
// probability that style k gives to f's strings from there, before it has heard
// the gap.
func (t *trellis) weigh(k int, b, f *frame) {
	c, from := t.casts[k], b.cells[k]
	width := f.width()
	t.dense = grown(t.dense, len(from)*width)
	t.mass, t.leave = grown(t.mass, len(from)), grown(t.leave, len(from))
	t.leaving(c, b, f, from)
	var room []float64
	if c.manner == placed && f.link == struck {
		room = c.room[b.pitch]
	}
	at := 0
	for si := range f.spans {
		s := &f.spans[si]
		n := s.hi - s.lo
		ways := c.ways[s.fret]
		for i := range from {
			x := &from[i]
			o := &b.spans[x.span]
			row := ways[x.pos*n : x.pos*n+n]
			out := t.dense[i*width+at : i*width+at+n]
			gap := t.gaps[o.ringing()][t.np+nearFrets+s.lo-x.pos:][:len(out)]
			a := t.leave[i] * f.moves[o.ringing()][2] * c.across(f, o, s)
			for j, w := range row[:len(out)] {
				out[j] = a * w * gap[j]
			}
			if room != nil {
				r := room[s.lo:s.hi][:len(out)]
				for j := range out {
					out[j] *= r[j]
				}
			}
			if f.link != struck {
				c.bend(f, x, s, a, out)
			}
		}
		at += n
	}
}

// leaving fills t.mass, and t.leave with what normalises a reacting hand: the
// factor of leaving each cell.
func (t *trellis) leaving(c *cast, b, f *frame, from []cell) {
	reach := c.reach
	for i := range from {
		t.leave[i], t.mass[i] = 1, 1
		if c.manner == placed || f.link != struck {
			continue
		}
		x, sum := &from[i], 0.0
		str := b.spans[x.span].str
		for si := range f.spans {
			s := &f.spans[si]
			sum += c.crossed[abs(str-s.str)] * reach[s.fret][x.pos]
		}
		if c.manner == reacting {
			t.leave[i] = 1 / sum
		} else {
			t.mass[i] = sum
		}
	}
}

// listen lays out the likelihoods of f's gap by how far the hand moves, against
// that of a far move, which is one. It is called before weigh, once for all
// styles.
func (t *trellis) listen(f *frame) {
	for open := range t.gaps {
		l := &f.moves[open]
		near := t.gaps[open][t.np : t.np+2*nearFrets+1]
		for i := range near {
			near[i] = l[1] / l[2]
		}
		near[nearFrets] = l[0] / l[2]
	}
}

// bend changes out, the ways from cell x to s with the factor a in them, as
// grips and slides ask.
func (c *cast) bend(f *frame, x *cell, s *span, a float64, out []float64) {
	for j := range out {
		switch q := s.lo + j; {
		case f.link == gripped && q != x.pos:
			out[j] *= gripBreak
		case f.link == slid && q-x.pos == f.note.Slide:
			out[j] = a * c.cover[s.fret][q]
		case f.link == slid:
			out[j] *= slideBreak
		}
	}
}

// string is the probability that style k, with its belief in b, gives to the
// one string of f given its pitch.
func (t *trellis) string(k int, b, f *frame) float64 {
	c := t.casts[k]
	reach := c.reach
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
	c, from := t.casts[k], b.cells[k]
	t.weigh(k, b, f)
	width := f.width()
	acc := t.acc[:width]
	clear(acc)
	mass := 0.0
	for i := range from {
		p := from[i].p
		mass += p * t.mass[i]
		for j, w := range t.dense[i*width:][:len(acc)] {
			acc[j] += p * w
		}
	}
	total := 0.0
	for _, x := range acc {
		total += x
	}
	cells, kept, held := f.cells[k][:0], t.kept[:0], 0.0
	least, j := t.negligible*total, 0
	for i := range f.spans {
		s := &f.spans[i]
		for n, p := range acc[j : j+s.hi-s.lo] {
			if p > least {
				cells = append(cells, cell{pos: s.lo + n, span: i, p: p})
				kept = append(kept, j+n)
				held += p
			}
		}
		j += s.hi - s.lo
	}
	f.cells[k], t.kept = cells, kept
	f.total[k] = total
	if held > 0 { // what is kept is all there is
		f.scale(k, 1/held)
		f.total[k] = held
	}
	ways := grown(f.ways[k], len(from)*len(kept))
	f.ways[k] = ways
	for i := range from {
		row, out := t.dense[i*width:][:width], ways[i*len(kept):][:len(kept)]
		for n, j := range kept {
			out[n] = row[j]
		}
	}
	switch {
	case f.link != struck:
		return total
	case c.manner == placed:
		return total * f.melody
	}
	return total * f.melody / (mass * f.all)
}

// grown is s with room for n values, which are any.
func grown(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n, 2*n)
	}
	return s[:n]
}

// backward carries style k's message from f to b.
func (t *trellis) backward(k int, b, f *frame) {
	cells := b.cells[k]
	if f.link == placeless {
		for i := range cells {
			cells[i].beta = f.cells[k][i].beta
		}
		return
	}
	ahead, ways := f.cells[k], f.ways[k]
	for i := range cells {
		sum := 0.0
		for j, w := range ways[:len(ahead)] {
			sum += w * ahead[j].beta
		}
		cells[i].beta = sum
		ways = ways[len(ahead):]
	}
}

// change is how the hand went from one note to the next: the probability of
// each class of move, and of each crossing.
type change struct {
	moves   [moveClasses]float64
	strings [crossings]float64
}

// add adds w times x.
func (c *change) add(w float64, x *change) {
	for i := range c.moves {
		c.moves[i] += w * x.moves[i]
	}
	for i := range c.strings {
		c.strings[i] += w * x.strings[i]
	}
}

// scale multiplies c by w.
func (c *change) scale(w float64) {
	for i := range c.moves {
		c.moves[i] *= w
	}
	for i := range c.strings {
		c.strings[i] *= w
	}
}

// pairs adds to into, weight times, style k's posterior of the change into f,
// once the messages have come to f: z is the sum of its cells' probabilities
// times messages. Settling, the style learns from it.
func (t *trellis) pairs(into *change, k int, f *frame, z, weight float64, settling bool) {
	c, b := t.casts[k], f.from
	ahead, ways := f.cells[k], f.ways[k]
	norm := 1 / (z * f.total[k])
	learning := settling && f.link == struck && k < commonStyles
	var p change
	for i := range b.cells[k] {
		x := &b.cells[k][i]
		a := norm * x.p
		row := ways[:len(ahead)]
		ways = ways[len(ahead):]
		for j := 0; j < len(ahead); {
			to := ahead[j].span
			s, onto := &f.spans[to], 0.0
			for ; j < len(ahead) && ahead[j].span == to; j++ {
				q := ahead[j].pos
				y := a * row[j] * ahead[j].beta
				p.moves[class(q-x.pos)] += y
				onto += y
				if learning && y > learnLeast && s.fret > 0 {
					c.learn(s.fret, x.pos, q, weight*y)
				}
			}
			p.strings[crossing(&b.spans[x.span], s)] += onto
		}
	}
	if all := sum(p.moves[:]); all > 0 { // one, but for what a teacher overruled
		weight /= all
	}
	into.add(weight, &p)
}

// learnLeast is how probable a way must be to teach anything.
const learnLeast = 0.00016

// learn counts a hand that went from position p to q for a note at fret, not
// an open string, y times.
func (c *cast) learn(fret, p, q int, y float64) {
	l := &c.learnt
	free := c.manner != reacting || c.cover[fret][p] == 1
	if free {
		l.free += y
	}
	if p == q {
		return
	}
	if free {
		l.moved += y
	}
	if c.manner == reacting && fret-q >= 1 && fret-q <= c.width {
		l.landed[c.landing(fret, p)][fret-q] += y
	}
}
