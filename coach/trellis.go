package coach

// span is the stretch of positions at which one string plays a note.
type span struct {
	str    int // counts from 0
	fret   int
	lo, hi int // positions from lo up to but not including hi, from 0
}

// ringing is 1 for an open string, which sounds without the hand.
func (s span) ringing() int {
	if s.fret == 0 {
		return 1
	}
	return 0
}

// frame is one note in flight: what was heard, where it can lie, and every
// style's belief about it. Slices with a style index hold one row a style of
// strings*positions cells, valid only inside spans.
type frame struct {
	note    Note
	index   int
	pitch   int // of the last note with a place, this one included
	spans   []span
	link    link
	weight  float64              // of the interval from the note before
	gap     [moveClasses]float64 // likelihood of the gap given staying, a near move, a far move
	bin     int                  // of the gap
	sure    bool                 // no window holds this note and the last fretted one
	from    *frame               // where the belief came from; nil at the start
	after   *frame               // the hand as the teacher put it after this note; used once anchored
	anchor  int                  // position in after, or 0
	settled bool

	alpha [][]float64 // filtered belief, sums to one
	scale [][]float64 // factor of leaving each cell of from
	beta  [][]float64 // message from later notes, valid while settling
}

// link is how a note hangs together with the one before it.
type link int

const (
	first     link = iota // nothing before it
	struck                // an ordinary note
	grip                  // struck together with the one before
	slid                  // slid from the one before
	placeless             // no string has its pitch: it says nothing
)

// nearFrets is the largest move that counts as near when gaps are read.
const nearFrets = 2

// Weights of what ought not to happen but must not break the track.
const (
	gripBreak  = 1e-3 // a move inside a grip
	slideBreak = 1e-3 // a slide that ends elsewhere than its frets say
)

// trellis runs every style forward and backward over frames.
type trellis struct {
	melody *melody
	np, ns int
	casts  []*cast
	open   []int
	gap    [2][]float64 // scratch, one row of positions each
}

// crossing is the factor from string a to string b under link l.
func (c *cast) crossing(l link, a, b int) float64 {
	switch {
	case l == grip && a == b, l == slid && a != b:
		return slideBreak
	case l == slid:
		return 1
	}
	return c.crossed[abs(a-b)]
}

// read fills t.gap with the likelihood of f's gap by distance moved, from a
// fretted note and from an open string, which rings while the hand moves.
func (t *trellis) read(f *frame) {
	for d := range t.gap[0] {
		g := f.gap[2]
		if d == 0 {
			g = f.gap[0]
		} else if d <= nearFrets {
			g = f.gap[1]
		}
		t.gap[0][d] = g
		t.gap[1][d] = openGap*g + (1-openGap)*f.gap[0]
	}
}

var openGap = 0.5

// way is the weight of going from p to q and playing s of f there.
func (t *trellis) way(c *cast, f *frame, b, s span, p, q int) float64 {
	lo, hi := c.from[s.fret], c.to[s.fret]
	switch w := c.ways[s.fret][p*(hi-lo)+q-lo]; f.link {
	case grip:
		if p != q {
			return w * gripBreak
		}
		return w
	case slid:
		if q-p != f.note.Slide {
			return w * slideBreak
		}
		return c.cover[s.fret][q]
	default:
		return w * t.gap[b.ringing()][abs(q-p)]
	}
}

// leave fills f.scale[k] with the factor of leaving each state of before.
func (t *trellis) leave(k int, before, f *frame) (mass float64) {
	c := t.casts[k]
	scale, alpha := f.scale[k], before.alpha[k]
	if c.manner == placed || f.link != struck {
		for _, s := range before.spans {
			for p := s.lo; p < s.hi; p++ {
				scale[s.str*t.np+p] = 1
			}
		}
		return 1
	}
	for _, s := range before.spans {
		row := scale[s.str*t.np : (s.str+1)*t.np]
		for p := s.lo; p < s.hi; p++ {
			row[p] = 0
		}
		for _, to := range f.spans {
			b, fret := to.str, to.fret
			x := c.crossed[abs(b-s.str)]
			reach := c.reach[fret]
			for p := s.lo; p < s.hi; p++ {
				row[p] += x * reach[p]
			}
		}
		if c.manner == reacting {
			for p := s.lo; p < s.hi; p++ {
				row[p] = 1 / row[p]
			}
		} else {
			for p := s.lo; p < s.hi; p++ {
				mass += alpha[s.str*t.np+p] * row[p]
				row[p] = 1
			}
		}
	}
	if c.manner == reacting {
		return 1
	}
	return mass
}

