package coach

// trellis runs every style forward and backward over frames. Going forward, a
// step weighs each way from what is left of the note before to the places of
// this one, at most width+2 positions a string for a fretted note, and keeps
// the cells that matter: everything that looks back over the ways is a product
// of a few cells with a few.
//
// In the field's words: a style is one hidden Markov model and a cast its tables
// on this neck, a frame is one time step, a cell a state, its p and beta the
// forward and the backward message, a way a transition with its emission. A style
// that is awake is evaluated, and an ear of a frame is a style that was.
type trellis struct {
	np, ns int
	casts  []*cast

	gaps  [2][]float64 // scratch, [before: fretted, open][np+nearFrets+frets moved] likelihood of the gap to one style against that of a far move
	over  []float64    // scratch, [span before * spans + span] factor of crossing so
	far   []float64    // scratch, likewise, of a far move, with the gap
	leave []float64    // scratch, [cell before]
	mass  []float64    // scratch, [cell before]
	acc   []float64    // scratch, [column]
	kept  []int        // scratch, columns that are kept

	negligible float64 // filtered probability up to which a cell is forgotten
}

// Weights of what ought not to happen but must not break the track.
const (
	gripBreak  = 1e-3 // a move inside a grip, or both its notes on one string
	slideBreak = 1e-3 // a slide that changes the string or goes other than its frets
)

// negligible keeps what is far from likely from being carried along.
const negligible = 2e-3

// cross fills t.over and t.far for style k from b into f.
func (t *trellis) cross(k int, b, f *frame) {
	c, tells, n := t.casts[k], &f.tells[k], 0
	for i := range b.spans {
		x := &b.spans[i]
		far := tells.moves[x.ringing()][2]
		for j := range f.spans {
			s := &f.spans[j]
			over := c.crossed[abs(x.str-s.str)]
			t.over[n], t.far[n] = over, far*tells.strings[f.crossings[n]]
			switch same := x.str == s.str; {
			case f.link == gripped && same:
				t.far[n] *= gripBreak
			case f.link == slid && (same || f.aside):
			case f.link == slid:
				t.far[n] *= slideBreak
			default:
				t.far[n] *= over
			}
			n++
		}
	}
}

// weigh fills style k's ways from b's cells into f, t.acc with the probability
// of each column, and t.mass with the probability that the style gives to f's
// strings from each cell, before it has heard the gap.
func (t *trellis) weigh(k int, b, f *frame) {
	c, from := t.casts[k], b.cells[k]
	dense := f.wayPool.lend(len(from) * f.width)
	f.ways[k] = dense
	t.cross(k, b, f)
	t.listen(&f.tells[k])
	t.leaving(c, f, from)
	clear(t.acc[:f.width])
	var room []float64
	if c.manner == placed && f.link == struck {
		room = c.room[b.pitch]
	}
	for si := range f.spans {
		s := &f.spans[si]
		n, ways := s.hi-s.lo, c.ways[s.fret]
		acc := t.acc[s.at:][:n]
		for i := range from {
			x := &from[i]
			row := ways[x.pos*n:][:n]
			out := dense[i*f.width+s.at:][:n]
			gap := t.gaps[b.spans[x.span].ringing()][t.np+nearFrets+s.lo-x.pos:][:n]
			a, p := t.leave[i]*t.far[x.span*len(f.spans)+si], x.p
			if room == nil && f.link == struck {
				for j, w := range row {
					y := a * w * gap[j]
					out[j] = y
					acc[j] += p * y
				}
				continue
			}
			for j, w := range row {
				out[j] = a * w * gap[j]
			}
			if room != nil {
				for j, r := range room[s.lo:s.hi] {
					out[j] *= r
				}
			} else {
				c.bend(f, x, s, a, out)
			}
			for j, y := range out {
				acc[j] += p * y
			}
		}
	}
}

// leaving fills t.mass, and t.leave with what normalises a reacting hand: the
// factor of leaving each cell.
func (t *trellis) leaving(c *cast, f *frame, from []cell) {
	if c.manner == placed || f.link != struck {
		for i := range from {
			t.leave[i], t.mass[i] = 1, 1
		}
		return
	}
	mass, leave := t.mass[:len(from)], t.leave[:len(from)]
	clear(mass)
	for si := range f.spans {
		reach := c.reach[f.spans[si].fret]
		for i := range mass {
			x := &from[i]
			mass[i] += t.over[x.span*len(f.spans)+si] * reach[x.pos]
		}
	}
	if c.manner == reacting {
		for i := range mass {
			leave[i], mass[i] = 1/mass[i], 1
		}
		return
	}
	for i := range leave {
		leave[i] = 1
	}
}

