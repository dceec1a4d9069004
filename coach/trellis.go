package coach

// span is the stretch of positions at which one string plays a note.
type span struct {
	str    int // counts from 0
	fret   int
	lo, hi int // positions from lo up to but not including hi, from 0
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
	stay  [][]float64 // the part of alpha that did not move
	near  [][]float64 // the part of alpha that moved up to nearFrets
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
	np, ns int
	casts  []*cast
	open   []int
	// scratch, one row of positions each
	moved, held, tv []float64
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

// kernel fills t.tv with the weight of each distance for the move into f and
// returns the weight of distance zero and the offset that counts as zero.
func (t *trellis) kernel(c *cast, f *frame) (hold float64, off int) {
	switch f.link {
	case grip:
		for d := 1; d <= t.np; d++ {
			t.tv[d] = c.kern[d] * gripBreak
		}
		return 1, 0
	case slid:
		for d := 1; d <= t.np; d++ {
			t.tv[d] = c.kern[d] * slideBreak
		}
		return 1, f.note.Slide
	}
	for d := 1; d <= t.np; d++ {
		if d <= nearFrets {
			t.tv[d] = c.kern[d] * f.gap[1]
		} else {
			t.tv[d] = c.kern[d] * f.gap[2]
		}
	}
	return c.hold * f.gap[0], 0
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
		for b := range t.ns {
			fret := f.note.Pitch - t.open[b]
			if fret < 0 || fret >= len(c.reach) {
				continue
			}
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
	hold, off := t.kernel(c, f)
	alpha, stay, near := f.alpha[k], f.stay[k], f.near[k]
	prev, scale := before.alpha[k], f.scale[k]
	total := 0.0
	for _, s := range f.spans {
		lo, hi := t.np, 0
		for _, b := range before.spans {
			lo, hi = min(lo, b.lo), max(hi, b.hi)
		}
		clear(t.moved[lo:hi])
		clear(t.held[lo:hi])
		for _, b := range before.spans {
			x := c.crossing(f.link, b.str, s.str)
			for p := b.lo; p < b.hi; p++ {
				a := x * prev[b.str*t.np+p] * scale[b.str*t.np+p]
				t.held[p] += a
				t.moved[p] += a * c.source[p]
			}
		}
		cover := c.cover[s.fret]
		for q := s.lo; q < s.hi; q++ {
			var st, ne, fa float64
			for p := lo; p < hi; p++ {
				switch d := abs(q - off - p); {
				case d == 0:
					st += t.held[p] * hold
				case d <= min(nearFrets, t.np):
					ne += t.moved[p] * t.tv[d]
				default:
					fa += t.moved[p] * t.tv[min(d, t.np)]
				}
			}
			w := cover[q]
			if c.manner == placed {
				w *= c.room[before.pitch][q]
			}
			i := s.str*t.np + q
			if off != 0 {
				// A slide moved the hand whatever its distance.
				ne += st
				st = 0
			}
			alpha[i] = (st + ne + fa) * w
			stay[i], near[i] = st*w, ne*w
			total += alpha[i]
		}
	}
	if !(total > 0) {
		return 0
	}
	inv := 1 / total
	for _, s := range f.spans {
		for i := s.str*t.np + s.lo; i < s.str*t.np+s.hi; i++ {
			alpha[i] *= inv
			stay[i] *= inv
			near[i] *= inv
		}
	}
	return total / mass * f.weight
}

// backward carries style k's message from f to before.
func (t *trellis) backward(k int, before, f *frame) {
	c := t.casts[k]
	hold, off := t.kernel(c, f)
	beta, out := f.beta[k], before.beta[k]
	for _, b := range before.spans {
		row := out[b.str*t.np : (b.str+1)*t.np]
		for p := b.lo; p < b.hi; p++ {
			row[p] = 0
		}
		for _, s := range f.spans {
			x := c.crossing(f.link, b.str, s.str)
			cover := c.cover[s.fret]
			for q := s.lo; q < s.hi; q++ {
				w := cover[q] * beta[s.str*t.np+q] * x
				if c.manner == placed {
					w *= c.room[before.pitch][q]
				}
				t.moved[q] = w
			}
			for p := b.lo; p < b.hi; p++ {
				sum := 0.0
				for q := s.lo; q < s.hi; q++ {
					switch d := abs(q - off - p); {
					case d == 0:
						row[p] += t.moved[q] * hold
					default:
						sum += t.moved[q] * t.tv[min(d, t.np)]
					}
				}
				row[p] += sum * c.source[p]
			}
		}
		scale := f.scale[k][b.str*t.np : (b.str+1)*t.np]
		for p := b.lo; p < b.hi; p++ {
			row[p] *= scale[p]
		}
	}
}