// forward carries style k's belief from before into f and returns the
// likelihood of f's note and gap, 0 if the style finds no way there.
func (t *trellis) forward(k int, before, f *frame) float64 {
	c := t.casts[k]
	mass := t.leave(k, before, f)
	t.read(f)
	alpha, prev, scale := f.alpha[k], before.alpha[k], f.scale[k]
	total := 0.0
	for _, s := range f.spans {
		for q := s.lo; q < s.hi; q++ {
			sum := 0.0
			for _, b := range before.spans {
				x := c.crossing(f.link, b.str, s.str)
				for p := b.lo; p < b.hi; p++ {
					i := b.str*t.np + p
					sum += x * prev[i] * scale[i] * t.way(c, f, b, s, p, q)
				}
			}
			x := sum * t.room(c, before, f, q)
			alpha[s.str*t.np+q] = x
			total += x
		}
	}
	if !(total > 0) {
		return 0
	}
	for _, s := range f.spans {
		for i := s.str*t.np + s.lo; i < s.str*t.np+s.hi; i++ {
			alpha[i] /= total
		}
	}
	if c.manner == placed && f.link == struck {
		return total * f.weight // its room normalises
	}
	return total / mass * f.weight / t.melody.total[before.pitch]
}

// room normalises over what could have been played at q after before.
func (t *trellis) room(c *cast, before, f *frame, q int) float64 {
	if c.manner == placed && f.link == struck {
		return c.room[before.pitch][q]
	}
	return 1
}

// backward carries style k's message from f to before.
func (t *trellis) backward(k int, before, f *frame) {
	c := t.casts[k]
	t.read(f)
	beta, out := f.beta[k], before.beta[k]
	for _, b := range before.spans {
		for p := b.lo; p < b.hi; p++ {
			sum := 0.0
			for _, s := range f.spans {
				x := c.crossing(f.link, b.str, s.str)
				for q := s.lo; q < s.hi; q++ {
					sum += x * t.way(c, f, b, s, p, q) * t.room(c, before, f, q) * beta[s.str*t.np+q]
				}
			}
			out[b.str*t.np+p] = sum * f.scale[k][b.str*t.np+p]
		}
	}
}

// pairs adds style k's share of what happened between f.from and f to class,
// and learns from it.
func (t *trellis) pairs(k int, f *frame, weight float64, learn bool) (class [moveClasses]float64) {
	c, before := t.casts[k], f.from
	t.read(f)
	l := &c.learnt
	for _, b := range before.spans {
		for _, s := range f.spans {
			x := c.crossing(f.link, b.str, s.str)
			for p := b.lo; p < b.hi; p++ {
				a := weight * x * before.alpha[k][b.str*t.np+p] * f.scale[k][b.str*t.np+p]
				if a == 0 {
					continue
				}
				need := c.cover[s.fret][p] < 1 && s.fret > 0
				for q := s.lo; q < s.hi; q++ {
					y := a * t.way(c, f, b, s, p, q) * t.room(c, before, f, q) * f.beta[k][s.str*t.np+q]
					d := abs(q - p)
					switch {
					case d == 0:
						class[0] += y
					case d <= nearFrets:
						class[1] += y
					default:
						class[2] += y
					}
					if !learn {
						continue
					}
					if c.manner != reacting || !need {
						l.free += y
						if d > 0 {
							l.moved += y
						}
					}
					if d > 0 && s.fret > 0 {
						dir := 0
						if q > p {
							dir = 1
						}
						l.landed[dir][s.fret-q] += y
					}
				}
			}
		}
	}
	return class
}