// lie lays out how f's strings lie to those before, for all styles.
func (f *frame) lie() {
	f.crossings = f.crossings[:0]
	for i := range f.from.spans {
		for j := range f.spans {
			f.crossings = append(f.crossings, crossing(&f.from.spans[i], &f.spans[j]))
		}
	}
}

// listen lays out the likelihoods of a gap to one style by how far the hand moves,
// against that of a far move, which is one.
func (t *trellis) listen(tells *telling) {
	for open := range t.gaps {
		l := &tells.moves[open]
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
	var strs [MaxStrings]int
	var reach [MaxStrings][]float64
	n, told := 0, 0
	for s, open := range c.neck.Open {
		fret := f.note.Pitch - open
		if fret < 0 || fret >= len(c.reach) {
			continue
		}
		if s == f.spans[0].str {
			told = n
		}
		strs[n], reach[n] = s, c.reach[fret]
		n++
	}
	p, sum := 0.0, 0.0
	for i := range b.cells[k] {
		x := &b.cells[k][i]
		str := b.spans[x.span].str
		all := 0.0
		for j, s := range strs[:n] {
			all += c.crossed[abs(str-s)] * reach[j][x.pos]
		}
		y := x.p * c.crossed[abs(str-strs[told])] * reach[told][x.pos]
		if c.manner == reacting {
			p += y / all
			sum += x.p
			continue
		}
		p += y
		sum += x.p * all
	}
	return p / sum
}

// forward carries style k's belief from b into f and returns the likelihood
// of f's note and gap: 0 if the style finds no way there.
func (t *trellis) forward(k int, b, f *frame) float64 {
	t.weigh(k, b, f)
	acc, mass := t.acc[:f.width], 0.0
	for i := range b.cells[k] {
		mass += b.cells[k][i].p * t.mass[i]
	}
	total := sum(acc)
	least := t.negligible * total
	kept, held := 0, 0.0
	for at, p := range acc {
		t.kept[kept] = at
		if p > least {
			kept++
		}
	}
	cells, in := f.cellPool.lend(kept), 0
	for i, at := range t.kept[:kept] {
		for at >= f.spans[in].at+f.spans[in].hi-f.spans[in].lo {
			in++
		}
		s, p := &f.spans[in], acc[at]
		cells[i] = cell{pos: s.lo + at - s.at, span: in, at: at, p: p}
		held += p
	}
	f.cells[k] = cells
	f.total[k] = total
	if held > 0 { // what is kept is all there is
		f.scale(k, 1/held)
		f.total[k] = held
	}
	switch {
	case f.link != struck:
		return total
	case t.casts[k].manner == placed:
		return total * f.melody
	}
	return total * f.melody / (mass * f.all)
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
		row, sum := ways[i*f.width:][:f.width], 0.0
		for j := range ahead {
			sum += row[ahead[j].at] * ahead[j].beta
		}
		cells[i].beta = sum
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

// pairs is style k's posterior of the change into f, once the messages have come to
// f: z is the sum of its cells' probabilities times messages. Settling, the style
// learns from it, as far as it weighs.
func (t *trellis) pairs(k int, f *frame, z, weight float64, settling bool) (p change) {
	c, b := t.casts[k], f.from
	ahead, ways := f.cells[k], f.ways[k]
	norm := 1 / (z * f.total[k])
	learning := settling && f.link == struck && !f.noise() && k < commonStyles
	still, near, far := 0.0, 0.0, 0.0
	for i := range b.cells[k] {
		x := &b.cells[k][i]
		a, row := norm*x.p, ways[i*f.width:][:f.width]
		crossings := f.crossings[x.span*len(f.spans):][:len(f.spans)]
		for j := 0; j < len(ahead); {
			began, to := j, ahead[j].span
			stay, onto := 0.0, 0.0
			for ; j < len(ahead) && ahead[j].span == to; j++ {
				y := a * row[ahead[j].at] * ahead[j].beta
				is := &classes[ahead[j].pos-x.pos+MaxFrets]
				stay += is[0] * y
				near += is[1] * y
				far += is[2] * y
				onto += y
			}
			still += stay
			p.strings[crossings[to]] += onto
			fret := f.spans[to].fret
			if !learning || fret == 0 || onto < learnLeast {
				continue
			}
			c.learn(fret, x.pos, weight*onto, weight*(onto-stay))
			if onto-stay < learnLeast {
				continue
			}
			for i := range ahead[began:j] {
				q := &ahead[began+i]
				c.learnLanding(fret, x.pos, q.pos, weight*a*row[q.at]*q.beta)
			}
		}
	}
	p.moves = [...]float64{still, near, far}
	if all := still + near + far; all > 0 { // one, but for what a teacher overruled
		p.scale(1 / all)
	}
	return p
}
