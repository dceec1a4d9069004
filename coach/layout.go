package coach

import "math"

// cast is a style laid out on one neck for one system, with what was learnt of
// the player in that role. Positions count from 0 here.
type cast struct {
	style
	neck     Neck
	system   System
	width    int
	np       int         // positions
	kern     []float64   // factor of moving d frets, d >= 1
	liking   []float64   // factor of arriving at p
	crossed  []float64   // factor of crossing d strings
	from, to []int       // [fret] positions that cover it: from up to, not including, to
	cover    [][]float64 // [fret][p] weight of playing fret at p
	lays     [2]layout   // in force and next: notes in flight keep theirs
	learnt   learnt
}

// layout is the part of the tables that what was learnt changes.
type layout struct {
	hold  float64      // weight of staying
	land  [2][]float64 // reacting: [down, up][fret-p] factor of landing so
	ways  [][]float64  // [fret][p*(to-from)+q-from] weight of going from p to q and playing fret there
	reach [][]float64  // [fret][p] sum of ways
	room  [][]float64  // placed: [pitch before][p] 1 / weight of every note playable at p
}

// learnt counts what the player did in one role, in expected notes.
type learnt struct {
	free, moved float64      // notes that forced no move, and moves among them
	landed      [2][]float64 // [down, up][fret-p] where the hand landed
}

// What a style's own parameters count for against what was learnt, and how
// much that may come to: older notes fade.
const (
	movePrior   = 30.0 // notes
	landPrior   = 12.0 // moves
	learntNotes = 500.0
)

func newCast(st style, n Neck, s System, m *melody) *cast {
	c := &cast{style: st, neck: n, system: s, width: s.Width()}
	c.np = n.Positions(c.width)
	c.kern, c.liking, c.crossed = make([]float64, c.np+1), make([]float64, c.np), make([]float64, n.Strings())
	for d := range c.kern {
		c.kern[d] = math.Pow(st.fall, float64(d-1))
	}
	for p := range c.liking {
		c.liking[p] = math.Pow(low, float64(p))
	}
	for d := range c.crossed {
		c.crossed[d] = math.Pow(st.cross, float64(d))
	}
	c.from, c.to, c.cover = make([]int, n.Frets+1), make([]int, n.Frets+1), grid(n.Frets+1, c.np)
	for f := range c.cover {
		c.span(f)
	}
	for i := range c.lays {
		l := &c.lays[i]
		l.reach = grid(n.Frets+1, c.np)
		l.ways = make([][]float64, n.Frets+1)
		for f := range l.ways {
			l.ways[f] = make([]float64, c.np*(c.to[f]-c.from[f]))
		}
		if st.manner == placed {
			l.room = grid(128, c.np)
		}
		for dir := range l.land {
			l.land[dir] = make([]float64, c.width+2)
		}
	}
	for dir := range c.learnt.landed {
		c.learnt.landed[dir] = make([]float64, c.width+2)
	}
	c.lay(0, m)
	return c
}

// span fills the cover of one fret.
func (c *cast) span(f int) {
	lo, hi := c.np, 0
	for p := range c.np {
		w := c.open
		if f > 0 {
			switch off := f - (p + 1); {
			case c.system.FingerAt(off) != 0:
				w = 1
			case c.system.FingerAt(off-1) != 0 || c.system.FingerAt(off+1) != 0:
				w = c.extend
			default:
				w = 0
			}
		}
		if c.cover[f][p] = w; w > 0 {
			lo, hi = min(lo, p), p+1
		}
	}
	if lo > hi { // a system with holes on a short neck
		lo, hi = 0, c.np
		for p := range c.np {
			c.cover[f][p] = c.extend
		}
	}
	c.from[f], c.to[f] = lo, hi
}

// lay fills layout i from what has been learnt.
func (c *cast) lay(i int, m *melody) {
	l := &c.lays[i]
	move := (c.move*movePrior + c.learnt.moved) / (movePrior + c.learnt.free)
	move = min(max(move, 1e-4), 0.9)
	l.hold = 1 - move
	c.layLanding(l)
	for p := range c.np {
		all := math.SmallestNonzeroFloat32
		for q := range c.np {
			if q != p {
				all += c.kern[abs(q-p)] * c.liking[q]
			}
		}
		for f := range c.cover {
			// A note that lies in the window forces nothing. Planning and
			// placed hands move by a probability that sums to one over the
			// neck; reacting hands are normalised later, over what they reach.
			part := move / all
			if c.manner == reacting && f > 0 {
				if part = c.force; c.cover[f][p] == 1 {
					part = move
				}
			}
			lo, hi := c.from[f], c.to[f]
			row := l.ways[f][p*(hi-lo) : (p+1)*(hi-lo)]
			sum := 0.0
			for q := lo; q < hi; q++ {
				x := l.hold * c.cover[f][p]
				if q != p {
					x = part * c.kern[abs(q-p)] * c.liking[q] * c.cover[f][q]
					if c.manner == reacting && f > 0 && f-q >= 0 && f-q < c.width+2 {
						x *= l.land[direction(p, q)][f-q]
					}
				}
				row[q-lo] = x
				sum += x
			}
			l.reach[f][p] = sum
		}
	}
	if c.manner == placed {
		c.layRoom(l, m)
	}
	if c.learnt.free > learntNotes {
		c.learnt.moved *= learntNotes / c.learnt.free
		c.learnt.free = learntNotes
	}
}

// layLanding fills the landing factors: they sum to one over where a note can
// lie in or beside the window.
func (c *cast) layLanding(l *layout) {
	for dir, row := range l.land {
		n, sum := 0.0, 0.0
		for o := range row {
			further := o - 1 // frets beyond the least move, going down
			if dir == 1 {
				further = c.width - o
			}
			row[o] = math.Pow(c.lead, float64(max(0, further)))
			sum += row[o]
			n += c.learnt.landed[dir][o]
		}
		for o := range row {
			row[o] = (row[o]/sum*landPrior + c.learnt.landed[dir][o]) / (landPrior + n)
		}
	}
}

// layRoom fills the rooms of a placed style from the melody in force.
func (c *cast) layRoom(l *layout, m *melody) {
	for before := m.low; before <= m.high; before++ {
		for p := range c.np {
			sum := 0.0
			for _, open := range c.neck.Open {
				sum += c.cover[0][p] * m.weight(before, open)
				for f := max(1, p); f <= min(c.neck.Frets, p+1+c.width); f++ {
					sum += c.cover[f][p] * m.weight(before, open+f)
				}
			}
			l.room[before][p] = 1 / sum
		}
	}
}

// direction is 1 for a move up the neck, 0 for one down.
func direction(p, q int) int {
	if q > p {
		return 1
	}
	return 0
}

// grid returns rows slices of cols zeros, one block of memory.
func grid(rows, cols int) [][]float64 {
	all := make([]float64, rows*cols)
	g := make([][]float64, rows)
	for i := range g {
		g[i] = all[i*cols : (i+1)*cols : (i+1)*cols]
	}
	return g
}

func abs(a int) int { return max(a, -a) }

// forget drops what was learnt.
func (c *cast) forget() {
	c.learnt.free, c.learnt.moved = 0, 0
	for dir := range c.learnt.landed {
		clear(c.learnt.landed[dir])
	}
}
